"""What the page shows of a plan: geometry in the file's unit, and texts that the report prints too.

Every number that a person reads is a text made by `checker.words`; the bare numbers here only place
things on the screen.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from checker.board.asking import asked_here
from checker.board.changes import LISTS, keyed
from checker.board.lot_things import asked_regions, kinds_view, things_view
from checker.board.outlines import Shown, line_of, rings_of
from checker.board.questions import questions, undrawn
from checker.board.survey import placed
from checker.core.showing import show
from checker.core.units import AREA, Amount
from checker.files.vocabulary import ATTRIBUTES
from checker.measure.partition import LEVELS, PlacedSurface, rank
from checker.site.materials import materials
from checker.words.amounts import clean
from checker.words.findings import finding_views
from checker.words.glossary import STAGES
from checker.words.letters import Keys
from checker.words.statuses import headline, status_word

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.board.desk import Desk
    from checker.board.plan import Plan
    from checker.board.verdict import FastVerdict
    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.pages.blocks import Chip
    from checker.rulesets.rules import Rule
    from checker.site.model import Shape, Site
    from checker.words.findings import FindingView

PARTS = ("panels", "ways_out", "sections", "ground", "storms", "levels")
"""Parts of the file that the page edits as they are declared."""

NOT_ALL_JUDGED: Shown = {"sign": "…", "word": "not all judged yet", "kind": "cannot-tell"}
"""The status while rules that follow a storm are left out."""

KeptViews = dict[str, tuple[tuple[Any, ...], Shown]]
"""Surfaces as they were shown, by id, each with what its view is made of."""


def head_view(desk: Desk, problem: str = "") -> Shown:
    """Where the design stands, and what its file says of the whole.

    Args:
        desk: The design.
        problem: Why it cannot be judged.
    """
    plan = desk.plan
    site = plan.site
    return {
        "revision": plan.revision,
        "title": clean(site.title),
        "file": desk.path.name,
        "place": site.place_id,
        "unit": site.unit,
        "north": site.north_degrees,
        "facts": dict(plan.data.get("facts", {})),
        "rest": plan.data.get("rest_of_lot"),
        "rest_material": site.rest_of_lot.id if site.rest_of_lot else "",
        "titled": plan.data.get("title"),
        "project": plan.data.get("project", {}),
        "none_found": list(plan.data.get("none_found", ())),
        "goal": plan.data.get("goal", {}),
        "drawing": plan.data.get("drawing", {}).get("file", ""),
        "traced": _traced(plan),
        "notes": [f"{note.place}: {clean(note.says)}" for note in site.repairs],
        "problem": problem,
        "undo": desk.history.done[-1].says if desk.history.done else None,
        "redo": desk.history.undone[-1].says if desk.history.undone else None,
        "is_saved": desk.is_saved,
        "is_changed_outside": desk.is_changed_outside,
        "was_left_open": desk.was_left_open,
    }


def scene_view(plan: Plan, verdict: FastVerdict | None, kept: KeptViews) -> Shown:
    """What is drawn of a design and how it is judged: the same for the same design.

    Args:
        plan: The design.
        verdict: Its verdict as far as it is told at once; None where it cannot be judged.
        kept: The surfaces of the scene before; those of this one are kept in their place.
    """
    site = plan.site
    return {
        "lot": _lot(site, plan),
        "surfaces": _surfaces(plan, verdict.checked if verdict is not None else None, kept),
        "features": things_view(plan, "features"),
        "regions": things_view(plan, "regions"),
        "asked_regions": asked_regions(verdict.checked if verdict is not None else None),
        "parts": {name: plan.data[name] for name in PARTS if name in plan.data},
        "verdict": None if verdict is None else verdict_view(verdict.checked, verdict.late),
    }


def verdict_view(checked: Checked, late: Sequence[Rule] = ()) -> Shown:
    """The verdict: the overall one and a row for each rule, worst first.

    Args:
        checked: The verdict.
        late: Rules that are being worked out.
    """
    found = {finding.rule: finding for finding in checked.verdict.findings}
    views = finding_views(checked, Keys(checked.site))
    asked_now = questions(checked)
    asked = {(one["name"], one["of"]): f"Unanswered: {one['title']}" for one in asked_now}
    rows = [_finding(view, found[view.id], asked) for view in views]
    status, says = _chip(status_word(checked.verdict.status)), headline(checked.verdict)
    rows += [{"id": rule.id, "title": clean(rule.title), "is_late": True} for rule in late]
    # A failure stands whatever else comes; anything better is not known before all is judged.
    if late and checked.verdict.status != "fails":
        status, says = NOT_ALL_JUDGED, "Nothing fails so far; the rest follows storms."
    return {
        "status": status,
        "headline": says,
        "place": clean(checked.ruleset.title),
        "verify": clean(checked.ruleset.verify),
        "counts": _counts(views),
        "questions": asked_now,
        "findings": rows,
    }


def _counts(views: Sequence[FindingView]) -> Shown:
    """What each surface adds to the first number that surfaces add up to, by its letter."""
    view = next((view for view in views if view.shares), None)
    if view is None:
        return {"title": "", "rows": {}}
    rows: dict[str, list[str]] = {}
    for share in view.shares:
        rows.setdefault(share.letter, []).append(
            f"{share.counted} {view.share_unit} ({share.factor})"
        )
    return {
        "title": f"Counts for: {view.title}",
        "rows": {letter: ", ".join(said) for letter, said in rows.items()},
    }


def _chip(chip: Chip) -> Shown:
    return {"sign": chip.sign, "word": chip.word, "kind": chip.key}


def _finding(view: FindingView, finding: Finding, asked: Mapping[tuple[str, str], str]) -> Shown:
    """A rule's row; what the page has a question for is asked by that, not in words for a file."""
    asks = {
        clean(item.ask): asked.get((item.name, item.of))
        or asked.get((undrawn(item.ask), ""))
        or asked_here(clean(item.ask))
        for item in finding.missing
    }
    return {
        "id": view.id,
        "title": view.title,
        "status": _chip(view.status),
        "says": view.says,
        "citation": view.citation,
        "measured": view.measured,
        "order": view.order,
        "limit": view.limit,
        "margin": view.margin,
        "because": [text for text in (view.instead, *view.because) if text and text not in asks],
        "asks": list(dict.fromkeys(asks.values())),
        "share": _share(finding),
        "is_late": False,
    }


