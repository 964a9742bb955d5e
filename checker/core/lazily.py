"""Modules, and names out of them, that are loaded when they are first asked for."""

from __future__ import annotations

import sys
from importlib import import_module
from importlib.util import LazyLoader, find_spec, module_from_spec
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from types import ModuleType


def module(name: str) -> ModuleType:
    """The module of a name, its code run at the first use.

    Example:
        >>> module("checker.core.units").UNIT["ft"].size_si
        0.3048
    """
    known = sys.modules.get(name)
    if known is not None:
        return known
    spec = find_spec(name)
    if spec is None or spec.loader is None:
        raise ModuleNotFoundError(name)
    spec.loader = LazyLoader(spec.loader)
    made = module_from_spec(spec)
    sys.modules[name] = made
    spec.loader.exec_module(made)
    return made


def names(homes: Mapping[str, str]) -> Callable[[str], object]:
    """The `__getattr__` of a module that hands names on from where they are at home.

    Args:
        homes: Each name with the module and the name that it has there, dotted.

    Example:
        >>> names({"foot": "checker.core.units.FOOT_M"})("foot")
        0.3048
    """

    def found(name: str) -> object:
        if name not in homes:
            raise AttributeError(f"there is no '{name}' to hand on")
        home, _, known_as = homes[name].rpartition(".")
        return getattr(import_module(home), known_as)

    return found
