"""What the forms of offices ask besides, on one sheet: each line with who fills it in.

Nothing here is worked out. A line that the site file does not answer is a blank with its owner.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.pages.blocks import Column, Section, Table, para, part
from checker.pages.paper import Paper
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.papers.job import Job


class DataLine(Record):
    """One line of a form: what is asked, the key that answers it, and whose it is to fill in."""

    what: str
    key: str
    who: str


POOL: Final = (
    DataLine("Volume of water", "volume", "pool builder"),
    DataLine("Depth, shallow and deep; diving board", "depth", "pool builder"),
    DataLine("Pump, filter and heater; maker's sheets", "equipment", "pool builder"),
    DataLine("Backwash and emptying: where the water goes", "backwash", "pool builder"),
    DataLine("Filling water and backflow", "filling", "plumber"),
    DataLine("Wiring, bonding, depth of cables; lighting", "wiring", "licensed electrician"),
    DataLine("Gas line and its depth", "gas", "licensed gas fitter"),
    DataLine("Barrier: height, gap below, gates that close themselves", "barrier", "owner"),
    DataLine("Suction outlets and covers", "suction", "pool builder"),
)
WORK: Final = (
    DataLine("Value of the work", "cost", "applicant"),
    DataLine("Fill brought, earth dug and where it goes", "earthwork", "contractor"),
    DataLine("Securing of the site while holes are open", "securing", "contractor"),
    DataLine("Damage to street and right-of-way: who restores it", "street_damage", "contractor"),
    DataLine("Handrails and guards at steps and drops", "handrail", "designer"),
    DataLine("Retaining walls: height, and calculation where one is asked", "walls", "engineer"),
    DataLine("Water table and how it was found", "groundwater", "soil tester"),
    DataLine("Flood zone, panel and date of its map", "flood", "surveyor"),
    DataLine("Dry wells that stand already: confirmed on site", "standing_wells", "contractor"),
    DataLine("Water that comes onto the lot from others", "run_on_from_others", "designer"),
    DataLine("Most cover that the plat allows this lot", "plat_limit", "owner"),
    DataLine("Ties of the boundary to two monuments", "monuments", "surveyor"),
    DataLine("Year in which the existing cover was built", "years_built", "owner"),
    DataLine("Raised inlets in planted areas: height over the ground", "raised_inlets", "designer"),
    DataLine("Rain table: its edition, and the day it was read", "rain_table", "designer"),
    DataLine("Flow of the water today, its arrows drawn on S1 by hand", "flow_today", "designer"),
    DataLine("Levels of the neighbours' land along the lot lines", "neighbours_ground", "surveyor"),
)
AGREEMENT: Final = (
    DataLine("Parties to the upkeep agreement or covenant", "parties", "owner"),
    DataLine("Deed: book and page, or document number", "deed", "owner"),
    DataLine("Right of the office to enter and look", "entry", "owner"),
    DataLine("Where and when it is recorded", "recording", "recorder"),
    DataLine("Day of the yearly report, and who writes it", "annual_report", "owner"),
    DataLine(
        "Consent of the neighbour, where water or work crosses the line", "consent", "neighbour"
    ),
)

PAPERS: Final = (
    DataLine("Vicinity sketch with streets and north", "vicinity-sketch", "preparer"),
    DataLine("Photographs, as listed in the sequence", "photographs", "contractor"),
    DataLine("Makers' sheets of units, drains, wells and pool parts", "makers-sheets", "supplier"),
    DataLine("Installation papers and warranties", "installation-papers", "contractor"),
    DataLine("Agreements with subcontractors", "subcontractors", "contractor"),
    DataLine("Notice that work begins, recorded", "notice-of-commencement", "owner"),
    DataLine("Letter of the builder on the deviation", "builders-letter", "contractor"),
    DataLine("Letter of the neighbour on the deviation", "neighbours-letter", "neighbour"),
    DataLine("That no more land can be bought", "land-letter", "owner"),
    DataLine("Consent of the neighbour", "neighbour-consent", "neighbour"),
    DataLine("Letter of the owners' association", "owners-association-letter", "association"),
    DataLine("Printout of the soil survey, with the lot on it", "soil-survey", "soil tester"),
    DataLine("Soaking tests, or the letter of a soils engineer", "soaking-test-report",
             "soil tester"),
    DataLine("Structures and calculations of walls", "wall-calculation", "engineer"),
    DataLine("Pump curve, where water is pumped", "pump-curve", "pool builder"),
    DataLine("Upkeep agreement or covenant, recorded", "upkeep-agreement", "owner"),
)  # fmt: skip
"""Papers that others write; each is listed under 'on_file' by its key once it is there."""

_GROUPS: Final = (
    ("pool", "Pool", POOL),
    ("data", "Work and land", WORK),
    ("agreement", "Agreements", AGREEMENT),
)


def data_sheet(job: Job, number: str) -> Paper:
    """The sheet."""
    shown = [group for group in _GROUPS if group[0] != "pool" or job.checked.site.pools]
    said = (
        "Forms of offices ask for these besides the drawings. A blank is filled in by the person "
        "named beside it; cross out what this office does not ask."
    )
    return Paper(
        id="data-sheet",
        number=number,
        title="Data for the office's forms",
        blocks=(para(said, "fine"), *(_group(job, *group) for group in shown), _papers(job)),
    )


def _papers(job: Job) -> Section:
    """Papers of others, with those that are on file."""
    there = {item.document: item for item in job.checked.site.on_file}
    rows = []
    for line in PAPERS:
        found = there.get(line.key)
        state = f"on file: {clean(found.title)}" if found is not None else "to attach"
        rows.append((line.what, state, line.who))
    columns = (
        Column("Paper", width=2.2),
        Column("State", width=2.4),
        Column("Whose it is", width=1.0),
    )
    table = Table("Papers of others that offices ask for", columns, tuple(rows))
    return part("Papers to attach, where this office asks for them", table)


def _group(job: Job, key: str, title: str, lines: tuple[DataLine, ...]) -> Section:
    given = job.project.data.get(key, {})
    rows = tuple((line.what, clean(given.get(line.key, "")), line.who) for line in lines)
    columns = (
        Column("What", width=2.2),
        Column("Answer", width=2.4),
        Column("Filled in by", width=1.0),
    )
    return part(title, Table(f"{title}: what forms ask", columns, rows))


def open_lines(job: Job, key: str) -> tuple[str, ...]:
    """What of one group is still blank."""
    given = job.project.data.get(key, {})
    return tuple(
        line.what for name, _, lines in _GROUPS if name == key for line in lines
        if not given.get(line.key)
    )  # fmt: skip
