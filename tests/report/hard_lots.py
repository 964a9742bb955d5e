"""Lots that a first page must bear: hundreds of surfaces, none, long names, names in any script."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from checker.findings.checked import Checked
from tests.report.conftest import check_file

NAMES: Final = {
    "greek": "Πλακόστρωτη αυλή δίπλα στην πισίνα",
    "cyrillic": "Терраса у бассейна из плитняка",  # noqa: RUF001 - it is Cyrillic
    "chinese": "游泳池旁的透水砖露台",
    "arabic": "شرفة مرصوفة بجانب المسبح",
    "long": "Terrace of very large stone slabs between the house and the pool " * 4,
    "unbroken": "Terrace" * 30,
}
"""What the lot and its surfaces are called."""

HEAD: Final = """format: site/1
title: {title}
invented: yes
place: alder-ferry
units: {unit}
facts: {{zone: R-1}}
rest_of_lot: lawn
none_found: [well, septic-tank, septic-field]
lot:
  boundary: {{points: [[0, 0], [{side}, 0], [{side}, {side}], [0, {side}]]}}
  sides: {{front: [1], rear: [3], side: [2, 4]}}
surfaces:
"""
ROW: Final = (
    '  - {{id: s{n}, title: "{name} {n}", material: concrete-slab, stage: {stage}, '
    "shape: {{rectangle: {{corner: [{x}, {y}], size: [{w}, {w}]}}}}, "
    "attributes: {{purpose: patio}}}}\n"
)


def lot(name: str, count: int, unit: str = "ft") -> str:
    """A lot of so many square surfaces in rows of twenty."""
    side, step = (120, 6.0) if unit == "ft" else (36, 1.8)
    rows = "".join(
        ROW.format(
            n=n, name=name, stage="existing" if n % 3 else "proposed", w=step / 2,
            x=step * (n % 20), y=step * (n // 20),
        )
        for n in range(count)
    )  # fmt: skip
    text = HEAD.format(title=f'"{name}"', unit=unit, side=side) + rows
    return text if count else text.replace("surfaces:\n", "surfaces: []\n")


HARD: Final = {
    **{script: lot(name, 6) for script, name in NAMES.items()},
    "metric": lot(NAMES["greek"], 6, "m"),
    "no surfaces": lot("An empty lot", 0),
    "200 surfaces": lot("Slab", 200),
}
"""Site files by what is hard about them."""


def check_hard(name: str, folder: Path) -> Checked:
    """One of them, checked."""
    path = folder / "site.yaml"
    path.write_text(HARD[name], encoding="utf-8")
    return check_file(path)
