"""A small drained terrace as plain data, for tests of the measures of drainage."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

from checker.files.source import read_text
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import site_of

DATA: dict[str, Any] = {
    "format": "site/1",
    "title": "Terrace",
    "place": "marl-ridge",
    "units": "ft",
    "rest_of_lot": "lawn",
    "lot": {"boundary": {"points": [[0, 0], [60, 0], [60, 60], [0, 60]]}},
    "surfaces": [
        {
            "id": "house",
            "material": "roof",
            "shape": {"rectangle": {"corner": [10, 40], "size": [40, 20]}},
            "attributes": {"purpose": "dwelling"},
        },
        {
            "id": "terrace",
            "material": "concrete-slab",
            "stage": "proposed",
            "shape": {"rectangle": {"corner": [10, 20], "size": [40, 20]}},
            "attributes": {"purpose": "patio"},
        },
    ],
    "panels": [
        {"on": "terrace", "level": 100, "at": [30, 40], "pitch": "1/4 in/ft", "toward": 180}
    ],
    "ways_out": {
        "inlets": [
            {
                "id": "drain",
                "kind": "area-drain",
                "at": [30, 20],
                "rim": 99.56,
                "grate": {"size": "12 in square"},
                "to": "pipe",
                "spills_to": "edge",
                "spill_depth": "1 in",
            },
            {
                "id": "leader",
                "kind": "roof-leader",
                "of": "house",
                "diameter": "4 in",
                "to": "pipe",
                "spills_to": "drain",
            },
        ],
        "pipes": [
            {
                "id": "pipe",
                "to": "daylight",
                "diameter": "6 in",
                "material": "smooth plastic pipe",
                "length": "20 ft",
                "upper": 98.5,
                "lower": 98.3,
            }
        ],
        "outlets": [{"id": "daylight", "kind": "daylight", "level": 98.2}],
        "overflow_edges": [
            {"id": "edge", "along": [[10, 20], [50, 20]], "crest": 99.58, "onto": "own land"}
        ],
        "lowest_floor": 100.5,
        "coping": 100.0,
    },
    "ground": {"measured_rate": "1 in/h", "safety_factor": 2},
    "storms": {
        "design": {"depth": "1 in", "duration": "30 min", "shape": "uniform"},
        "rare": {"depth": "3 in", "duration": "30 min", "shape": "uniform"},
    },
}


def survey(**changes: Any) -> Survey:
    """The terrace with parts of the file changed; None takes a part, or a key of one, away."""
    data = copy.deepcopy(DATA)
    for part, new in changes.items():
        if isinstance(new, dict) and isinstance(data.get(part), dict):
            merged = data[part] | new
            data[part] = {key: value for key, value in merged.items() if value is not None}
        elif new is None:
            data.pop(part, None)
        else:
            data[part] = new
    document = read_text(json.dumps(data, indent=1), "terrace.yaml")
    return Survey(site_of(document, Path("terrace.yaml")), built_in(), {})


def changed(group: str, name: str, **new: Any) -> list[dict[str, Any]]:
    """A group of the ways out with one element changed; None takes a key away."""
    items: list[dict[str, Any]] = copy.deepcopy(DATA["ways_out"][group])
    for item in items:
        if item["id"] == name:
            item.update(new)
            for key in [key for key, value in item.items() if value is None]:
                del item[key]
    return items
