"""PDFs read by people who do not see them: tags, reading order, headings, tables, pictures.

Read with a general PDF library; what is asked is ISO 14289-1 (PDF/UA-1), 7.1 to 7.4, from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.findings.checked import Checked
from tests.packet.conftest import DAY, FILES, judged

pypdf = pytest.importorskip("pypdf")
pytest.importorskip("typst")

SAMPLES = Path(__file__).parents[2] / "samples"


def _packet(checked: Checked, folder: Path) -> Path:
    packet = api.packet(checked, folder / "packet", date=DAY)
    return packet.folder / next(name for name in packet.files if name.endswith("packet.pdf"))


def _report(checked: Checked, folder: Path) -> Path:
    return api.write_report(checked, folder / "report.pdf")


def _client(checked: Checked, folder: Path) -> Path:
    return api.write_client(checked, folder / "client.pdf")


Write = Callable[[Checked, Path], Path]
MADE: dict[str, tuple[Path, Write]] = {
    "packet in feet": (FILES / "orchard.yaml", _packet),
    "packet in metres": (SAMPLES / "geojson-lot" / "site.yaml", _packet),
    "packet with drainage": (SAMPLES / "osier-after" / "site.yaml", _packet),
    "report": (SAMPLES / "wren-terrace" / "site.yaml", _report),
    "client": (SAMPLES / "fernhollow-after" / "site.yaml", _client),
}


@pytest.fixture(scope="module", params=MADE)
def reader(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
    path, write = MADE[request.param]
    return pypdf.PdfReader(write(judged(path), tmp_path_factory.mktemp("pdf")))


def elements(reader: Any) -> Iterator[Any]:
    """The elements of the structure in their order."""
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]["/K"]]
    while waiting:
        node = waiting.pop(0)
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            waiting[:0] = node
        elif isinstance(node, dict):
            if "/S" in node:
                yield node
            if "/K" in node:
                waiting.insert(0, node["/K"])


def of_kind(reader: Any, *kinds: str) -> list[Any]:
    return [node for node in elements(reader) if node["/S"] in kinds]


def inside(node: Any, kind: str) -> list[Any]:
    """Elements of a kind within one."""
    kids = node.get("/K", [])
    kids = kids if isinstance(kids, list) else [kids]
    found = []
    for kid in kids:
        kid = kid.get_object() if hasattr(kid, "get_object") else kid  # noqa: PLW2901
        if isinstance(kid, dict) and "/S" in kid:
            found += [kid] if kid["/S"] == kind else []
            found += inside(kid, kind)
    return found


def marks(given: Any, page: int, kind: str = "") -> Iterator[tuple[int, int, str]]:
    """Page, number and element of each piece of marked content, in reading order."""
    node: Any = given.get_object() if hasattr(given, "get_object") else given
    if isinstance(node, int):
        yield page, node, kind
        return
    if isinstance(node, list):
        for kid in node:
            yield from marks(kid, page, kind)
        return
    own = node.raw_get("/Pg").idnum if "/Pg" in node else page
    if "/MCID" in node:
        yield own, int(node["/MCID"]), kind
    elif "/K" in node:
        yield from marks(node["/K"], own, str(node.get("/S", kind)))


def test_it_says_that_it_is_tagged_its_language_and_its_title(reader: Any) -> None:
    root = reader.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"])
    assert str(root["/MarkInfo"].get("/Suspects", "False")) == "False"
    assert str(root["/Lang"]).startswith("en")
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
    assert reader.metadata.title


def test_headings_have_titles_and_skip_no_level(reader: Any) -> None:
    found = of_kind(reader, "/H1", "/H2", "/H3", "/H4", "/H5")
    levels = [int(node["/S"][2:]) for node in found]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(str(node["/T"]).strip() for node in found)
    # The bookmarks are the headings of documents and sheets, in the same order.
    tops = [item.title for item in reader.outline if not isinstance(item, list)]
    firsts = [str(node["/T"]) for node in found if node["/S"] == "/H1"]
    assert [title for title in firsts if title in tops] == [t for t in tops if t in firsts]


def test_each_picture_says_what_it_shows(reader: Any) -> None:
    found = of_kind(reader, "/Figure")
    assert found
    assert [
        str(node.get("/Alt", "")) for node in found if len(str(node.get("/Alt", ""))) < 12
    ] == []


def test_each_table_has_heads_and_its_cells_name_them(reader: Any) -> None:
    tables = of_kind(reader, "/Table")
    for table in tables:
        heads = inside(table, "/TH")
        assert heads
        scopes = [part.get("/Scope") for head in heads for part in head["/A"] if "/Scope" in part]
        assert set(scopes) <= {"/Column", "/Row"}
        assert len(scopes) == len(heads)
        cells = inside(table, "/TD")
        assert all(any("/Headers" in part for part in cell["/A"]) for cell in cells)


def test_all_content_is_tagged_and_read_in_the_order_in_which_it_is_painted(reader: Any) -> None:
    order: dict[int, list[tuple[int, str]]] = {}
    for page, number, kind in marks(reader.trailer["/Root"]["/StructTreeRoot"]["/K"], 0):
        order.setdefault(page, []).append((number, kind))
    for page in reader.pages:
        read = order.get(page.indirect_reference.idnum, [])
        painted: list[int] = []
        bare: list[bytes] = []
        depth = 0
        content = pypdf.generic.ContentStream(page["/Contents"], reader)
        for operands, operator in content.operations:
            if operator in {b"BDC", b"BMC"}:
                depth += 1
                if len(operands) > 1 and "/MCID" in operands[1]:
                    painted.append(int(operands[1]["/MCID"]))
            elif operator == b"EMC":
                depth -= 1
            elif operator in {b"Tj", b"TJ", b"Do"} and depth == 0:
                bare.append(operator)
        assert bare == []
        assert sorted(number for number, _ in read) == sorted(set(painted))
        # A caption is read before its picture, and painted below it.
        flowing = [number for number, kind in read if kind != "/Figure"]
        assert flowing == sorted(flowing)
