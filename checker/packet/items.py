"""The things that offices ask for, and where the program looks for each of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange, lack_text
from checker.core.problems import BadInput
from checker.core.records import Record
from checker.measure.catalogue import NotMeasured
from checker.measure.contours import contours, ground_levels
from checker.measure.drainage.built import works_of
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.drawn import ground_of, levels_of, panels_of, storms_of, ways_of
from checker.packet.item_titles import PAPERS
from checker.papers.data_sheet import open_lines
from checker.papers.overflow import overflow_cases
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from checker.pages.paper import Paper
    from checker.papers.job import Job

_LOOKED_FOR: Final = ("well", "septic-tank", "septic-field", "utility")
_LINES: Final = frozenset({"overhead-line", "gas-line", "water-line", "sewer-line"})
_CONSTRAINTS: Final = ("wetland", "shoreline", "stream", "slope-toe")


class Found(Record):
    """Whether a thing is there, where, and whether only a person can add it."""

    is_there: bool
    says: str
    is_for_a_person: bool = False


def look(item: str, job: Job, papers: Sequence[Paper]) -> Found:
    """Look for one item of `TITLES`."""
    if item in PAPERS:
        paper = next((p for p in papers if p.id == PAPERS[item]), None)
        if paper is None or paper.is_empty:
            return Found(
                is_there=False, says=_EMPTY.get(item, "the document is not in this packet")
            )
        lacks = _LACKS[item](job) if item in _LACKS else ""
        if lacks:
            return Found(is_there=False, says=lacks, is_for_a_person=item == "overflow-statement")
        return Found(is_there=True, says=f"document {paper.number}, {paper.title}")
    return _LOOKS[item](job)


_EMPTY: Final = {
    "section": "draw the section under 'sections' of the site file",
    "drainage-calculations": "give 'ways_out', 'ground' and 'storms' in the site file",
    "overflow-statement": "give 'ways_out' in the site file",
    "deviation-request": "give 'deviation' under 'project', if one is asked for",
}


def _blank_cases(job: Job) -> str:
    blank = [case.when for case in overflow_cases(job) if case.is_blank]
    return f"to be filled in by the designer: {'; '.join(blank)}" if blank else ""


def _blank_parts(job: Job) -> str:
    """What the narrative leaves to be filled in."""
    told = (*_TOLD, "overflow") if _has(job, "ways_out") else _TOLD
    blank = [key for key in told if key not in job.project.texts]
    return f"give {', '.join(blank)} under 'project': blanks in it" if blank else ""


def _no_calculation(job: Job) -> str:
    """Why the calculation could not be made, though its parts are drawn."""
    try:
        design_flows(job.survey)
    except (NotMeasured, OutOfRange, BadInput) as lack:
        return f"it could not be made: {lack_text(lack, job.checked.system)}"
    return ""


def _nobody(job: Job) -> str:
    is_said = {"upkeep_by", "owner"} & set(job.project.people)
    return "" if is_said else "say who keeps it up: 'upkeep_by' under 'project'"


_TOLD: Final = ("request", "existing", "work", "stormwater", "neighbours")
_LACKS: Final[dict[str, Callable[[Job], str]]] = {
    "overflow-statement": _blank_cases,
    "narrative": _blank_parts,
    "drainage-calculations": _no_calculation,
    "upkeep-plan": _nobody,
}
"""What a document that is there still lacks; empty where it is whole."""


def _person(role: str) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        person = job.project.people.get(role)
        if person is None:
            return Found(is_there=False, says=f"give '{role}' under 'project'")
        if not (person.phone or person.email or person.address):
            return Found(
                is_there=False, says=f"a bare name: give 'phone', 'email' or 'address' of '{role}'"
            )
        return Found(is_there=True, says="cover")

    return found


def _preparer(job: Job) -> Found:
    is_there = "preparer" in job.project.people
    return Found(is_there, "cover" if is_there else "give 'preparer' under 'project'")


def _text(key: str) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        is_there = key in job.project.texts
        return Found(
            is_there, "cover or narrative" if is_there else f"give '{key}' under 'project'"
        )

    return found


def _survey(key: str) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        is_there = bool(getattr(job.project.survey, key))
        name = "date" if key == "day" else key
        return Found(is_there, "cover" if is_there else f"give '{name}' under 'project: survey'")

    return found


def _zoning(job: Job) -> Found:
    is_there = "zone" in job.checked.site.facts
    return Found(is_there, "cover" if is_there else "give the fact 'zone'")


def _lot_area(job: Job) -> Found:
    del job
    return Found(is_there=True, says="cover and coverage worksheet")


def _earlier(job: Job) -> Found:
    is_there = bool(job.project.earlier)
    return Found(is_there, "cover" if is_there else "list what was added under 'project: earlier'")


def _regions(kind: str, name: str) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        site = job.checked.site
        if any(region.kind == kind for region in site.regions):
            return Found(is_there=True, says="site plan")
        if name in site.none_found or kind in site.none_found:
            return Found(is_there=True, says="narrative: none found")
        return Found(
            is_there=False,
            says=f"draw them under 'regions', or list '{name}' under 'none_found'",
        )

    return found


def _features(kinds: tuple[str, ...]) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        site = job.checked.site
        drawn = {feature.kind for feature in site.features} | {r.kind for r in site.regions}
        if drawn & _LINES:
            drawn |= {"utility"}
        open_ones = [kind for kind in kinds if kind not in drawn and kind not in site.none_found]
        if not open_ones:
            return Found(is_there=True, says="site plan or narrative")
        listed = ", ".join(open_ones)
        return Found(
            is_there=False, says=f"draw under 'features', or list under 'none_found': {listed}"
        )

    return found


def _spot_levels(job: Job) -> Found:
    """There where a level stands on the plan: of a panel, given or worked out."""
    is_there = bool(levels_of(job.checked.survey)) or any(
        panel.levels or panel.level_m is not None for panel in panels_of(job.checked.survey)
    )
    return Found(is_there, "site plan" if is_there else "give 'levels', or 'level' of the panels")


def _soil(job: Job) -> Found:
    """There where the soil is named or its rate was measured; drawn parts alone say nothing."""
    if not _has(job, "ground"):
        return Found(is_there=False, says="give 'ground' in the site file")
    ground = ground_of(job.checked.survey)
    is_there = ground.measured_rate_m_per_s is not None or bool(ground.soil_group)
    do = "give 'measured_rate' or 'soil_group' under 'ground'"
    return Found(is_there, "drainage calculations" if is_there else do)


def _storm(job: Job) -> Found:
    is_there = _has(job, "storms") and storms_of(job.checked.survey).design is not None
    do = "give 'design' under 'storms' in the site file"
    return Found(is_there, "drainage calculations" if is_there else do)


def _flow_before(job: Job) -> Found:
    """There where each edge over which water leaves the lot says what left there before."""
    if not _has(job, "ways_out"):
        return Found(is_there=False, says="give 'ways_out' in the site file")
    edges = [e for e in ways_of(job.checked.survey).edges if e.onto in {"street", "neighbour"}]
    lacks = [clean(edge.id) for edge in edges if edge.existing_m3_per_s is None]
    if not edges:
        return Found(is_there=True, says="no overflow edge leads off the lot")
    do = f"give 'existing_flow' of {', '.join(lacks)}"
    return Found(not lacks, do if lacks else "document 7, what leaves")


def _leaders(job: Job) -> Found:
    """There where the water of every roof has a way: a leader drawn, or where it runs to."""
    survey = job.checked.survey
    led = {drain.of for drain in ways_of(survey).drains} if _has(job, "ways_out") else set()
    open_ones = [
        job.keys.named(surface.id)
        for surface in job.checked.site.surfaces
        if surface.material.group == "Buildings"
        and surface.stage != "removed"
        and surface.id not in led
        and not surface.attributes.get("drains_to")
    ]
    if not open_ones:
        return Found(is_there=True, says="site plan")
    return Found(
        is_there=False,
        says=f"draw a roof leader ('of'), or say 'drains_to', of: {', '.join(open_ones)}",
    )


def _has(job: Job, part: str) -> bool:
    return bool(job.checked.site.parts.get(part))


def _arrows(job: Job) -> Found:
    is_there = any(
        panel.pitch_fraction is not None or panel.levels for panel in panels_of(job.checked.survey)
    )
    return Found(is_there, "site plan" if is_there else "give 'pitch' or 'levels' under 'panels'")


def _groundwater(job: Job) -> Found:
    known = _has(job, "ground") and ground_of(job.checked.survey).water_table_depth_m is not None
    known = known or bool(job.project.data.get("data", {}).get("groundwater"))
    do = "give 'water_table_depth' under 'ground'"
    return Found(known, "drainage calculations or data sheet" if known else do)


def _flood(job: Job) -> Found:
    if job.project.data.get("data", {}).get("flood"):
        return Found(is_there=True, says="data sheet")
    return _features(("flood-zone",))(job)


def _contours(job: Job) -> Found:
    if job.project.texts.get("grading"):
        return Found(is_there=True, says="site plan: as 'grading' says")
    if contours(
        ground_levels(levels_of(job.checked.survey), is_proposed=False), job.checked.system
    ):
        return Found(is_there=True, says="site plan")
    do = (
        "give levels of corners under 'levels', or write 'no change of grade' as 'grading' of "
        "the project"
    )
    return Found(is_there=False, says=do)


def _revisions(job: Job) -> Found:
    """There where the revision box has a line for this set, with its day."""
    own = job.project.revision
    dated = any(item.revision == own and item.day for item in job.project.revisions)
    do = f"list revision {own} with its 'date' under 'revisions'"
    return Found(dated, "site plan" if dated else do)


def _pool(job: Job) -> Found:
    if not job.checked.site.pools:
        return Found(is_there=True, says="no pool is drawn")
    lacks = open_lines(job, "pool")
    if not lacks:
        return Found(is_there=True, says="data sheet")
    says = f"{len(lacks)} lines of the data sheet are blank: give them under 'project: pool'"
    return Found(is_there=False, says=says, is_for_a_person=True)


def _agreement(job: Job) -> Found:
    lacks = open_lines(job, "agreement")
    says = "data sheet" if not lacks else "fill in the data sheet, or give 'agreement'"
    return Found(not lacks, says, is_for_a_person=True)


def _sizes(job: Job) -> Found:
    if not _has(job, "ways_out"):
        return Found(is_there=False, says="give 'ways_out' in the site file")
    lacks = [work.lacks for work in works_of(job.checked.survey) if work.lacks]
    return Found(not lacks, "; ".join(lacks) or "site plan, tables of drainage")


def _neighbouring(job: Job) -> Found:
    near = [f for f in job.checked.site.features if f.kind == "neighbour-structure"]
    is_there = bool(near) or "neighbour-structure" in job.checked.site.none_found
    do = "draw 'neighbour-structure' under 'features', or list it under 'none_found'"
    return Found(is_there, "site plan" if is_there else do)


def _vicinity(job: Job) -> Found:
    is_there = bool(job.project.texts.get("vicinity"))
    do = "give 'vicinity' under 'project', and paste a sketch into its frame on the first sheet"
    return Found(is_there, "site plan" if is_there else do, is_for_a_person=True)


def _disturbance(job: Job) -> Found:
    is_there = any(region.id == "limit-of-disturbance" for region in job.checked.site.regions)
    do = "draw it under 'regions' with the id 'limit-of-disturbance'"
    return Found(is_there, "site plan" if is_there else do)


def _erosion(job: Job) -> Found:
    is_there = bool(job.project.erosion)
    return Found(
        is_there, "narrative" if is_there else "list the measures under 'project: erosion'"
    )


def _approvals(job: Job) -> Found:
    is_there = bool(job.project.rows.get("approvals"))
    do = "list them under 'project: approvals', with 'not needed' where they are not"
    return Found(is_there, "cover" if is_there else do, is_for_a_person=True)


_LOOKS: Final[dict[str, Callable[[Job], Found]]] = {
    "owner": _person("owner"),
    "applicant": _person("applicant"),
    "preparer": _preparer,
    "address": _text("address"),
    "parcel": _text("parcel"),
    "legal-description": _text("legal"),
    "zoning": _zoning,
    "lot-area": _lot_area,
    "earlier-additions": _earlier,
    "easements": _regions("easement", "easement"),
    "survey": _survey("by"),
    "survey-date": _survey("day"),
    "datum": _survey("datum"),
    "benchmark": _survey("benchmark"),
    "spot-levels": _spot_levels,
    "flow-arrows": _arrows,
    "downspouts": _leaders,
    "trees": _features(("tree",)),
    "utilities": _features(_LOOKED_FOR),
    "constraints": _features((*_CONSTRAINTS, "flood-zone")),
    "disturbance-limit": _disturbance,
    "soil-information": _soil,
    "design-storm": _storm,
    "neighbour-protection": _text("neighbours"),
    "erosion-control": _erosion,
    "other-approvals": _approvals,
    "revision-box": _revisions,
    "flood": _flood,
    "groundwater": _groundwater,
    "contours": _contours,
    "walls": _features(("wall",)),
    "neighbouring-land": _neighbouring,
    "vicinity": _vicinity,
    "bearings": _survey("bearings"),
    "pool-data": _pool,
    "drainage-sizes": _sizes,
    "upkeep-agreement": _agreement,
    "flow-before": _flow_before,
}
