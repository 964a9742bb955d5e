"""Details of drains, wells, ends and edges, made from the site's own numbers.

A measure that the file does not give is not invented: the part is drawn in outline and named as not
given. Walls of boxes and what lies round them are drawn thin and have no measure.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from checker.core.units import INCH_M
from checker.drawing.detail import Detail, DetailTexts, box, line
from checker.drawing.edge_details import edge_details
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import inverts
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from checker.site.drainage import Drain, DrainPipe, Outfall, Pit, WaysOut
    from checker.words.brief import Brief

_WALL_M: Final = 1.0 * INCH_M
_BESIDE_M: Final = 12 * INCH_M
_PAVING_M: Final = 4 * INCH_M
_BURIED_M: Final = 18 * INCH_M
BY_MAKER: Final = "walls and lid as the maker says"


def details_of(brief: Brief) -> tuple[Detail, ...]:
    """Every detail that the site's own parts ask for."""
    texts = DetailTexts(brief)
    makes = [*_of_ways(brief, texts), *edge_details(brief, texts)]
    return tuple(made for make in makes if (made := _tried(make)) is not None)


def _of_ways(brief: Brief, texts: DetailTexts) -> Iterator[Callable[[], Detail | None]]:
    if "ways_out" not in brief.checked.site.parts:
        return
    ways = ways_of(brief.survey)
    for drain in ways.drains:
        if drain.kind == "area-drain":
            yield partial(_area_drain, texts, ways, drain)
        if drain.kind == "channel-drain":
            yield partial(_channel, texts, ways, drain)
    for pipe in [pipe for pipe in ways.pipes if pipe.diameter_m][:1]:
        yield partial(_cleanout, texts, pipe)
    for pit in ways.pits:
        if pit.kind == "dry-well":
            yield partial(_dry_well, texts, ways, pit)
    for end in ways.outfalls:
        yield partial(_pop_up if end.kind == "pop-up" else _outlet, texts, ways, end)


def _tried(make: Callable[[], Detail | None]) -> Detail | None:
    """The detail, or none where the file lacks what it is drawn from; tables say what lacks."""
    try:
        return make()
    except NotMeasured:
        return None


def _pipe_below(ways: WaysOut, name: str) -> DrainPipe | None:
    return next((pipe for pipe in ways.pipes if pipe.id == name), None)


def _upper_m(pipe: DrainPipe) -> float | None:
    return inverts(pipe).upper_m


def _area_drain(texts: DetailTexts, ways: WaysOut, drain: Drain) -> Detail | None:
    if drain.rim_m is None:
        return None
    wide_m = (drain.grate.width_m if drain.grate else None) or 12 * INCH_M
    pipe = _pipe_below(ways, drain.to)
    bottom_m = drain.rim_m - _BURIED_M
    pieces, levels, notes = [], [texts.level(f"{drain.id}.rim", "rim", drain.rim_m)], []
    left, right = -wide_m / 2, wide_m / 2
    if pipe is not None and pipe.diameter_m and (invert_m := _upper_m(pipe)) is not None:
        bottom_m = invert_m
        levels.append(texts.level(f"{drain.id}.invert", "invert", invert_m))
        pieces.append(
            box(right + _WALL_M, invert_m, right + _BESIDE_M, invert_m + pipe.diameter_m, "pipe")
        )
        size = texts.small(f"{drain.id}.pipe", pipe.diameter_m)
        at = (right + _BESIDE_M * 0.7, invert_m + pipe.diameter_m / 2)
        notes.append((at, f"pipe {clean(pipe.id)}, {size} inside"))
    top_m = drain.rim_m
    ground = [
        box(left - _BESIDE_M, bottom_m - _WALL_M * 2, left - _WALL_M, top_m - _PAVING_M, "ground"),
        box(left - _BESIDE_M, top_m - _PAVING_M, left - _WALL_M, top_m, "concrete"),
        box(right + _WALL_M, top_m - _PAVING_M, right + _BESIDE_M, top_m, "concrete"),
    ]
    shell = [
        box(left - _WALL_M, bottom_m - _WALL_M, right + _WALL_M, top_m, "concrete"),
        box(left, bottom_m, right, top_m, "void"),
        line((left, top_m - _WALL_M), (right, top_m - _WALL_M)),
    ]
    size = texts.small(f"{drain.id}.grate", wide_m if drain.grate else None)
    notes.insert(0, ((0.0, top_m), f"grate, {size} wide; lies below the paving as drawn"))
    notes.append(((0.0, bottom_m + _WALL_M * 2), f"box; {BY_MAKER}"))
    return Detail(
        id=f"area-drain-{drain.id}",
        title=f"Area drain {clean(drain.id)}",
        pieces=(*ground, *pieces, *shell),
        levels=tuple(levels),
        notes=tuple(notes),
    )


