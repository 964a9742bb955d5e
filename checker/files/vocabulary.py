"""The words of the site file that rules may ask about: the attributes of a surface.

Each has one name, one kind and one description, used by the site file, by `where:` tests in rule
sets, by the JSON Schema and by the message that asks for a missing one.
"""

from __future__ import annotations

from typing import Final, Literal

from checker.core.records import Record
from checker.core.units import AREA, LENGTH, RATIO, SPEED, Dimension

Kind = Literal["amount", "text", "yes or no", "date"]


class Term(Record):
    """A name that rules may use.

    Attributes:
        name: As written in files.
        kind: What values it takes.
        text: What it means, one line, starting in lower case.
        dimension: For amounts.
        choices: For texts from a fixed set; empty when any text may stand.
        derived: The program works it out from the drawing when the file does not give it.
    """

    name: str
    kind: Kind
    text: str
    dimension: Dimension = RATIO
    choices: tuple[str, ...] = ()
    derived: bool = False


ATTRIBUTES: Final[dict[str, Term]] = {
    term.name: term
    for term in (
        Term("covered", "yes or no", "a roof stands over it", derived=True),
        Term("height", "amount", "height of its top above the ground beside it", LENGTH),
        Term("gap", "amount", "width of the open joints between boards or units", LENGTH),
        Term("board_width", "amount", "width of one board", LENGTH),
        Term("width", "amount", "its narrowest width", LENGTH, derived=True),
        Term("overhang", "amount", "how far a roof edge reaches past the wall below it", LENGTH),
        Term("open_share", "amount", "share of its area through which water passes to soil"),
        Term("lined", "yes or no", "plastic or another tight liner lies beneath it"),
        Term("base_compacted", "yes or no", "its base was compacted"),
        Term("over_pervious", "yes or no", "open ground lies beneath it", derived=True),
        Term(
            "use",
            "text",
            "who uses it",
            choices=("pedestrian", "vehicle", "storage", "landscape", "equipment"),
        ),
        Term(
            "purpose",
            "text",
            "what it is for",
            choices=(
                "walk", "service-walk", "drive", "parking", "patio", "pool-deck", "dwelling",
                "accessory", "garage", "porch", "stoop", "stairs", "trail", "road", "fire-lane",
                "other",
            ),
        ),
        Term("placed_on", "date", "the day it was put in place"),
        Term("lawful", "yes or no", "it was put in place lawfully"),
        Term("treated_by", "text", "the id of the facility that treats its runoff"),
        Term("drains_to", "text", "the id of the surface, inlet or way out its water runs to"),
        Term("storeys", "amount", "number of storeys"),
        Term("attached", "yes or no", "it is joined to the dwelling"),
        Term("freeboard", "amount", "height of the pool wall above the water", LENGTH),
        Term("slope", "amount", "fall of its surface"),
        Term("ground_slope", "amount", "fall of the ground below it"),
        Term("infiltration_rate", "amount", "measured rate at which its surface takes water", SPEED),
        Term("run_on", "amount", "sealed area that drains onto it, divided by its own area"),
        Term("water_table_depth", "amount", "from its base down to the seasonal high water", LENGTH),
        Term("stores_toxics", "yes or no", "harmful substances are kept or handled on it"),
        Term("washed_stone", "yes or no", "its stone is washed"),
        Term("in_easement", "yes or no", "it lies in an easement or right-of-way", derived=True),
        Term("area", "amount", "its own visible area", AREA, derived=True),
    )
}  # fmt: skip
"""Every attribute of a surface, by name."""
