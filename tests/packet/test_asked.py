"""Whether everything that offices ask of a submission is in the packet, item by item.

`asked.txt` lists 297 items of public worksheets, plan lists, forms and review comments, each with
the texts or facts, joined by "&&", that show it in the files as written.
`python -m tests.packet.test_asked` prints the shares. The lot and its place are invented.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from checker.findings.checked import Checked
from checker.packet.writing import write_packet
from tests.packet.conftest import FILES, judged
from tests.packet.reading import flat, md_text, pdf_text

STATES = ("produced", "asked", "partly", "absent")
MOST_PAGES = 25


def items() -> list[tuple[str, str, str, str]]:
    """Group, item, state and evidence of each line."""
    text = (Path(__file__).parent / "asked.txt").read_text("utf-8")
    lines = [line.split("|") for line in text.splitlines() if not line.startswith("#")]
    return [(group, item, state, shows) for group, item, state, shows in lines]


def _varied(folder: Path, name: str, old: str, new: str) -> Checked:
    text = (FILES / "teal-cross.yaml").read_text("utf-8")
    assert old in text
    for file in ("teal-cross-town.yaml", "teal-cross-rain.csv"):
        (folder / file).write_text((FILES / file).read_text("utf-8"), encoding="utf-8")
    (folder / name).write_text(text.replace(old, new), encoding="utf-8")
    return judged(folder / name)


def written(folder: Path) -> Path:
    """The packet of the fullest lot, with an earlier revision and the lot as built."""
    strip = "[[64, 30], [64, 60]], width: 3 ft"
    before = _varied(folder, "before.yaml", strip, strip.replace("3 ft", "4 ft"))
    built = _varied(folder, "built.yaml", strip, strip.replace("3 ft", "3.5 ft"))
    site = judged(FILES / "teal-cross.yaml")
    out = folder / "packet"
    write_packet(site, out, date=date(2026, 3, 2), previous=before, built=built)
    return out


def evidence(folder: Path) -> str:
    """All texts of the files, their names, and what is true of the PDF."""
    reader = PdfReader(folder / "TC1-packet.pdf")
    root: Any = reader.trailer["/Root"].get_object()
    texts = [pdf_text(folder / "TC1-packet.pdf")]
    texts += [md_text(path) for path in sorted(folder.glob("*.md"))]
    texts += [path.name for path in folder.iterdir()]
    sizes = [(float(p.mediabox.width), float(p.mediabox.height)) for p in reader.pages]
    alts = " ".join(_alts(root))
    facts = {
        "Landscape": (1224.0, 792.0) in sizes and (612.0, 792.0) in sizes,
        "Searchable": not reader.is_encrypted and all(p.extract_text() for p in reader.pages),
        "Size": (folder / "TC1-packet.pdf").stat().st_size < 50_000_000,
        "Bookmarks": bool(reader.outline),
        "Tagged": "/StructTreeRoot" in root and "/Lang" in root,
        "Long description": "from the nearest lot line" in alts,
        "Whole parcel": "The lot has 9,200 sq ft" in alts,
        "S1 shows nothing planned": not any(
            word in page.extract_text()
            for page in reader.pages
            if page.extract_text().startswith("S1 Existing conditions")
            for word in ("Silt fence", "Stone entrance", "Limit of disturbance")
        ),
        "Clouds told": "Clouds of revision A stand round what changed." in alts,
    }
    return flat(" ".join([*texts, alts, *(name for name, holds in facts.items() if holds)]))


def _alts(root: Any) -> list[str]:
    """The alternative texts of the pictures."""
    found: list[str] = []
    waiting: list[Any] = [root.get("/StructTreeRoot")]
    while waiting:
        node = waiting.pop()
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            waiting += list(node)
        elif isinstance(node, dict):
            found += [str(node["/Alt"])] if "/Alt" in node else []
            waiting += [node["/K"]] if "/K" in node else []
    return found


def walk(text: str) -> tuple[Counter[str], list[str]]:
    """How many items have each state, and the items whose evidence is not there."""
    counts: Counter[str] = Counter()
    absent = []
    for group, item, state, shows in items():
        is_there = all(flat(each) in text for each in shows.split("&&"))
        counts[state if is_there else "absent"] += 1
        if not is_there:
            absent.append(f"{group}: {item}: {shows}")
    return counts, absent


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("asked"))


def test_each_item_is_produced_or_asked_for(folder: Path) -> None:
    counts, absent = walk(evidence(folder))
    assert not absent
    settled = counts["produced"] + counts["asked"]
    assert settled >= 0.95 * sum(counts.values())


def test_an_item_that_goes_is_told() -> None:
    assert len(walk("")[1]) == len(items()) == 297


def test_the_packet_of_the_fullest_lot_is_short(tmp_path: Path) -> None:
    write_packet(judged(FILES / "teal-cross.yaml"), tmp_path / "out", date=date(2026, 3, 2))
    reader = PdfReader(tmp_path / "out" / "TC1-packet.pdf")
    assert len(reader.pages) <= MOST_PAGES


def main() -> None:
    """Print the four shares."""
    with tempfile.TemporaryDirectory() as place:
        counts, absent = walk(evidence(written(Path(place))))
    total = sum(counts.values())
    for state in STATES:
        sys.stdout.write(f"{state}: {counts[state]} of {total}, {counts[state] / total:.1%}\n")
    sys.stdout.writelines(f"{line}\n" for line in absent)


if __name__ == "__main__":
    main()
