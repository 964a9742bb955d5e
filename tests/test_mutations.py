"""Good files spoilt at random, ten thousand times: each is read, or refused with a place; no crash.

The seed is fixed, so that a failure comes back. Texts are spoilt character by character and line by
line, plain data value by value, drawings likewise.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any, Final

import pytest

from checker.core.problems import BadInput
from checker.files.plain import plain_text
from checker.files.source import read_text
from checker.site.model import Site
from checker.site.read import read_site, site_of

ROOT: Final = Path(__file__).resolve().parents[1]
TEXTS_COUNT: Final = 5_000
VALUES_COUNT: Final = 4_000
GEOJSON_COUNT: Final = 700
DXF_COUNT: Final = 300

LOT = """\
format: site/1
title: Fern, a pool
invented: yes
place: alder-ferry
units: ft
date: 2026-01-31
facts: {zone: R-2, plat_recorded: 1998-04-02}
rest_of_lot: lawn
none_found: [well]
lot:
  boundary: {points: [[0, 0], [80, 0],
    {at: [80, 100], turn: left, radius: 27}, [55, 125], [0, 125]]}
  sides: {front: [1], rear: [4]}
  recorded_area: 9,866 sq ft
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [16, 70], size: [48, 30 ft]}}}
  - {id: pool, material: pool-water, shape: {circle: {centre: [40, 40], diameter: 20 ft}}}
  - {id: coping, material: pool-coping, shape: {ring: {around: pool, width: 12 in}}}
  - id: deck
    material: permeable-paving
    was: concrete-slab
    stage: replaced
    shape:
      points: [[20, 20], [60, 20], [60, 60], [20, 60]]
      holes: [{circle: {centre: [40, 40], radius: 11}}]
    attributes: {gap: 1/4 in, purpose: pool-deck, lined: no, placed_on: 1998-04-02}
    may_become: [lawn]
  - {id: walk, material: asphalt, shape: {strip: {along: [[5, 5], [5, 60], [20, 60]], width: 3 ft}}}
order: [coping, deck]
features:
  - {id: well, kind: well, shape: {at: [10, 120]}}
  - {id: shore, kind: shoreline,
     shape: {line: [[0, 130], {at: [80, 130], turn: left, middle_ordinate: 1}, [90, 140]]}}
regions:
  - {id: easement, kind: easement, shape: {parts: [{rectangle: {corner: [0, 0], size: [9, 9]}}]}}
on_file:
  - {document: soil-report, date: 2026-01-31}
"""

DEED = """\
format: site/1
title: From a deed
place: alder-ferry
units: ft
north: -26.1666
lot:
  boundary:
    start: [0, 0]
    courses:
      - N 26°10'00" E 120.00'
      - S63-50-00E 90.00 ft
      - thence S 26.1667° W, a distance of 95.00 feet to an iron pin
      - curve right R 25.00' L 39.27' delta 90°00'00" tangent
      - N 63°50'00" W 1 chain 0' 0"
    balance: compass rule
  closure: 50
surfaces:
  - {id: terrace, material: stone-slab, shape: {rectangle: {corner: [10, 70], size: [60, 40]}}}
