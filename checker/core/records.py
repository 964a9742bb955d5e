"""Frozen records: what `dataclass(frozen=True)` makes, without its cost at every start.

A check lives for a fifth of a second and passes through some eighty kinds of record; the standard
library writes and compiles the methods of each anew at every start, which alone took a sixth of
that time. Here all records share the same few methods. To type checkers and to
`dataclasses.replace`, `fields` and `is_dataclass` a record is a frozen dataclass.
"""

from __future__ import annotations

import dataclasses
import inspect
from functools import cache
from typing import TYPE_CHECKING, Any, Final, TypeVar, dataclass_transform, overload

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")
_NEEDED: Final = object()


class _Made:
    """A default that is made anew for each record."""

    def __init__(self, factory: Callable[[], Any]) -> None:
        self.factory = factory


def made(*, factory: Callable[[], T]) -> T:
    """A field whose default is made anew for each record, e.g. `made(factory=dict)`."""
    default: Any = _Made(factory)
    return default  # type: ignore[no-any-return]


@cache
def _fields_of(owner: type) -> dict[str, dataclasses.Field[Any]]:
    names: Any = owner
    plain: Any = dataclasses.make_dataclass(owner.__name__, list(names.__match_args__))
    found: dict[str, dataclasses.Field[Any]] = plain.__dataclass_fields__
    return found


class _Fields:
    """What `dataclasses` asks of a dataclass, worked out when it asks."""

    def __get__(self, record: object, owner: type) -> dict[str, dataclasses.Field[Any]]:
        return _fields_of(owner)


def _init(self: Any, *given: Any, **named: Any) -> None:  # noqa: ANN401 - any record
    values = self.__dict__
    names = self.__match_args__
    if given:
        if len(given) > self._positional_count:
            raise TypeError(f"{type(self).__name__} takes no {len(given)} values by position")
        values.update(zip(names, given, strict=False))
    for name, value in named.items():
        if name in values or name not in self._defaults:
            raise TypeError(f"{type(self).__name__} has no free field '{name}'")
        values[name] = value
    if len(values) < len(names):
        for name, default in self._defaults.items():
            if name in values:
                continue
            if default is _NEEDED:
                raise TypeError(f"{type(self).__name__} needs '{name}'")
            values[name] = default.factory() if isinstance(default, _Made) else default


def _equal(self: Any, other: object) -> bool:  # noqa: ANN401 - any record
    return bool(type(self) is type(other) and self.__dict__ == other.__dict__)


def _hashed(self: Any) -> int:  # noqa: ANN401 - any record
    values = self.__dict__
    return hash((type(self), *(values[name] for name in self.__match_args__)))


def _shown(self: Any) -> str:  # noqa: ANN401 - any record
    parts = ", ".join(f"{name}={self.__dict__[name]!r}" for name in self.__match_args__)
    return f"{type(self).__qualname__}({parts})"


def _frozen(self: Any, name: str, *value: object) -> None:  # noqa: ANN401, ARG001 - any record
    raise dataclasses.FrozenInstanceError(f"cannot change '{name}' of a {type(self).__name__}")


@overload
def record(cls: type[T]) -> type[T]: ...


@overload
def record(*, kw_only: bool) -> Callable[[type[T]], type[T]]: ...


@dataclass_transform(frozen_default=True, field_specifiers=(made,))
def record(
    cls: type[T] | None = None, *, kw_only: bool = False
) -> type[T] | Callable[[type[T]], type[T]]:
    """Make a class a frozen record of its annotated fields, in their order.

    Args:
        cls: The class.
        kw_only: Its fields are given by name only.

    Example:
        >>> @record
        ... class Pair:
        ...     left: int
        ...     right: int = 2
        >>> Pair(1), Pair(1) == Pair(1, 2), Pair(1) == Pair(3)
        (Pair(left=1, right=2), True, False)
    """

    def make(plain: type[T]) -> type[T]:
        made_of: Any = plain
        names = tuple(inspect.get_annotations(plain))
        made_of._defaults = {  # noqa: SLF001 - this is where records keep them
            name: made_of.__dict__.get(name, _NEEDED) for name in names
        }
        made_of._positional_count = 0 if kw_only else len(names)  # noqa: SLF001
        setattr(made_of, "__match_args__", names)  # noqa: B010 - mypy bars the plain form
        made_of.__dataclass_fields__ = _Fields()
        made_of.__init__ = _init
        made_of.__eq__ = _equal
        made_of.__hash__ = _hashed
        made_of.__repr__ = _shown
        made_of.__setattr__ = made_of.__delattr__ = _frozen
        return plain

    return make if cls is None else make(cls)
