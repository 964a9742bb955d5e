"""What is handed to the solver, as arrays: bounds of variables, rows, and what is least."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from checker.algebra.linear import Linear
from checker.core.records import Record, Struct

if TYPE_CHECKING:
    from checker.algebra.linear import Rows
    from checker.solve.cuttings import Array


class SolverTerms(Record):
    """A constant plus multiples of variables, each of which stands once.

    Attributes:
        variables: The numbers of the variables, shape (n,).
        times: The multiple of each, shape (n,).
        constant: The constant.
    """

    variables: Array
    times: Array
    constant: float = 0.0

    def value(self, values: Array) -> float:
        """What it is when the variables have values, shape (all variables,)."""
        return self.constant + math.fsum(self.times * values[self.variables])

    def dense(self, count: int) -> Array:
        """The multiple of every variable, shape (count,)."""
        found = np.zeros(count)
        found[self.variables] = self.times
        return found


class SolverRow(Record):
    """Terms, without their constant, that must lie between two ends.

    Attributes:
        terms: The terms.
        low: The lower end; -inf when there is none.
        high: The upper end; inf when there is none.
    """

    terms: SolverTerms
    low: float
    high: float


class SolverTable(Struct):
    """A program.

    Attributes:
        low: The least of each variable, shape (n,).
        high: The most of each variable, shape (n,).
        is_whole: Whether it takes whole numbers only, shape (n,).
        rows: What must hold.
    """

    low: Array
    high: Array
    is_whole: Array
    rows: list[SolverRow]

    def __len__(self) -> int:
        return len(self.low)

    def at_most(self, terms: SolverTerms, most: float) -> None:
        """Terms must come to no more than this."""
        self.rows.append(SolverRow(terms, -math.inf, most - terms.constant))


def terms_of(part: Linear) -> SolverTerms:
    """A linear expression as arrays."""
    count = len(part.terms)
    return SolverTerms(
        np.fromiter(part.terms, np.int64, count),
        np.fromiter(part.terms.values(), float, count),
        part.constant,
    )


def table_of(rows: Rows) -> SolverTable:
    """Rows and variables as arrays."""
    return SolverTable(
        np.array([item.low for item in rows.variables], dtype=float),
        np.array([item.high for item in rows.variables], dtype=float),
        np.array([item.is_whole for item in rows.variables], dtype=bool),
        [SolverRow(terms_of(Linear(0.0, row.terms)), row.low, row.high) for row in rows.rows],
    )
