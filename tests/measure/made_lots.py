"""Heads of site files that are made up for tests of measures: all but the surfaces."""

from __future__ import annotations


def lot_head(lot: str, units: str = "ft", place: str = "nowhere", more: str = "") -> str:
    """A site file up to its surfaces; `lot` is what stands under that key, on one line."""
    return (
        f"format: site/1\ntitle: Made up for a test\nplace: {place}\nunits: {units}\n"
        f"rest_of_lot: lawn\n{more}lot: {{{lot}}}\nsurfaces:\n"
    )


def square_ft(side: int = 100) -> str:
    """A square lot with a side of so many feet."""
    return f"boundary: {{rectangle: {{corner: [0, 0], size: [{side}, {side}]}}}}"


OBLONG_M = "boundary: {points: [[0, 0], [30, 0], [30, 20], [0, 20]]}"
"""A lot of 30 m by 20 m, its front to the south."""