def _channel(texts: DetailTexts, ways: WaysOut, drain: Drain) -> Detail | None:
    if drain.rim_m is None or drain.width_m is None or drain.depth_m is None:
        return None
    left, right = -drain.width_m / 2, drain.width_m / 2
    top_m, bottom_m = drain.rim_m, drain.rim_m - drain.depth_m
    slot_m = drain.slot_m or drain.width_m
    levels = [
        texts.level(f"{drain.id}.rim", "rim", top_m),
        texts.level(f"{drain.id}.bed", "bed, upper end", bottom_m),
    ]
    pieces = [
        box(
            left - _BESIDE_M, bottom_m - 4 * _WALL_M, right + _BESIDE_M, top_m - _PAVING_M, "ground"
        ),
        box(left - _BESIDE_M, top_m - _PAVING_M, left - _WALL_M, top_m, "concrete"),
        box(right + _WALL_M, top_m - _PAVING_M, right + _BESIDE_M, top_m, "concrete"),
        box(left - _WALL_M, bottom_m - _WALL_M, right + _WALL_M, top_m, "concrete"),
        box(left, bottom_m, right, top_m - _WALL_M / 2, "void"),
        box(-slot_m / 2, top_m - _WALL_M / 2, slot_m / 2, top_m, "void"),
    ]
    width, depth, slot = (
        texts.small(f"{drain.id}.{key}", value)
        for key, value in (
            ("width", drain.width_m),
            ("depth", drain.depth_m),
            ("slot", drain.slot_m),
        )
    )
    notes = [
        ((0.0, top_m), f"slot {slot}"),
        ((0.0, bottom_m + drain.depth_m / 2), f"channel {width} wide, {depth} deep inside"),
        ((left - _BESIDE_M / 2, top_m - _PAVING_M / 2), "paving, falls to the channel"),
    ]
    says = [
        (
            f"Leads to {clean(drain.to) or 'not given'}; when full it spills to "
            f"{clean(drain.spills_to) or 'not given'}."
        )
    ]
    pipe = _pipe_below(ways, drain.to)
    if pipe is not None and pipe.diameter_m and (invert_m := _upper_m(pipe)) is not None:
        levels.append(texts.level(f"{drain.id}.invert", "outlet invert", invert_m))
        pieces.append(
            box(left, invert_m, left + pipe.diameter_m, invert_m + pipe.diameter_m, "hidden")
        )
    return Detail(
        id=f"channel-{drain.id}",
        title=f"Channel drain {clean(drain.id)}",
        pieces=tuple(pieces),
        levels=tuple(levels),
        notes=tuple(notes),
        says=tuple(says),
    )


