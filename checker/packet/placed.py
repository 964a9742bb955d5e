"""Whether what is built for water lies where it may, and is one thing in every document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.showing import show
from checker.core.units import LENGTH, UNIT, Amount, same
from checker.measure.arrangement import SLIVER_M2, common, joined, without
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.built import STORES, WorkFacts, works_of
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.reservoirs import contradictions, section_store
from checker.papers.checks import Check, CheckState
from checker.words.amounts import clean, pair_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System
    from checker.measure.drainage.built import BuiltWork
    from checker.measure.drainage.reservoirs import SectionStore
    from checker.papers.job import Job
    from checker.site.drainage import Pit
    from checker.site.model import Shape

NEIGHBOUR_CONSENT: Final = "neighbour-consent"
EASEMENT_CONSENT: Final = "easement-consent"
USUAL_M: Final = 10 * UNIT["ft"].size_si
"""How far offices usually want a dry well from house, pool and lot line (common practice)."""

NEAR_M: Final = 0.001
"""What is nearer to a line than this lies on it."""

_NEVER: Final = frozenset(
    {"roof", "pool-water", "spa-water", "well", "septic-tank", "septic-field", "foundation"}
)
"""Materials and kinds of feature in whose ground nothing may soak."""

_FROM: Final = {
    "distance_to_dwelling": "the dwelling",
    "distance_to_pool": "the pool",
    "distance_to_lot_line": "the lot line",
}


def placed_works(job: Job) -> Iterator[Check]:
    """The checks of everything built for water; nothing where none is."""
    works = works_of(job.checked.survey)
    if not works:
        return
    yield from _not_placed(works)
    yield from _beyond(job, works)
    yield from _in_easements(job, works)
    yield from _near(job, works)
    yield from _where_nothing_may_soak(job, works)


def _where_nothing_may_soak(job: Job, works: Sequence[BuiltWork]) -> Iterator[Check]:
    """A hole for water below a building, in a pool or in a well or septic system is a mistake."""
    site = job.checked.site
    taken: list[tuple[str, Any]] = [
        (job.keys.named(item.id), item.shape)
        for item in site.surfaces
        if item.stage != "removed" and item.material.id in _NEVER
    ]
    taken += [(clean(item.title), item.shape) for item in site.features if item.kind in _NEVER]
    stores = [work for work in works if work.kind in STORES and not work.lacks]
    inside = [
        f"{clean(work.id)} in {name}"
        for work in stores
        for name, shape in taken
        if common(work.shape, shape).area > SLIVER_M2
        or (shape.area <= SLIVER_M2 and work.shape.distance(shape) <= NEAR_M)
    ]
    if stores:
        yield Check(
            what="No dry well or stone below a building, in a pool, a well or a septic system",
            state="missing" if inside else "there",
            says=f"{'; '.join(inside)}; move it" if inside else "none",
            is_must=True,
        )


def _not_placed(works: Sequence[BuiltWork]) -> Iterator[Check]:
    asks = [work.lacks for work in works if work.lacks]
    if asks:
        yield Check(
            what="Drains, pipes and stores have a place",
            state="cannot tell",
            says="; ".join(map(clean, asks)),
            is_must=any(work.lacks and work.kind in STORES for work in works),
        )


def _beyond(job: Job, works: Sequence[BuiltWork]) -> Iterator[Check]:
    lot = job.checked.site.lot.boundary
    ways = [item.shape for item in job.checked.site.regions if item.kind == "right-of-way"]
    for kinds, what in (
        (STORES, "Dry wells and stone beds lie on the lot"),
        (("pipe", "drain", "outlet"), "Pipes, drains and outlets lie on the lot"),
    ):
        own = [work for work in works if work.kind in kinds and not work.lacks]
        # What crosses into the street is the office's matter, and told under the right-of-way.
        land = joined([lot, *ways]) if ways and kinds is not STORES else lot
        beyond = [work.id for work in own if _reaches_beyond(work, land)]
        if own:
            yield _judged(job, what, beyond, "beyond the lot line", NEIGHBOUR_CONSENT, is_must=True)


def _reaches_beyond(work: BuiltWork, lot: Shape) -> bool:
    """A pipe may end on the lot line: its axis counts, not half its width."""
    if work.axis is None:
        return bool(without(work.shape, lot).area > SLIVER_M2)
    return bool(work.axis.distance(lot) > 0 or work.axis.difference(lot).length > NEAR_M)


def _in_easements(job: Job, works: Sequence[BuiltWork]) -> Iterator[Check]:
    for region in job.checked.site.regions:
        if region.kind not in {"easement", "right-of-way"}:
            continue
        inside = [work for work in works if common(work.shape, region.shape).area > SLIVER_M2]
        for is_must in (True, False):
            names = [work.id for work in inside if (work.kind in STORES) is is_must]
            if names:
                noun = "Dry wells and stone in" if is_must else "Pipes and drains in"
                what = f"{noun} {clean(region.title)}"
                yield _judged(job, what, names, "lies in it", EASEMENT_CONSENT, is_must=is_must)


def _judged(
    job: Job, what: str, names: Sequence[str], where: str, consent: str, *, is_must: bool
) -> Check:
    if not names:
        return Check(what=what, state="there", says="all of them", is_must=is_must)
    said = f"{where}: {', '.join(map(clean, names))}"
    state: CheckState = "missing"
    if any(item.document == consent for item in job.checked.site.on_file):
        state, said = "there", f"{said}; consent under 'on_file'"
    else:
        said = f"{said}; move it, or attach the consent and list '{consent}' under 'on_file'"
    return Check(what=what, state=state, says=said, is_must=is_must)


def _near(job: Job, works: Sequence[BuiltWork]) -> Iterator[Check]:
    system = job.checked.system
    wells = [work for work in works if work.kind == "dry-well" and not work.lacks]
    near = [
        f"{clean(work.id)} "
        + job.figures.add(f"placed.{work.id}.{name}", f"{work.id}, {name}", found)
        + f" from {noun}"
        for work in wells
        for name, noun in _FROM.items()
        if isinstance(found := WorkFacts(job.checked.survey, work).get(name), Amount)
        and found.value_si < USUAL_M
    ]
    if wells:
        usual = show(Amount(USUAL_M, LENGTH), system)
        yield Check(
            what=f"Dry wells {usual} from dwelling, pool and lot line, as offices usually ask",
            state="missing" if near else "there",
            says="; ".join(near) or "all of them",
            is_must=False,
        )


def beds_agree(job: Job) -> Iterator[Check]:
    """Whether each bed of stone is the same one in its section and among the stores."""
    survey, site = job.checked.survey, job.checked.site
    if "ways_out" not in site.parts:
        return
    for pit in ways_of(survey).pits:
        try:
            drawn = section_store(pit, survey)
        except NotMeasured:
            continue  # told where the section is checked
        if drawn is None:
            continue
        apart = contradictions(pit, drawn, survey) or list(_apart(pit, drawn, job.checked.system))
        yield Check(
            what=f"{clean(pit.id)} is one bed in section and calculation",
            state="missing" if apart else "there",
            says="; ".join(apart) or "depth, holes, base and outlet agree",
            is_must=True,
        )


def _apart(pit: Pit, drawn: SectionStore, system: System) -> Iterator[str]:
    """What the calculation takes otherwise than the section, without asking too much of it."""
    here = f"the section '{drawn.section}'"
    if pit.depth_m is not None and not same(pit.depth_m, drawn.depth_m):
        own, other = _lengths(pit.depth_m, drawn.depth_m, system)
        yield f"{own} of stone here, {other} in {here}"
    given, drawn_share = pit.porosity_fraction, drawn.porosity_fraction
    if given is not None and drawn_share is not None and not same(given, drawn_share):
        yield f"holes of {given:.3g} here, {drawn_share:.3g} in {here}"
    mouths_m = [item.invert_m for item in pit.outlets if item.invert_m is not None]
    if mouths_m and pit.bottom_m is not None and drawn.outlet_m is not None:
        high_m = min(mouths_m) - pit.bottom_m
        if not same(high_m, drawn.outlet_m, max(mouths_m)):
            own, other = _lengths(high_m, drawn.outlet_m, system)
            yield f"the lowest outlet {own} over the base here, {other} in {here}"


def _lengths(first_m: float, second_m: float, system: System) -> tuple[str, str]:
    """Two lengths that differ, as texts that do."""
    return pair_text(Amount(first_m, LENGTH), Amount(second_m, LENGTH), system)
