"""The things that offices ask for, and where the program looks for each of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.measure.drainage.drawn import panels_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from checker.pages.paper import Paper
    from checker.papers.job import Job

TITLES: Final = {
    "owner": "Owner's name and contact",
    "applicant": "Applicant's name and contact",
    "preparer": "Preparer's name",
    "address": "Site address",
    "parcel": "Parcel or tax number",
    "legal-description": "Lot and block or legal description",
    "zoning": "Zoning district",
    "lot-area": "Lot area",
    "coverage-table": "Itemised table of areas",
    "existing-and-proposed": "Existing and proposed figures",
    "percent-of-lot": "Per cent of the lot against the limit",
    "excluded-surfaces": "Excluded or partly credited surfaces listed",
    "earlier-additions": "Cover added since the place began to count",
    "scale": "Stated scale, written and as a bar",
    "north-arrow": "North arrow",
    "legend": "Legend, existing told apart from proposed",
    "title-block": "Title block",
    "revision-box": "Revision box",
    "lot-line-dimensions": "Lot lines with dimensions",
    "setbacks": "Distances to lot lines",
    "easements": "Easements and rights-of-way",
    "existing-shown": "All existing structures and paving",
    "removals-shown": "What is removed",
    "work-dimensioned": "New work with dimensions",
    "survey": "Survey that the drawing is based on",
    "survey-date": "Date of the survey",
    "datum": "Vertical datum",
    "benchmark": "Benchmark",
    "spot-levels": "Spot levels",
    "flow-arrows": "Flow arrows",
    "downspouts": "Downspouts and roof drains",
    "trees": "Trees",
    "utilities": "Utilities, septic, well",
    "constraints": "Flood, wetland, slope and groundwater findings",
    "disturbance-limit": "Limit of disturbance",
    "section": "Pavement section",
    "soil-information": "Soil and infiltration information",
    "drainage-calculations": "Drainage calculations",
    "design-storm": "Design storm named",
    "overflow-statement": "Overflow and redundancy statement",
    "neighbour-protection": "Neighbours: no new or concentrated discharge",
    "erosion-control": "Erosion and sediment control",
    "sequence": "Construction sequence",
    "inspections": "Inspection stages",
    "upkeep-plan": "Operation and upkeep plan",
    "narrative": "Written description",
    "truth-statement": "Owner's truth statement, to be signed",
    "other-approvals": "Other approvals",
    "deviation-request": "Request to change the standard section",
    "certifications": "Certifications, to be signed",
}

ASKED_EVERYWHERE: Final = (
    "coverage-table", "existing-shown", "percent-of-lot", "work-dimensioned", "scale", "setbacks",
    "address", "easements", "lot-area", "lot-line-dimensions", "owner", "existing-and-proposed",
    "preparer", "survey", "parcel", "utilities", "constraints", "spot-levels", "north-arrow",
)  # fmt: skip
"""What forms of many places ask most often, by a count over 64 public documents, read in part."""

PAPERS: Final = {
    "coverage-table": "coverage-worksheet",
    "existing-and-proposed": "coverage-worksheet",
    "percent-of-lot": "coverage-worksheet",
    "excluded-surfaces": "coverage-worksheet",
    "scale": "site-plan",
    "north-arrow": "site-plan",
    "legend": "site-plan",
    "title-block": "site-plan",
    "revision-box": "site-plan",
    "lot-line-dimensions": "site-plan",
    "existing-shown": "site-plan",
    "removals-shown": "site-plan",
    "work-dimensioned": "site-plan",
    "setbacks": "site-plan",
    "section": "pavement-section",
    "drainage-calculations": "drainage-calculations",
    "overflow-statement": "overflow-statement",
    "sequence": "sequence",
    "inspections": "sequence",
    "upkeep-plan": "upkeep-plan",
    "narrative": "narrative",
    "truth-statement": "coverage-worksheet",
    "certifications": "certifications",
    "deviation-request": "deviation-request",
}
"""The document of the packet in which an item stands."""

_LOOKED_FOR: Final = ("well", "septic-tank", "septic-field", "utility")
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
        return Found(is_there=True, says=f"document {paper.number}, {paper.title}")
    return _LOOKS[item](job)


_EMPTY: Final = {
    "section": "draw the section under 'sections' of the site file",
    "drainage-calculations": "give 'ways_out', 'ground' and 'storms' in the site file",
    "overflow-statement": "give 'ways_out' in the site file",
    "deviation-request": "give 'deviation' under 'project', if one is asked for",
}


def _person(role: str) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        is_there = role in job.project.people
        return Found(is_there, "cover" if is_there else f"give '{role}' under 'project'")

    return found


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
    is_there = any(
        panel.levels or panel.level_m is not None for panel in panels_of(job.checked.survey)
    )
    return Found(is_there, "site plan" if is_there else "give 'levels' or 'level' under 'panels'")


def _part(part: str, where: str) -> Callable[[Job], Found]:
    def found(job: Job) -> Found:
        is_there = bool(job.checked.site.parts.get(part))
        return Found(is_there, where if is_there else f"give '{part}' in the site file")

    return found


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
    "preparer": _person("preparer"),
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
    "flow-arrows": _part("panels", "site plan"),
    "downspouts": _part("ways_out", "site plan"),
    "trees": _features(("tree",)),
    "utilities": _features(_LOOKED_FOR),
    "constraints": _features(_CONSTRAINTS),
    "disturbance-limit": _disturbance,
    "soil-information": _part("ground", "drainage calculations"),
    "design-storm": _part("storms", "drainage calculations"),
    "neighbour-protection": _text("neighbours"),
    "erosion-control": _erosion,
    "other-approvals": _approvals,
}
