"""The words of the site file that rules may ask about: the attributes of a surface.

Each has one name, one kind and one description, used by the site file, by `where:` tests in rule
sets, by the JSON Schema and by the message that asks for a missing one.
"""

from __future__ import annotations

from typing import Final

from checker.core.units import AREA, LENGTH, SPEED
from checker.core.words import Word

ATTRIBUTES: Final[dict[str, Word]] = {
    word.name: word
    for word in (
        Word("covered", "yes or no", "a roof stands over it", is_derived=True),
        Word("height", "amount", "height of its top above the ground beside it", LENGTH),
        Word("gap", "amount", "width of the open joints between boards or units", LENGTH),
        Word("board_width", "amount", "width of one board", LENGTH),
        Word("width", "amount", "its narrowest width", LENGTH, is_derived=True),
        Word("overhang", "amount", "how far a roof edge reaches past the wall below it", LENGTH),
        Word("open_share", "amount", "share of its area through which water passes to soil"),
        Word("lined", "yes or no", "plastic or another tight liner lies beneath it"),
        Word("lined_beside", "yes or no", "a tight liner stands at a side of its stone"),
        Word("base_compacted", "yes or no", "its base was compacted"),
        Word("over_pervious", "yes or no", "open ground lies beneath it", is_derived=True),
        Word(
            "use",
            "text",
            "who uses it",
            choices=("pedestrian", "vehicle", "storage", "landscape", "equipment"),
        ),
        Word(
            "purpose",
            "text",
            "what it is for",
            choices=(
                "walk", "service-walk", "drive", "parking", "patio", "pool-deck", "dwelling",
                "accessory", "garage", "porch", "stoop", "stairs", "trail", "road", "fire-lane",
                "other",
            ),
        ),
        Word("placed_on", "date", "the day it was put in place"),
        Word("lawful", "yes or no", "it was put in place lawfully"),
        Word("treated_by", "text", "the id of the facility that treats its runoff"),
        Word("drains_to", "text", "the id of the surface, inlet or way out its water runs to"),
        Word("onto_panel", "text", "the panel of the surface that its water runs to"),
        Word("storeys", "amount", "number of storeys"),
        Word("attached", "yes or no", "it is joined to the dwelling"),
        Word("freeboard", "amount", "height of the pool wall above the water", LENGTH),
        Word("slope", "amount", "fall of its surface"),
        Word("ground_slope", "amount", "fall of the ground below it"),
        Word("infiltration_rate", "amount", "measured rate at which its surface takes water", SPEED),
        Word("run_on", "amount", "sealed area that drains onto it, divided by its own area"),
        Word("unscreened_run_on", "amount", "its run-on without the screened water of roofs"),
        Word("screened", "yes or no", "leaves and grit are screened out of what runs off it"),
        Word("water_table_depth", "amount", "how far its base lies above the seasonal high water", LENGTH),
        Word("soil_depth", "amount", "depth of soil on a planted roof or over a structure", LENGTH),
        Word("over_structure", "yes or no", "a structure lies under the ground here"),
        Word("sewer_connected", "yes or no", "its water runs to the public sewer"),
        Word(
            "joint_fill",
            "text",
            "what fills its joints",
            choices=("open", "sand", "gravel", "grass", "mortar"),
        ),
        Word(
            "base_kind",
            "text",
            "what it lies on",
            choices=("soil", "sand", "gravel", "bound", "concrete"),
        ),
        Word("stores_toxics", "yes or no", "harmful substances are kept or handled on it"),
        Word("washed_stone", "yes or no", "its stone is washed"),
        Word("in_easement", "yes or no", "it lies in an easement or right-of-way", is_derived=True),
        Word("area", "amount", "its own visible area", AREA, is_derived=True),
    )
}  # fmt: skip
"""Every attribute of a surface, by name."""
