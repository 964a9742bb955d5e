"""Details of the edges of paving: overflow edges, what holds them, where they meet the pool."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from checker.core.units import INCH_M
from checker.drawing.detail import Detail, DetailTexts, box, line
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.section.bed import beds
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from checker.measure.section.bed import Bed
    from checker.site.drainage import OverflowEdge, WaysOut
    from checker.words.brief import Brief

_BESIDE_M: Final = 12 * INCH_M
_PAVING_M: Final = 4 * INCH_M


def edge_details(brief: Brief, texts: DetailTexts) -> Iterator[Callable[[], Detail | None]]:
    """Makers of the details of every edge drawn."""
    if "ways_out" in brief.checked.site.parts:
        ways = ways_of(brief.survey)
        for edge in ways.edges[:1]:  # one stands for all: their crests are in the table
            yield partial(_overflow, texts, ways, edge)
    for bed in beds(brief.survey).values():
        yield partial(_restraint, texts, bed)
        yield partial(_transition, brief, texts, bed)


def _overflow(texts: DetailTexts, ways: WaysOut, edge: OverflowEdge) -> Detail | None:
    if edge.crest_m is None:
        return None
    crest_m, long_m = edge.crest_m, 2 * _BESIDE_M
    drop_m = _PAVING_M / 2
    pieces = (
        box(-long_m, crest_m - 3 * _PAVING_M, 0.0, crest_m - _PAVING_M, "ground"),
        box(-long_m, crest_m - _PAVING_M, 0.0, crest_m, "concrete"),
        box(0.0, crest_m - 3 * _PAVING_M, long_m, crest_m - drop_m, "ground"),
        box(0.0, crest_m - drop_m - _PAVING_M, _BESIDE_M, crest_m - drop_m, "stone"),
    )
    levels = [texts.level(f"{edge.id}.crest", "crest", crest_m)]
    for name, own_m in (("lowest floor", ways.lowest_floor_m), ("coping", ways.coping_m)):
        if own_m is not None and own_m - crest_m < long_m:
            levels.append(texts.level(f"{edge.id}.{name}", name, own_m))
    return Detail(
        id=f"edge-{edge.id}",
        title=f"Overflow edge {clean(edge.id)}",
        pieces=(*pieces, *(line((-long_m, z), (-long_m / 2, z), what="hidden") for z, _ in levels)),
        levels=tuple(levels),
        notes=(
            ((-long_m / 2, crest_m - _PAVING_M / 2), "paving, its edge kept open and level"),
            (
                (_BESIDE_M / 2, crest_m - drop_m - _PAVING_M / 2),
                "stone or turf that the water does not wash out",
            ),
            ((long_m * 0.8, crest_m - drop_m), f"onto {edge.onto}; the ground falls away"),
        ),
        says=("What protects the ground, and how far: by the designer.",),
    )


def _courses(bed: Bed) -> Iterator[tuple[str, float, str]]:
    """Courses from the top down: name, thickness, fill."""
    for layer in bed.layers:
        thick_m = layer.course.thickness_m
        if thick_m and (layer.course.kind == "unit" or layer in bed.stones):
            kind = "concrete" if layer.course.kind == "unit" else "stone"
            fill = "bedding" if layer.course.kind == "bedding" else kind
            yield layer.name, thick_m, fill


def _restraint(texts: DetailTexts, bed: Bed) -> Detail | None:
    if not bed.section.edge:
        return None
    top_m, long_m, edge_m = bed.section.top_m or 0.0, 2 * _BESIDE_M, 6 * INCH_M
    pieces, notes, at_m = [], [], top_m
    for name, thick_m, fill in _courses(bed):
        pieces.append(box(-long_m, at_m - thick_m, 0.0, at_m, fill))
        size = texts.small(f"{bed.section.id}.course.{name}", thick_m)
        notes.append(((-long_m * 0.75, at_m - thick_m / 2), f"{clean(name)}, {size}"))
        at_m -= thick_m
    if not pieces:
        return None
    ground = box(-long_m, at_m - _PAVING_M, long_m / 2 + edge_m, top_m, "ground")
    curb = box(0.0, at_m, edge_m, top_m, "concrete")
    notes.append(((edge_m / 2, (top_m + at_m) / 2), f"{clean(bed.section.edge)}, down to the base"))
    levels: tuple[tuple[float, str], ...] = ()
    if bed.section.top_m is not None:
        levels = (
            texts.level(f"{bed.section.id}.top", "top", top_m),
            texts.level(f"{bed.section.id}.base", "base", at_m),
        )
    return Detail(
        id=f"restraint-{bed.section.id}",
        title=f"Edge restraint of {clean(bed.section.title)}",
        pieces=(ground, *pieces, curb),
        levels=levels,
        notes=tuple(notes),
        says=("Width of the edge and its reinforcement: not given.",),
    )


def _transition(brief: Brief, texts: DetailTexts, bed: Bed) -> Detail | None:
    """Where paving on a section meets the coping of the pool, with the joint between them."""
    ways = ways_of(brief.survey) if "ways_out" in brief.checked.site.parts else None
    top_m = bed.section.top_m
    has_coping = any(s.material.id == "pool-coping" for s in brief.checked.site.surfaces)
    if ways is None or ways.coping_m is None or top_m is None or not has_coping:
        return None
    long_m, coping_m, joint_m = 2 * _BESIDE_M, 12 * INCH_M, 0.5 * INCH_M
    pieces, at_m = [], top_m
    for _, thick_m, fill in _courses(bed):
        pieces.append(box(joint_m, at_m - thick_m, long_m, at_m, fill))
        at_m -= thick_m
    if not pieces:
        return None
    shell = [
        box(-coping_m, at_m - _PAVING_M, 0.0, ways.coping_m - _PAVING_M, "concrete"),
        box(-coping_m, ways.coping_m - _PAVING_M / 2, 0.0, ways.coping_m, "concrete"),
        line((joint_m, top_m), (joint_m, at_m)),
    ]
    falls = [panel.on for panel in panels_of(brief.survey)]
    return Detail(
        id=f"transition-{bed.section.id}",
        title=f"Transition of {clean(bed.section.title)} to the coping",
        pieces=(box(joint_m, at_m - _PAVING_M, long_m, at_m, "ground"), *pieces, *shell),
        levels=(
            texts.level(f"{bed.section.id}.coping", "coping", ways.coping_m),
            texts.level(f"{bed.section.id}.paving", "paving", top_m),
        ),
        notes=(
            ((-coping_m / 2, ways.coping_m - _PAVING_M / 4), "coping on the bond beam of the pool"),
            (
                (joint_m / 2, (top_m + at_m) / 2),
                "joint that lets both move, sealed; a liner where stone stands beside the shell",
            ),
            ((long_m * 0.7, top_m), "paving falls away from the pool" if falls else "paving"),
        ),
        says=("Load and groundwater beside the shell: by the pool's engineer.",),
    )
