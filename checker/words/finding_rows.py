"""Rows of the tables that stand beside a finding: comparisons, shares of surfaces, readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from checker.core.records import Record

if TYPE_CHECKING:
    from checker.pages.blocks import Chip


class PartRow(NamedTuple):
    """One comparison that took part in a finding."""

    of: str
    what: str
    measured: str
    order: str
    limit: str
    margin: str
    holds: str


class ShareRow(NamedTuple):
    """What one surface adds to the measured number."""

    letter: str
    surface: str
    area: str
    factor: str
    counted: str
    row: str


class ReadingRow(Record):
    """The verdict under one reading of an unclear clause."""

    reading: str
    title: str
    status: Chip
    margin: str
    used: str