"""

NASTY_WORDS: Final = """
0 -1 1e308 -1e-308 .nan .inf 99999999999999999999 1e400 null true no ~ [] {} [ ] { } : - #
&a *a !!x | > ' " \\ % @ ` ° points id 2026-02-30 1:0 3'-6
"""
NASTY_TEXT: Final = [
    *NASTY_WORDS.split(),
    *("", " ", "\t", "\n", ": ", "- ", "\x00", "\x07", "\ufeff", "\u2028", "\ud7ff", "\U0001d6a2"),
    *("12 foo", "1/0 in", "5 sq ft", "-3 in", "a" * 300),
]
NASTY_VALUES: Final[list[Any]] = [
    *(None, True, False, 0, -1, 1, 3, 0.5, 1e308, -1e308, 1e-320, 1e15, 10**29),
    *("", " ", "x", "yes", "12 ft", "-1 ft", "1/0 in", "0 in", "1e30 ft", "N 1 E 5"),
    *("house", "pool", "deck", "lawn", "roof", "wood-deck"),
    *([], [[]], [0], [0, 0], [1, 2, 3], [[0, 0], [0, 0]], [[0, 0], [1, 0], [1, 1]]),
    *({}, {"a": 1}, {"id": "x"}, {"layer": "LOT"}),
    {"circle": {"centre": [1, 1], "radius": 1}},
    {"ring": {"around": "deck", "width": 1}},
    {"points": [[0, 0], [9, 9], [9, 0], [0, 9]]},
    {"courses": ["N 1 E 5", "S 1 W 5"]},
]
KEYS: Final = ["id", "shape", "x", "points", "layer", "material", "was"]


def spoilt_text(text: str, chance: random.Random) -> str:
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(text) + 1) if text else 0
        lines = text.split("\n")
        line = chance.randrange(len(lines))
        way = chance.randrange(8)
        if way == 0:
            text = text[:at] + text[at + chance.randint(1, 4) :]
        elif way == 1:
            text = text[:at] + chance.choice(NASTY_TEXT) + text[at:]
        elif way == 2:
            text = text[:at] + chance.choice(NASTY_TEXT) + text[at + chance.randint(1, 6) :]
        elif way == 3:
            lines.insert(chance.randrange(len(lines)), lines[line])
            text = "\n".join(lines)
        elif way == 4:
            del lines[line]
            text = "\n".join(lines)
        elif way == 5:
            lines[line] = " " * chance.randint(0, 6) + lines[line].lstrip()
            text = "\n".join(lines)
        elif way == 6:
            text = text[:at] if chance.random() < 0.3 else text
        else:
            words = text.split(" ")
            words[chance.randrange(len(words))] = chance.choice([*NASTY_TEXT, *words])
            text = " ".join(words)
    return text


def paths(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    items: Any = ()
    if isinstance(data, dict):
        items = data.items()
    elif isinstance(data, list):
        items = enumerate(data)
    for key, value in items:
        yield (*at, key)
        yield from paths(value, (*at, key))


def spoilt_data(data: Any, chance: random.Random) -> Any:
    data = deepcopy(data)
    for _ in range(chance.choice([1, 1, 1, 2, 3])):
        known = list(paths(data))
        if not known:
            return data
        *way, key = chance.choice(known)
        owner = data
        for step in way:
            owner = owner[step]
        kind = chance.choice([0, 1, 2, 3, 3, 3, 3, 4])
        if kind == 0:
            del owner[key]
        elif kind == 1 and isinstance(owner, dict):
            owner[chance.choice(["id", "shape", "x", "points", "layer", "material", "was"])] = (
                owner[key]
            )
        elif kind == 2:
            other = data
            for step in chance.choice(known):
                other = other[step] if not isinstance(other, str) and _has(other, step) else other
            owner[key] = deepcopy(other)
        elif kind == 3:
            alike = [v for v in NASTY_VALUES if _sort(v) is _sort(owner[key])]
            owner[key] = deepcopy(chance.choice(alike or NASTY_VALUES))
        else:
            owner[key] = deepcopy(chance.choice(NASTY_VALUES))
    return data


def _sort(value: Any) -> type:
    return float if type(value) is int else type(value)


def _has(owner: Any, key: Any) -> bool:
    if isinstance(owner, dict):
        return key in owner
    return isinstance(owner, list) and isinstance(key, int) and key < len(owner)


def outcome(read: Callable[[], Site]) -> str:
    """How a reading ended; anything but a site or a refusal with places is let through as it is."""
    try:
        site = read()
    except BadInput as error:
        is_told = all(problem.place.file and problem.says for problem in error.problems)
        return "refused" if is_told and error.problems else "refused without a reason"
    assert site.lot.boundary.is_valid
    assert all(surface.shape.is_valid for surface in site.surfaces)
    assert all(surface.shape.area > 0 for surface in site.surfaces)
    return "read"


def run(
    count: int, seed: int, make: Callable[[random.Random], tuple[str, Callable[[], Site]]]
) -> None:
    """Spoil and read, so many times; both outcomes must occur, or nothing is tested."""
    chance = random.Random(seed)
    seen = {"read": 0, "refused": 0}
    for number in range(count):
        what, read = make(chance)
        try:
            how = outcome(read)
        except Exception as error:
            pytest.fail(f"mutation {number}: {type(error).__name__}: {error}\n{what}")
        seen[how] += 1
    assert min(seen.values()) > count / 100, seen


def test_spoilt_texts() -> None:
    def make(chance: random.Random) -> tuple[str, Callable[[], Site]]:
        text = spoilt_text(chance.choice([LOT, DEED]), chance)
        return text, lambda: site_of(read_text(text, "lot.yaml"), Path("lot.yaml"))

    run(TEXTS_COUNT, 1, make)


def test_spoilt_values() -> None:
    good = [read_text(text, "x").data for text in (LOT, DEED)]

    def make(chance: random.Random) -> tuple[str, Callable[[], Site]]:
        text = plain_text(spoilt_data(chance.choice(good), chance))
        return text, lambda: site_of(read_text(text, "lot.yaml"), Path("lot.yaml"))

    run(VALUES_COUNT, 2, make)


def test_spoilt_geojson(tmp_path: Path) -> None:
    folder = ROOT / "samples" / "geojson-lot"
    text = (folder / "lot.geojson").read_text(encoding="utf-8")
    good = json.loads(text)
    (tmp_path / "site.yaml").write_text((folder / "site.yaml").read_text("utf-8"), "utf-8")

    def make(chance: random.Random) -> tuple[str, Callable[[], Site]]:
        if chance.random() < 0.5:
            spoilt = spoilt_text(text, chance)
        else:
            spoilt = json.dumps(spoilt_data(good, chance))
        (tmp_path / "lot.geojson").write_text(spoilt, encoding="utf-8")
        return spoilt, lambda: read_site(tmp_path / "site.yaml", "site.yaml")

    run(GEOJSON_COUNT, 3, make)


def test_spoilt_dxf(tmp_path: Path) -> None:
    folder = ROOT / "tests" / "bad" / "site"
    text = (folder / "lot.dxf").read_text(encoding="ascii")
    (tmp_path / "site.yaml").write_text(
        """\
format: site/1
title: t
place: nowhere
units: ft
drawing: {file: lot.dxf, unit: ft}
lot: {boundary: {layer: LOT}}
surfaces:
  - {id: patio, material: gravel, shape: {layer: PATIO}}
  - {id: coping, material: pool-coping, shape: {layer: COPING, nested: hole}}
""",
        encoding="utf-8",
    )

    def make(chance: random.Random) -> tuple[str, Callable[[], Site]]:
        spoilt = spoilt_text(text, chance)
        (tmp_path / "lot.dxf").write_text(spoilt, encoding="utf-8", newline="")
        return spoilt, lambda: read_site(tmp_path / "site.yaml", "site.yaml")

    run(DXF_COUNT, 4, make)


def test_so_many_mutations() -> None:
    assert TEXTS_COUNT + VALUES_COUNT + GEOJSON_COUNT + DXF_COUNT >= 10_000
