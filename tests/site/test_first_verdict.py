"""From a drawing and a place to a first verdict that is believed: nothing passes on a guess."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from checker import api
from checker.cli.main import run
from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.findings.checked import Checked
from checker.findings.heaviest import heaviest_in
from checker.site.layer_words import layer_words
from checker.site.materials import materials
from checker.site.read import site_of
from tests.site.drawings import SAMPLES
from tests.site.test_dxf import Drawn

LOT_FT = [(0, 0), (80, 0), (80, 125), (0, 125)]


@pytest.fixture
def lot(tmp_path: Path) -> Drawn:
    """A lot of 10,000 sq ft with a house of 2,000 sq ft, and whatever a test draws besides."""
    drawn = Drawn(tmp_path)
    drawn.space.delete_all_entities()
    drawn.ring(LOT_FT, layer="PROP-LINE")
    drawn.ring([(20, 30), (60, 30), (60, 80), (20, 80)], layer="HOUSE")
    return drawn


def judged(drawn: Drawn, folder: Path, layers: dict[str, str] | None = None) -> tuple[Checked, str]:
    drawn.document.saveas(folder / "d.dxf")
    path, _ = api.site_of_drawing(
        folder / "d.dxf", place="alder-ferry", layers=layers, facts={"zone": "R-2"}
    )
    site = api.load_site(path)
    return api.check(site, api.load_ruleset_for(site)), path.read_text(encoding="utf-8")


def cover(checked: Checked) -> str:
    """The verdict on cover of the whole lot in zone R-2: at most 45 %, which is 4,500 sq ft."""
    found = {finding.rule: finding for finding in checked.verdict.findings}
    return found["cover-limit"].status


def test_a_name_that_says_it_plainly_is_taken_and_told_with_its_line(
    lot: Drawn, tmp_path: Path
) -> None:
    lot.ring([(0, 0), (10, 0), (10, 30), (0, 30)], layer="CONC-DRIVE")
    checked, text = judged(lot, tmp_path)
    told = {(item.what, item.taken_as, item.place.line) for item in checked.site.assumed}
    lines = text.splitlines()
    assert {(what, taken) for what, taken, _ in told} == {
        ("layer CONC-DRIVE", "concrete drive (purpose: drive)"),
        ("layer HOUSE", "roof (purpose: dwelling)"),
        ("layer PROP-LINE", "the lot"),
        ("the rest of the lot", "lawn"),
    }
    for what, _, line in told:
        word = "rest_of_lot" if what == "the rest of the lot" else what.removeprefix("layer ")
        assert line is not None
        assert word in lines[line - 1]
    # 2,300 of 4,500 sq ft: the rule passes, but the whole is no plain pass.
    assert cover(checked) == "passes"
    assert not checked.verdict.is_met
    confirmed = text.replace("?    #", "    #").replace("lawn?", "lawn")
    site = site_of(read_text(confirmed, "d.yaml"), tmp_path / "d.yaml")
    assert not site.assumed


def test_a_name_that_says_nothing_is_counted_from_nothing_to_all(
    lot: Drawn, tmp_path: Path
) -> None:
    """2,000 sq ft of house and 2,500 of who knows what are exactly 4,500: every answer passes."""
    lot.ring([(0, 85), (80, 85), (80, 116.25), (0, 116.25)], layer="C-7")
    checked, _ = judged(lot, tmp_path)
    assert cover(checked) == "passes"


def test_one_square_foot_more_and_it_cannot_be_told(lot: Drawn, tmp_path: Path) -> None:
    """2,000 and 2,501 sq ft: a slab would fail, a lawn would pass."""
    lot.ring([(0, 85), (80, 85), (80, 116.2625), (0, 116.2625)], layer="C-7")
    checked, text = judged(lot, tmp_path)
    assert cover(checked) == "cannot tell"
    asked = {item.ask for finding in checked.verdict.findings for item in finding.missing}
    assert "say what 'c-7' is made of: its material" in asked
    for material, status in (("concrete-slab", "fails"), ("lawn", "passes")):
        said = text.replace("C-7: unknown", f"C-7: {material}")
        site = site_of(read_text(said, "d.yaml"), tmp_path / "d.yaml")
        assert cover(api.check(site, api.load_ruleset_for(site))) == status


def test_lines_that_make_no_area_let_nothing_pass(lot: Drawn, tmp_path: Path) -> None:
    """A patio drawn by three sides against the house: nobody knows how large it is."""
    lot.lines((20, 80), (20, 100), (60, 100), (60, 80), layer="PATIO")
    checked, _ = judged(lot, tmp_path)
    assert cover(checked) == "cannot tell"
    assert not any(finding.is_met for finding in checked.verdict.findings)
    assert "PATIO" in checked.site.unread[0].says
    (tmp_path / "d.yaml").unlink()
    checked, _ = judged(lot, tmp_path, {"PATIO": "ignore"})
    assert cover(checked) == "passes"


def test_what_covers_a_patio_is_no_cover_of_a_manhole(lot: Drawn, tmp_path: Path) -> None:
    lot.ring([(20, 80), (60, 80), (60, 100), (20, 100)], layer="PATIO-COVER")
    lot.ring([(0, 0), (9, 0), (9, 9), (0, 9)], layer="SLAB ON GRADE")
    lot.ring([(20, 80), (60, 80), (60, 110), (20, 110)], layer="POOL FENCE")
    lot.ring([(25, 85), (55, 85), (55, 95), (25, 95)], layer="GAS FIREPIT PATIO")
    checked, _ = judged(lot, tmp_path)
    made = {surface.id: surface.material.id for surface in checked.site.surfaces}
    assert made == {
        "house": "roof",
        "patio-cover": "roof",
        "slab-on-grade": "unknown",
        "gas-firepit-patio": "unknown",
    }


def test_what_nobody_mentions_is_no_plain_pass(lot: Drawn, tmp_path: Path) -> None:
    """A file by hand that leaves a layer out: it is told, and the check does not end with 0."""
    lot.ring([(20, 80), (60, 80), (60, 100), (20, 100)], layer="PATIO")
    _, text = judged(lot, tmp_path)
    text = re.sub(r"(?m)^.*PATIO.*\n", "", text).replace("?    #", "    #").replace("lawn?", "lawn")
    site = site_of(read_text(text, "d.yaml"), tmp_path / "d.yaml")
    assert [(item.what, item.taken_as) for item in site.assumed] == [("layer PATIO", "no surface")]
    assert not api.check(site, api.load_ruleset_for(site)).verdict.is_met


USES = sorted(
    {(e.meaning, *e.may_be) for e in layer_words().meanings if e.may_be}, key=lambda names: names[0]
)
PLACES = ("alder-ferry", "austin-texas", "falls-church-virginia", "orono-minnesota-1975",
          "richmond-hill-ontario", "wren-hollow", "palo-alto-california")  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_what_a_name_leaves_open_is_taken_as_what_counts_most(place: str) -> None:
    """Beside whole checks: a patio of each material on a lot, and what each count comes to."""
    ruleset = api.load_ruleset(place)
    chosen = heaviest_in(ruleset)
    for names in USES:
        found = chosen(names)
        totals = {name: _totals(place, name) for name in names}
        if found == "unknown":
            assert not any(
                all(own >= other[key] for other in totals.values() for key, own in mine.items())
                for mine in totals.values()
            )
            continue
        for other in totals.values():
            for key, high in totals[found].items():
                assert high >= other[key] - 1e-9, (names, found, key)


def _totals(place: str, material: str) -> dict[str, float]:
    """The most that each table of cover which a rule looks at comes to, m2."""
    from checker.algebra import nodes as n
    from checker.rulesets.levels import GOOD, Wants

    text = (
        f"format: site/1\ntitle: t\nplace: {place}\nunits: ft\nrest_of_lot: lawn\n"
        "lot: {boundary: {points: [[0, 0], [80, 0], [80, 125], [0, 125]]}}\nsurfaces:\n"
        f"  - {{id: x, material: {material}, "
        "shape: {rectangle: {corner: [30, 60], size: [20, 20]}}}\n"
    )
    site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    checked = api.check(site, api.load_ruleset(place))
    rules = checked.ruleset
    wants = Wants({r.id: r for r in rules.rules}, rules.amounts, rules.counts).found
    found = {}
    for name, senses in wants.items():
        counted = checked.sheet.counted(n.Named(name, "", ""))
        if not hasattr(counted, "contributions"):
            continue
        own = [c.weight for c in counted.contributions if c.of == "x"]
        for sense in senses:
            high = max((w.high_si for w in own), default=0.0)
            low = min((w.low_si for w in own), default=0.0)
            found[f"{name} {sense}"] = -low if sense == GOOD else high
    return found


SLOW_PLACES = ("alder-ferry", "falls-church-virginia", "wood-village-oregon", "reed-mere")


@pytest.mark.parametrize("place", SLOW_PLACES)
@pytest.mark.parametrize("corner", [(25, 85), (30, 65)])
def test_what_passes_with_an_unknown_surface_passes_with_every_material(
    place: str, corner: tuple[int, int]
) -> None:
    """The second way to the verdict: each material in turn, beside and over what is known."""
    ruleset = api.load_ruleset(place)

    def met(material: str) -> set[str]:
        text = (
            f"format: site/1\ntitle: t\nplace: {place}\nunits: ft\nrest_of_lot: lawn\nlot:\n"
            "  boundary: {points: [[0, 0], [80, 0], [80, 125], [0, 125]]}\n"
            "  sides: {front: south, rear: north, side: rest}\nsurfaces:\n"
            "  - {id: house, material: roof, shape: {rectangle: {corner: [20, 30],"
            " size: [40, 30]}}, attributes: {purpose: dwelling}}\n"
            "  - {id: slab, material: concrete-slab, stage: proposed, shape: {rectangle:"
            " {corner: [40, 60], size: [20, 12]}}, attributes: {purpose: patio}}\n"
            f"  - {{id: x, material: {material}, stage: proposed,"
            f" shape: {{rectangle: {{corner: {list(corner)}, size: [30, 20]}}}}}}\n"
        )
        site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
        return {f.rule for f in api.check(site, ruleset).verdict.findings if f.is_met}

    unknown = met("unknown")
    for material in materials():
        assert unknown <= met(material), material


def test_one_command_writes_the_site_file_and_the_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(SAMPLES / "dxf-lot" / "survey.dxf", tmp_path)
    asked = ["check", "survey.dxf"]
    assert run(asked) == 2
    assert "give --place and an id" in capsys.readouterr().err
    assert not (tmp_path / "survey.yaml").exists()
    assert (
        run([*asked, "--place", "alder-ferry", "--fact", "zone=R-2", "--layer", "WALK=gravel"]) == 1
    )
    told = capsys.readouterr().out
    assert told.startswith("Site file: survey.yaml\n")
    assert "Taken, and not confirmed by anybody: layer COPING as pool coping (line " in " ".join(
        told.split()
    )
    assert "layer WALK" not in told
    page = (tmp_path / "soakline-report" / "report.html").read_text(encoding="utf-8")
    assert "layer PATIO as concrete slab (purpose: patio) (line " in page
    before = (tmp_path / "survey.yaml").read_bytes()
    assert run(asked) == 1
    assert "is there already and is judged as it stands" in capsys.readouterr().out
    assert run([*asked, "--layer", "WALK=lawn"]) == 2
    assert "nothing in it is changed" in capsys.readouterr().err
    assert (tmp_path / "survey.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--layer", "WLAK=lawn"], "has no layer 'WLAK'; did you mean 'WALK'?"),
        (["--layer", "WALK=lwn"], "'lwn' is no material"),
        (["--layer", "WALK"], "write it as NAME=..."),
        (["--fact", "zoen=R-2"], "did you mean 'zone'?"),
        (["--units", "fot"], "'fot' is no unit of length"),
        (["--place", "nowhere"], "nowhere"),
    ],
)
def test_what_is_said_wrongly_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], says: str
) -> None:
    shutil.copy(SAMPLES / "dxf-lot" / "survey.dxf", tmp_path)
    drawing = (tmp_path / "survey.dxf").as_posix()
    assert run(["check", drawing, "--place", "alder-ferry", *more]) == 2
    err = " ".join(capsys.readouterr().err.split())
    assert says in err
    assert [path.name for path in tmp_path.iterdir()] == ["survey.dxf"]


def test_a_file_beside_it_that_is_made_of_something_else_is_left_alone(tmp_path: Path) -> None:
    shutil.copy(SAMPLES / "dxf-lot" / "survey.dxf", tmp_path)
    (tmp_path / "survey.yaml").write_text("a: b\n", encoding="utf-8")
    with pytest.raises(BadInput, match="a file is there that is not made of"):
        api.site_of_drawing(tmp_path / "survey.dxf", place="alder-ferry")
    assert (tmp_path / "survey.yaml").read_text(encoding="utf-8") == "a: b\n"


@pytest.mark.parametrize(
    ("surface", "is_plain"),
    [
        ("stage: proposed, attributes: {purpose: patio}", False),
        ("stage: proposed", False),
        ("stage: proposed, attributes: {purpose: drive}", True),
        ("attributes: {purpose: patio}", True),
    ],
)
def test_new_work_on_a_neighbours_land_is_no_plain_pass(surface: str, is_plain: bool) -> None:
    """20 ft of 40 lie beyond the line; a drive leads to the street, what is there stays."""
    text = (
        "format: site/1\ntitle: t\nplace: alder-ferry\nunits: ft\nrest_of_lot: lawn\n"
        "facts: {zone: R-2}\nlot:\n  boundary: {points: [[0, 0], [80, 0], [80, 125], [0, 125]]}\n"
        "  sides: {front: south, rear: north, side: rest}\nsurfaces:\n"
        f"  - {{id: x, material: concrete-slab, {surface}, "
        "shape: {rectangle: {corner: [60, 40], size: [40, 10]}}}\n"
    )
    site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    verdict = api.check(site, api.load_ruleset_for(site)).verdict
    assert all(finding.is_met for finding in verdict.findings)
    assert verdict.is_met == is_plain
    assert verdict.status == ("passes" if is_plain else "passes with conditions")