def _cleanout(texts: DetailTexts, pipe: DrainPipe) -> Detail | None:
    invert_m, wide_m = _upper_m(pipe), pipe.diameter_m
    if invert_m is None or wide_m is None:
        return None
    top_m = invert_m + wide_m + (pipe.cover_m or _BURIED_M)
    run_m = max(4 * wide_m, 2 * _BESIDE_M)
    cover = texts.small(f"{pipe.id}.cover", pipe.cover_m)
    pieces = (
        box(-run_m / 2, invert_m - wide_m, run_m / 2 + wide_m, top_m, "ground"),
        box(-run_m / 2, invert_m, run_m / 2 + wide_m, invert_m + wide_m, "pipe"),
        box(-wide_m / 2, invert_m + wide_m, wide_m / 2, top_m, "pipe"),
        line((wide_m / 2, invert_m + wide_m * 1.8), (wide_m * 1.3, invert_m + wide_m)),
        box(-wide_m * 0.7, top_m - _WALL_M, wide_m * 0.7, top_m, "concrete"),
    )
    size = texts.small(f"{pipe.id}.riser", wide_m)
    return Detail(
        id=f"cleanout-{pipe.id}",
        title=f"Cleanout, as at {clean(pipe.id)}",
        pieces=pieces,
        levels=(texts.level(f"{pipe.id}.upper", "invert", invert_m),),
        notes=(
            ((0.0, top_m), "cap at the surface, to be opened by hand"),
            ((0.0, (top_m + invert_m + wide_m) / 2), f"riser, {size} as the pipe"),
            (
                (run_m / 2, invert_m + wide_m / 2),
                f"pipe, flows to the right; ground over it: {cover}",
            ),
        ),
        says=(
            (
                "One at each end of a run and at each bend that a rod does not pass (common "
                "practice, no source)."
            ),
        ),
    )


def _dry_well(texts: DetailTexts, ways: WaysOut, pit: Pit) -> Detail | None:
    if pit.bottom_m is None or pit.depth_m is None or pit.pit_m is None:
        return None
    half, chamber = pit.pit_m / 2, (pit.chamber_m or 0.0) / 2
    bottom_m, top_m = pit.bottom_m, pit.bottom_m + pit.depth_m
    cover_m = pit.cover_m if pit.cover_m is not None else _BURIED_M
    below_m = pit.stone_below_m or 0.0
    levels = [
        texts.level(f"{pit.id}.bottom", "base of pit", bottom_m),
        texts.level(f"{pit.id}.top", "top of stone", top_m),
    ]
    pieces = [
        box(-half - _BESIDE_M, bottom_m - _BESIDE_M, half + _BESIDE_M, top_m + cover_m, "ground"),
        box(-half, bottom_m, half, top_m, "stone"),
        line((-half, bottom_m), (-half, top_m), (half, top_m), (half, bottom_m), what="fabric"),
    ]
    notes = [
        (
            (half * 0.8, (bottom_m + top_m) / 2),
            (
                f"clean stone, holes {texts.share(pit.porosity_fraction)}; pit "
                f"{texts.small(f'{pit.id}.pit', pit.pit_m)} across"
            ),
        )
    ]
    if chamber:
        pieces.append(box(-chamber, bottom_m + below_m, chamber, top_m, "void"))
        size = texts.small(f"{pit.id}.chamber", pit.chamber_m)
        notes.append(
            ((0.0, (bottom_m + below_m + top_m) / 2), f"chamber, {size} inside; {BY_MAKER}")
        )
        if below_m:
            stone = texts.small(f"{pit.id}.below", below_m)
            notes.append(((0.0, bottom_m + below_m / 2), f"stone below the chamber, {stone}"))
    notes.append(((-half, top_m), "fabric on sides and top, none on the base"))
    side = chamber or half
    for pipe in ways.pipes:
        if pipe.to == pit.id and pipe.diameter_m and (end_m := inverts(pipe).lower_m) is not None:
            levels.append(texts.level(f"{pit.id}.in.{pipe.id}", f"{clean(pipe.id)} in", end_m))
            pieces.append(box(-half - _BESIDE_M, end_m, -side, end_m + pipe.diameter_m, "pipe"))
    for outlet in pit.outlets:
        if outlet.invert_m is not None:
            levels.append(
                texts.level(f"{pit.id}.out.{outlet.id}", f"{clean(outlet.id)} out", outlet.invert_m)
            )
            high_m = outlet.invert_m + (outlet.diameter_m or 4 * INCH_M)
            pieces.append(box(side, outlet.invert_m, half + _BESIDE_M, high_m, "pipe"))
    cover = texts.small(f"{pit.id}.ground", pit.cover_m)
    says = (
        (
            f"Ground over it: {cover}. Depth of what stores water: "
            f"{texts.small(f'{pit.id}.depth', pit.depth_m)}. Protect it against cave-in."
        ),
    )
    return Detail(
        id=f"dry-well-{pit.id}",
        title=f"Dry well {clean(pit.id)}",
        pieces=tuple(pieces),
        levels=tuple(levels),
        notes=tuple(notes),
        says=says,
    )