def _share(finding: Finding) -> float | None:
    """Measured as a share of its limit, for a bar; None where no bar can be drawn."""
    if finding.measured is None or finding.limit is None or not finding.limit.value_si:
        return None
    share = finding.measured.value_si / finding.limit.value_si
    return round(share, 6) if math.isfinite(share) and share >= 0 else None


def _lot(site: Site, plan: Plan) -> Shown:
    return {
        "rings": rings_of(site.lot.boundary, site.unit),
        "declared": plan.data.get("lot", {}).get("boundary", {}),
        "sides": plan.data.get("lot", {}).get("sides"),
        "is_chosen": site.lot.is_chosen,
        "area": show(Amount(site.lot.boundary.area, AREA), site.system or site.own_system),
        "lines": [
            {
                "number": line.number,
                "side": line.side,
                "label": clean(line.label),
                "points": line_of(line.line, site.unit),
            }
            for line in site.lot.lines
        ],
    }


def _surfaces(plan: Plan, checked: Checked | None, kept: KeptViews) -> list[Shown]:
    """Each surface in the order of the file, with its turn in drawing and a spot for its letter."""
    site, keys = plan.site, Keys(plan.site)
    entries = {entry["id"]: entry for entry in plan.data["surfaces"]}
    layers = [PlacedSurface(surface, surface.material, surface.id) for surface in site.surfaces]
    drawn = sorted(
        range(len(layers)),
        key=lambda i: (
            LEVELS.index(site.surfaces[i].material.level),
            *(-part for part in rank(layers[i], site.order, i)),
        ),
    )
    turn = {index: place for place, index in enumerate(drawn)}
    visible = checked.survey.partition("proposed").visible if checked is not None else {}
    before = dict(kept)
    kept.clear()
    for index, surface in enumerate(site.surfaces):
        seen = visible.get(surface.id)
        made_of = (
            surface.shape, entries[surface.id], surface.material, surface.title, surface.stage,
            keys.letter(surface.id), turn[index], site.unit, site.system or site.own_system,
            seen if seen is surface.shape or seen is None else seen.wkb,
        )  # fmt: skip
        known = before.get(surface.id)
        if known is None or not _is_as_before(known[0], made_of):
            known = made_of, _surface(made_of, seen)
        kept[surface.id] = known
    return [view for _, view in kept.values()]


def _is_as_before(before: tuple[Any, ...], now: tuple[Any, ...]) -> bool:
    """Whether a view is made of the same: its shape and its entry are the same objects."""
    return before[0] is now[0] and before[1] is now[1] and before[2:] == now[2:]


def _surface(made_of: tuple[Any, ...], seen: Shape | None) -> Shown:
    shape, entry, material, title, stage, letter, turn, unit, system, _ = made_of
    return {
        "id": entry["id"],
        "letter": letter,
        "title": clean(title),
        "material": material.id,
        "material_title": clean(material.title),
        "nature": material.nature,
        "level": material.level,
        "stage": stage,
        "stage_title": stage,
        "rings": rings_of(shape, unit),
        "turn": turn,
        "letter_at": line_of(
            _by_a_corner(shape) if seen is None or seen.is_empty else seen.representative_point(),
            unit,
        )[0],
        "area": show(Amount(shape.area, AREA), system),
        "declared": entry,
    }


def _by_a_corner(shape: Shape) -> Shape:
    """Where the letter of what is not seen stands: in its upper left, away from what covers it."""
    west_m, _, _, north_m = shape.bounds
    corner = min(
        shape.boundary.geoms[0].coords
        if hasattr(shape.boundary, "geoms")
        else shape.boundary.coords,
        key=lambda at: math.dist(at[:2], (west_m, north_m)),
    )
    middle = shape.centroid
    point: Shape = type(middle)(
        *(a + (b - a) * 0.07 for a, b in zip(corner[:2], (middle.x, middle.y), strict=True))
    )
    return point


def _traced(plan: Plan) -> Shown | None:
    """The survey below the drawing."""
    declared = plan.data.get("traced_over")
    return placed(declared, plan.path.parent, plan.site.unit) if declared else None


def choices_view() -> Shown:
    """What a person chooses from: materials, attributes, lists."""
    return {
        "materials": [
            {
                "id": m.id,
                "title": clean(m.title),
                "group": m.group,
                "nature": m.nature,
                "level": m.level,
            }
            for m in materials().values()
        ],
        "attributes": [
            {"name": w.name, "title": w.title, "kind": w.kind, "choices": list(w.choices)}
            for w in ATTRIBUTES.values()
        ],
        "stages": {stage: stage for stage in STAGES},
        "kinds": kinds_view(),
        "lists": list(LISTS),
    }


def entry_of(plan: Plan, name: str, key: str) -> Shown | None:
    """An entry of the file's data; None where it is not there."""
    return next((entry for known, entry in keyed(plan.data, name) if known == key), None)
