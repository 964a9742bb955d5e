"""Parts that a new site file can start with: a pavement section, a drain line, a dry well.

Their measures are made up in round numbers of the file's unit, like the lot that they lie on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.showing import system_of

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

SNIPPETS: Final = ("section", "drain-line", "dry-well")
"""What may be asked for."""

_COURSES: Final = {
    "us": ("2-3/8 in", "9 in", "4-1/2 in", "2 in", "12 in", "2.5 in"),
    "metric": ("80 mm", "220 mm", "110 mm", "50 mm", "300 mm", "64 mm"),
}
_SMALL: Final = {
    "us": {"channel": "6 in", "slot": "3/8 in", "pipe": "6 in", "leader": "4 in", "spill": "3 in",
           "chamber": "60 in", "pit": "108 in", "below": "12 in", "rate": "1.2 in/h",
           "design": "2.5 in", "rare": "7 in"},
    "metric": {"channel": "150 mm", "slot": "10 mm", "pipe": "150 mm", "leader": "100 mm",
               "spill": "75 mm", "chamber": "1500 mm", "pit": "2700 mm", "below": "300 mm",
               "rate": "30 mm/h", "design": "64 mm", "rare": "178 mm"},
}  # fmt: skip


def asked_snippets(names: Collection[str]) -> tuple[str, ...]:
    """The parts that are asked for, each once and in the order in which a file has them.

    Raises:
        BadInput: There is no such part.
    """
    problems = [
        Problem(Place("with"), f"'{name}' is no part to start with", did_you_mean(name, SNIPPETS))
        for name in names
        if name not in SNIPPETS
    ]
    if problems:
        raise BadInput("a site file cannot be started", problems)
    return tuple(name for name in SNIPPETS if name in names)


def snippet_surfaces(names: Collection[str], at: Callable[..., str]) -> str:
    """What stands under `surfaces` for the parts.

    Args:
        names: The parts.
        at: A point or size in the unit of the file, from round metres.
    """
    if "section" not in names:
        return ""
    return f"""\
  - id: court
    title: Court
    material: permeable-paving
    stage: proposed
    section: court               # what it is built of: under 'sections' below
    shape: {{rectangle: {{corner: {at(3.5, 33)}, size: {at(5.5, 6)}}}}}
    attributes: {{use: pedestrian}}
"""


def surface_leads(names: Collection[str]) -> dict[str, str]:
    """Where the water of the surfaces of every new file runs, once a way out is drawn."""
    if "drain-line" not in names and "dry-well" not in names:
        return dict.fromkeys(("house", "coping", "deck", "walk"), "")
    return {
        "house": "" if "dry-well" in names else ", drains_to: eaves",
        "coping": "\n    attributes: {drains_to: deck}",
        "deck": "" if "drain-line" in names else ", drains_to: deck-edge",
        "walk": "\n    attributes: {drains_to: walk-edge}",
    }


def snippet_parts(names: Collection[str], unit: str, metre: float, at: Callable[..., str]) -> str:
    """The groups of the file for the parts, each with remarks.

    Args:
        names: The parts.
        unit: The unit of the file.
        metre: A round metre in that unit.
        at: A point or size in the unit of the file, from round metres.
    """
    if not names:
        return ""
    drains = [name for name in names if name != "section"]
    text = _section(unit, metre) if "section" in names else ""
    if "section" in names or "dry-well" in names:
        text += _ground(unit)
    if drains:
        text += _ways_out(names, unit, metre, at) + _storms(unit)
    return text


def _section(unit: str, metre: float) -> str:
    unit_thick, long, wide, bedding, base, rain = _COURSES[system_of(unit)]
    joint, pipe = ("10 mm", "150 mm") if system_of(unit) == "metric" else ("3/8 in", "6 in")
    return f"""
# What a pavement is built of, from the top down; a surface names it with 'section: court'.
# 'soakline sections' draws it, 'soakline takeoff' says what to order.
sections:
  court:
    title: Court, permeable units
    kind: permeable
    use: pedestrian
    courses:
      - {{course: unit, title: Units, thickness: {unit_thick}, length: {long}, width: {wide}}}
      - {{course: joint, title: Joint stone, stone: "89", width: {joint}, washed: yes}}
      - {{course: bedding, title: Bedding, stone: "8", thickness: {bedding}, porosity: 40 %, washed: yes}}
      - {{course: base, title: Base, stone: "57", thickness: {base}, porosity: 40 %, washed: yes}}
      - {{course: subgrade, title: Subgrade, compacted: no}}
    # A pipe to look into the stone from above, and what holds the units at the rim.
    well: {{diameter: {pipe}, capped: yes, count: 1}}
    edge: {{kind: concrete edge, length: {23 * metre:.6g} {unit}}}
    design_rain: {rain}
"""  # noqa: E501 - lines of the file that is written


def _ground(unit: str) -> str:
    metric = system_of(unit) == "metric"
    deep = "4 m" if metric else "12 ft"
    return f"""
# The soil, from tests where the water soaks in. A dry well or a section cannot be judged without.
ground: {{soil_group: B, measured_rate: {_SMALL[system_of(unit)]["rate"]}, safety_factor: 2, tests: 2, water_table_depth: {deep}}}
"""  # noqa: E501 - a line of the file that is written


def _ways_out(names: Collection[str], unit: str, metre: float, at: Callable[..., str]) -> str:
    small = _SMALL[system_of(unit)]
    has_line, has_well = "drain-line" in names, "dry-well" in names

    def level(below: float) -> str:
        """A level so many round metres below that of the deck, which is 100."""
        return f"{100 - below * metre:.6g}"

    def long(metres: float) -> str:
        return f"{metres * metre:.6g} {unit}"

    line_inlet = f"""\
    - {{id: channel, kind: channel-drain, along: [{at(18, 14)}, {at(4, 14)}], rim: {level(0.13)}, width: {small["channel"]},
       depth: {small["channel"]}, fall: 0.5 %, slot: {small["slot"]}, to: main, spills_to: deck-edge}}
