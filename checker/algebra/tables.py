"""Counting tables as data: rows with weights, and the spots of the lot that they are laid over."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from checker.algebra import nodes as n
    from checker.algebra.values import Context

    Split = Callable[[Sequence["Trim"]], Sequence[tuple[float, frozenset[int]]]]
    """Cuts a spot along strips; gives the area of each part and which surfaces do not count."""

Levels = Literal["heaviest", "top", "ground", "sum"]
WidthOf = Literal["piece", "surface", "part"]
Strip = Literal["outer", "inner", "narrow"]


class CountRow(Record, kw_only=True):
    """One row of a counting table.

    Attributes:
        where: Which surfaces it fits.
        weight: Share of the area that counts, 0 to 1.
        title: What it is, for pages.
        needs: Conditions for this weight.
        otherwise: The weight when a need fails.
        each_over_m2: Items up to this size do not count at all.
        exempt_first_m2: So much of the row's sum is free.
        exempt_up_to: Free while the row's sum is at most this.
        beyond: What counts once that is passed.
        drop_outer: A strip of this width along the outline of the whole building does not count.
        drop_inner: A strip of this width along what stands below it does not count.
        least_width: Parts narrower than this do not count.
        width_of: What must be so wide: the whole piece of adjoining land that counts alike, each
            surface by itself, or the part of the piece in the region that is measured.
        clause: Where it stands in the source.
    """

    where: n.Condition
    weight: n.Number
    otherwise: n.Number
    title: str = ""
    needs: tuple[n.Condition, ...] = ()
    each_over_m2: float | None = None
    exempt_first_m2: float = 0.0
    exempt_up_to: n.Number | None = None
    beyond: Literal["excess", "all"] = "excess"
    drop_outer: n.Number | None = None
    drop_inner: n.Number | None = None
    least_width: n.Number | None = None
    width_of: WidthOf = "piece"
    clause: str = ""


class CountTable(Record, kw_only=True):
    """A counting table.

    Attributes:
        name: The measure it makes.
        title: What it is, for pages, starting in lower case.
        rows: The first that fits decides.
        otherwise: The weight of what no row fits; None when the text is silent on it.
        levels: Which of several surfaces over one spot counts.
    """

    name: str
    title: str
    rows: tuple[CountRow, ...]
    otherwise: n.Number | None
    levels: Levels = "heaviest"
    clause: str = ""


class Joined(Record, eq=False):
    """Land that is looked at as one when strips are taken off it.

    Attributes:
        spots: What it is made of.
        surfaces: Ids of the surfaces of it.
    """

    spots: tuple[Spot, ...]
    surfaces: tuple[str, ...]


class Trim(Record, eq=False):
    """A strip of one of the surfaces over a spot that does not count.

    Attributes:
        layer: Which of the surfaces over the spot, by its position.
        strip: Along its outline ("outer"), along what stands below it ("inner"), or wherever it
            is too narrow ("narrow").
        width_m: How wide.
        of: The land that the strip is taken off.
    """

    layer: int
    strip: Strip
    width_m: float
    of: Joined


class Spot(Record, eq=False):
    """A part of the lot that the same surfaces lie over.

    Attributes:
        area_m2: Its area.
        layers: The scopes of the surfaces over it, the ground first.
        split: Cuts it along strips: the area of each part, with the positions of the surfaces
            that do not count there; None where there is no geometry.
        land: What `split` knows the spot by.
    """

    area_m2: float
    layers: tuple[Context, ...]
    split: Split | None = None
    land: object = None
