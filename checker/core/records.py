"""The one kind of record of the whole package.

`Record` is frozen and compared by value; `Struct` is its open sister for what is filled step by
step inside one function. Both are msgspec's: its classes are made in C, where the standard
library's dataclasses compile the methods of each class anew at every start (tests/benchmarks/
records.py prints the ratio). A `NamedTuple` is for what is taken apart by position, nothing else.
"""

from __future__ import annotations

from typing import dataclass_transform

from msgspec import Struct, field
from msgspec.structs import asdict, replace

__all__ = ["Record", "Struct", "asdict", "field", "replace"]


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
class Record(Struct, frozen=True):
    """A frozen record of its annotated fields, in their order.

    Class options: `kw_only=True`, fields are given by name only; `order=True`, records compare in
    the order of their fields; `dict=True`, there is room for cached properties.

    Example:
        >>> class Pair(Record):
        ...     left: int
        ...     right: int = 2
        >>> Pair(1), Pair(1) == Pair(1, 2), Pair(1) == Pair(3), replace(Pair(1), left=4)
        (Pair(left=1, right=2), True, False, Pair(left=4, right=2))
    """