"""  # noqa: E501 - lines of the file that is written
    well_inlet = f"""\
    - {{id: leader, kind: roof-leader, of: house, share: 50 %, at: {at(14, 29)}, diameter: {small["leader"]},
       spill_depth: {small["spill"]}, to: dry-well, spills_to: by-house}}
    - {{id: front-leader, kind: roof-leader, of: house, share: 50 %, at: {at(8, 29)}, diameter: {small["leader"]},
       spill_depth: {small["spill"]}, to: front-pipe, spills_to: by-house}}
"""  # noqa: E501 - as above
    line_pipe = f"""\
    - {{id: main, to: daylight, diameter: {small["pipe"]}, material: smooth plastic pipe, length: {long(13.2)},
       upper: {level(0.5)}, lower: {level(0.7)}, along: [{at(4, 14)}, {at(2, 1)}]}}
"""  # noqa: E501 - as above
    well_pipe = f"""\
    - {{id: well-overflow, to: pop-up, diameter: {small["leader"]}, material: smooth plastic pipe, length: {long(5.5)},
       upper: {level(0.9)}, lower: {level(0.98)}, along: [{at(14.5, 36)}, {at(20, 36)}]}}
    - {{id: front-pipe, to: front-pop-up, diameter: {small["leader"]}, material: smooth plastic pipe, length: {long(6.3)},
       upper: {level(0.5)}, lower: {level(0.6)}, along: [{at(8, 29)}, {at(2, 31)}]}}
"""  # noqa: E501 - as above
    store = f"""\
  stores:
    - id: dry-well
      kind: dry-well
      at: {at(14.5, 36)}
      bottom: {level(2.4)}
      depth: {long(1.5)}
      chamber: {small["chamber"]}
      pit: {small["pit"]}
      stone_below: {small["below"]}
      porosity: 40 %
      outlets: [{{id: overflow, kind: pipe, invert: {level(0.9)}, diameter: {small["leader"]}, to: well-overflow}}]
"""  # noqa: E501 - as above
    line_end = f"    - {{id: daylight, kind: daylight, at: {at(2, 1)}, level: {level(0.7)}}}\n"
    front_end = f"    - {{id: front-pop-up, kind: pop-up, at: {at(2, 31)}, level: {level(0.6)}}}\n"
    well_end = f"    - {{id: pop-up, kind: pop-up, at: {at(20, 36)}, level: {level(0.98)}}}\n"
    low_edge = f"{at(4, 13)}, {at(4, 14)}" if has_line else f"{at(4, 14)}, {at(18, 14)}"
    deck_edge = (
        f"    - {{id: deck-edge, along: [{low_edge}], crest: {level(0.12)}, onto: own land}}\n"
    )
    walk_edge = (
        f"    - {{id: walk-edge, along: [{at(21, 12)}, {at(21, 20)}], crest: {level(0.05)}, "
        "onto: own land}\n"
    )
    eaves = (
        f"    - {{id: eaves, along: [{at(5, 20)}, {at(19, 20)}], crest: {level(0.05)}, "
        "onto: own land}\n"
    )
    well_edge = (
        f"    - {{id: by-house, along: [{at(8, 29)}, {at(14, 29)}], crest: {level(0.1)}, "
        "onto: own land}\n"
    )
    panels = f"""
# How the paving falls: a level, where it holds, the pitch, and the direction in degrees clockwise
# from the top of the drawing. Levels are bare numbers in the unit of the file.
panels:
  - {{on: deck, level: 100, at: {at(11, 9)}, pitch: 2.5 %, toward: 0}}
"""
    said = [
        text
        for text, is_there in (
            ("a channel at the low edge and a pipe to daylight", has_line),
            ("a dry well for half of the roof, which runs over into a pop-up", has_well),
        )
        if is_there
    ]
    return (
        (panels if has_line else "")
        + f"""
# Where water leaves: {"; ".join(said)}.
# 'soakline drainage' follows it, and blocks every way out in turn.
ways_out:
  inlets:
"""
        + line_inlet * has_line
        + well_inlet * has_well
        + "  pipes:\n"
        + line_pipe * has_line
        + well_pipe * has_well
        + store * has_well
        + "  outlets:\n"
        + line_end * has_line
        + (well_end + front_end) * has_well
        + "  overflow_edges:\n"
        + deck_edge
        + walk_edge
        + (well_edge if has_well else eaves)
        + f"  lowest_floor: {level(-0.1)}\n"
    )


def _storms(unit: str) -> str:
    small = _SMALL[system_of(unit)]
    return f"""
# The rain to design with: by depth, or by return period from a rain table (table: rain.csv).
storms:
  design: {{depth: {small["design"]}, duration: 1 h, shape: uniform}}
  rare: {{depth: {small["rare"]}, duration: 24 h, shape: type-2}}
"""


def as_remarks(text: str) -> str:
    """Lines of a file as remarks, to be taken up one by one."""
    return "".join(
        f"# {line}\n" if line and not line.startswith("#") else f"{line}\n"
        for line in text.splitlines()
    )
