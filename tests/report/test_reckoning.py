"""Formulas and reference tables by hand: each reachable, in both systems, with its source."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from checker import api
from checker.core.formula import FORMULAS
from checker.core.problems import BadInput
from checker.files import library
from checker.words.reckoning import calculations

PACKAGE = Path("checker")


def results(name: str, *given: str) -> list[float]:
    """The numbers of the result, in the units as printed."""
    text = api.reckon(name, given).partition("\ngives\n")[2].partition("\n\n")[0]
    return [float(number) for number in re.findall(r"(?:^|[ =])(-?\d[\d.e+-]*)(?= |$)", text)]


def test_every_formula_is_reckoned_or_used_elsewhere() -> None:
    """A formula that only its own module knows is nobody's."""
    names = {f"{each.formula.function.__module__}.{each.formula.name}" for each in
             calculations().values()}  # fmt: skip
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    for key in FORMULAS:
        module, _, name = key.rpartition(".")
        own = Path(f"{module.replace('.', '/')}.py")
        used = any(re.search(rf"\b{name}\(", text) for path, text in texts.items() if path != own)
        assert used or key in names, key


def test_names_are_one_each_and_questions_fit_a_terminal() -> None:
    for name, each in calculations().items():
        text = api.reckon(name)
        assert max(map(len, text.splitlines())) < 80, name
        assert "Source: " in text
        assert len({one.name for one in each.asked}) == len(each.asked), name
        for one in each.asked:
            assert f"  {one.name}=" in text
    assert max(map(len, api.reckon().splitlines())) < 80


def test_half_emptying_by_hand() -> None:
    """Half of 100 cu ft through 60 sq ft at 1 in/h, 5 cu ft an hour: 10 h."""
    given = ("storage=100 cu ft", "wetted=60 sq ft", "rate=1 in/h")
    assert results("half-emptying-time", *given) == pytest.approx([600, 10])


def test_a_soakage_test_of_the_published_sheet() -> None:
    """The UK sheet's trial pit, 1.0 x 0.75 x 1.0 m in 56 min: 44.6 millionths of a metre a second,
    160.6 mm/h, 6.32 in/h.
    """
    text = api.reckon(
        "soakage-rate", ("length=1.0 m", "width=0.75 m", "depth=1.0 m", "time=56 min")
    )
    assert "160.7 mm/h" in text or "160.6 mm/h" in text
    assert "UK Digest 365" in text


def test_the_gutter_of_the_federal_manual() -> None:
    """HEC-22, example 4-1: n 0.016, cross slope 2 %, fall 1 %, 1.8 cu ft/s spread 9.0 ft."""
    given = ("flow=1.8 cu ft/s", "cross-slope=2 %", "slope=1 %", "manning-coefficient=0.016")
    assert results("gutter-spread", *given)[0] == pytest.approx(9.0, abs=0.05)


def test_lists_and_choices() -> None:
    """TR-55 weighting: (100 x 61 + 300 x 98) / 400 = 88.75, to the nearest integer 89."""
    given = ("areas=100 sq ft, 300 sq ft", "curve-numbers=61, 98")
    assert results("weighted-curve-number", *given) == [89]
    assert results("weighted-curve-number", *given, "rounding=none") == [88.75]
    assert results("soil-tests-count", "bed=2500 sq ft", "kind=conventional") == [3]


def test_parts_of_an_area_and_a_depth_at_an_outfall() -> None:
    """Runoff of CN 98 under 3 in: S = 0.2041 in, (3 - 0.0408)^2 / (3 + 0.1633) = 2.768 in.

    A level trench of 6 in with a free end, 60 gal/min = 0.13368 cu ft/s:
    (0.13368^2 / (32.174 x 0.25))^(1/3) = 0.1305 ft at its end.
    """
    given = ("rain=3 in", "area=100 sq ft, 50 sq ft", "curve-number=98, 98")
    assert results("mixed-runoff-depth", *given)[1] == pytest.approx(2.768, abs=0.002)
    trench = ("width=6 in", "length=20 ft", "slope=0 %", "manning-coefficient=0.012",
              "flow=60 gal/min")  # fmt: skip
    depths = results("trench-profile", *trench, "part-count=10")
    assert depths[-4] == pytest.approx(0.1305, abs=0.0005)
    drowned = results("trench-profile", *trench, "part-count=10", "outfall=4 in")
    assert drowned[-3] == pytest.approx(4.0)


def test_feet_and_metres_give_the_same() -> None:
    us = results("gutter-spread", "flow=1.8 cu ft/s", "cross-slope=2 %", "slope=1 %",
                 "manning-coefficient=0.016")  # fmt: skip
    metric = results("gutter-spread", "flow=50.9703 L/s", "cross-slope=20 mm/m", "slope=1:100",
                     "manning-coefficient=0.016")  # fmt: skip
    assert metric == pytest.approx(us, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "given", "says"),
    [
        ("half-emptying", (), "no 'half-emptying'; did you mean 'half-emptying-time'"),
        ("fall", ("run=10 ft",), "'slope' is not given"),
        ("fall", ("run=10 ft", "slope=2 ft"), "slope: "),
        ("fall", ("run=10 ft", "slope=2 %", "height=1 ft"), "'height=1 ft' is none of"),
        ("gutter-spread", ("flow=1 L/s", "cross-slope=2 %", "slope=1 %",
                           "manning-coefficient=9"), "outside 0.005 to 0.5"),
        ("soil-tests-count", ("bed=10 m2", "kind=huge"), "none of micro, small, conventional"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said(name: str, given: tuple[str, ...], says: str) -> None:
    with pytest.raises(BadInput) as error:
        api.reckon(name, given)
    assert says in str(error.value)


def test_every_reference_table_can_be_read() -> None:
    listed = api.reference_tables()
    for name in library.listed(library.rules_folder() / "tables"):
        assert name in listed
        text = api.reference_tables(name)
        assert "Source: " in text
        assert max(map(len, text.splitlines())) < 80, name
    # TR-55, table 2-2a: good open space on soil B is 61.
    assert "cover: open space good; kind: surface; a: 39; b: 61" in api.reference_tables(
        "curve-numbers"
    )
    with pytest.raises(BadInput, match="did you mean 'curve-numbers'"):
        api.reference_tables("curve-number")