def _arriving(ways: WaysOut, end: Outfall) -> DrainPipe:
    pipe = next((pipe for pipe in ways.pipes if pipe.to == end.id and pipe.diameter_m), None)
    if pipe is None:
        raise NotMeasured(f"no pipe with a diameter leads to {end.id}")
    return pipe


def _pop_up(texts: DetailTexts, ways: WaysOut, end: Outfall) -> Detail | None:
    pipe = _arriving(ways, end)
    end_m, wide_m = inverts(pipe).lower_m, pipe.diameter_m or 0.0
    if end_m is None or end.level_m is None:
        return None
    top_m = max(end.level_m, end_m + wide_m)
    long_m = 2 * _BESIDE_M
    pieces = (
        box(-long_m, end_m - 2 * wide_m, long_m / 2 + wide_m, top_m, "ground"),
        box(-wide_m, end_m - 1.5 * wide_m, wide_m * 1.5, end_m, "stone"),
        box(-long_m, end_m, wide_m / 2, end_m + wide_m, "pipe"),
        box(-wide_m / 2, end_m, wide_m / 2, top_m, "pipe"),
        box(-wide_m, top_m - _WALL_M, wide_m, top_m, "concrete"),
    )
    return Detail(
        id=f"pop-up-{end.id}",
        title=f"Pop-up emitter {clean(end.id)}",
        pieces=pieces,
        levels=(
            texts.level(f"{end.id}.lid", "lid", end.level_m),
            texts.level(f"{end.id}.invert", "invert", end_m),
        ),
        notes=(
            ((0.0, top_m), "lid, opens by the water below it"),
            (
                (-long_m * 0.7, end_m + wide_m / 2),
                f"pipe {clean(pipe.id)}, {texts.small(f'{end.id}.pipe', wide_m)} inside",
            ),
            ((0.0, end_m - wide_m * 0.7), "small hole and stone below, against freezing"),
        ),
    )


def _outlet(texts: DetailTexts, ways: WaysOut, end: Outfall) -> Detail | None:
    pipe = _arriving(ways, end)
    end_m, wide_m = inverts(pipe).lower_m, pipe.diameter_m or 0.0
    if end_m is None:
        return None
    apron_m = 4 * wide_m
    pieces = (
        box(-2 * _BESIDE_M, end_m - 2 * wide_m, 0.0, end_m + wide_m + _BESIDE_M / 2, "ground"),
        box(-2 * _BESIDE_M, end_m, 0.0, end_m + wide_m, "pipe"),
        box(0.0, end_m - 2 * wide_m, apron_m + _BESIDE_M, end_m - wide_m, "ground"),
        box(0.0, end_m - wide_m, apron_m, end_m, "stone"),
        line((0.0, end_m - wide_m), (apron_m, end_m - wide_m), (apron_m, end_m), what="fabric"),
    )
    return Detail(
        id=f"outlet-{end.id}",
        title=f"Outlet protection at {clean(end.id)}",
        pieces=pieces,
        levels=(texts.level(f"{end.id}.invert", "invert", end_m),),
        notes=(
            (
                (-_BESIDE_M, end_m + wide_m / 2),
                f"pipe {clean(pipe.id)}, {texts.small(f'{end.id}.pipe', wide_m)} inside",
            ),
            (
                (apron_m / 2, end_m - wide_m / 2),
                "stone that breaks the speed of the water; at a curb the curb itself",
            ),
        ),
        says=(
            (
                "Speed of the water, length, depth and size of the stone: by the designer, from "
                "the flow in the drainage calculations."
            ),
        ),
    )
