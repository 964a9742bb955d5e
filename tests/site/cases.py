"""What several tests of the site layer use: published cases, and a site file from a text."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

from checker.core.problems import BadInput
from checker.files.source import read_document, read_text
from checker.site.model import Site
from checker.site.read import site_of
from checker.site.write import changed_document

FOOT_M2 = 0.3048**2

HEAD = """\
format: site/1
title: Made up for a test
place: nowhere
units: ft
lot:
  boundary: {points: [[0, 0], [100, 0], [100, 100], [0, 100]]}
"""


@cache
def published() -> dict[str, Any]:
    path = Path(__file__).parents[1] / "published" / "permit-cases.yaml"
    data: dict[str, Any] = read_document(path).data
    return data


def closure_case(name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(c for c in published()["closures"] if c["id"] == name)
    return found


def site(text: str, head: str = HEAD) -> Site:
    return site_of(read_text(head + text, "lot.yaml"), Path("lot.yaml"))


def complaints(text: str, head: str = HEAD) -> list[str]:
    try:
        site(text, head)
    except BadInput as error:
        return [str(problem) for problem in error.problems]
    return []


def corners(path: list[tuple[float, float, float]]) -> list[Any]:
    """Points of a site file from (x, y, tangent of a quarter of the angle to the next point).

    The middle ordinate is that tangent times half the chord.
    """
    found: list[Any] = []
    for index, (x, y, tangent) in enumerate(path):
        if not tangent:
            found.append([x, y])
            continue
        end = path[(index + 1) % len(path)]
        half = math.dist((x, y), end[:2]) / 2
        turn = "left" if tangent > 0 else "right"
        found.append({"at": [x, y], "turn": turn, "middle_ordinate": abs(tangent) * half})
    return found


def area_ft2(shape: Any) -> float:
    return float(shape.area) / FOOT_M2


def changed_text(before: Site, after: Site) -> str:
    """The text of a site file after a change of its surfaces."""
    return changed_document(before, after).text
