"""Loops over arrays as machine code, by Numba; without it the geometry library does their work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


def machine_code(
    home: dict[str, Any], inner: Sequence[str], *outer: Callable[..., Any]
) -> tuple[Callable[..., Any], ...] | None:
    """Functions of a module as machine code, kept between runs; None where Numba is not installed.

    Args:
        home: The names of the module.
        inner: What the functions call in it; it is compiled there in its place.
        outer: The functions that are called from elsewhere.
    """
    try:
        import numba
    except ImportError:
        return None
    make = numba.njit(cache=True, nogil=True)
    for name in inner:
        home[name] = make(home[name])
    return tuple(make(function) for function in outer)
