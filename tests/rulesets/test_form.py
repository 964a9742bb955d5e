"""A place begun from the answers of a form: understood, tried, never more sure than answered."""

from __future__ import annotations

import contextlib
import io
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checker import api
from checker.cli.main import run
from checker.core.problems import BadInput, CheckerError
from checker.files.source import read_document
from checker.findings.new_place import begin
from checker.rulesets import form_limits
from checker.rulesets.form import QUESTIONS, SURFACES
from checker.rulesets.form_answers import Unclear, limit_of, share_of, steps_of, yards_of
from checker.site.materials import materials

if TYPE_CHECKING:
    from checker.rulesets.form import Question
    from checker.rulesets.form_draft import Draft

NEEDED: Final = {
    "title": "Teal Harbor, lots",
    "document": "Teal Harbor Code (invented)",
    "edition": "2024",
    "section": "4",
    "since": "2024-05-01",
    "reading": "invented",
    "units": "us",
}


def said(draft: Draft, key: str) -> list[str]:
    return [sentence.says for sentence in draft.sentences if sentence.of == key]


def test_the_surfaces_of_the_form_are_every_material_once() -> None:
    asked = [material for surface in SURFACES for material in surface.materials]
    assert sorted(asked) == sorted(materials())


def test_the_form_takes_five_minutes() -> None:
    # At nine seconds a question, most of them one word: a budget of ours, no source.
    assert len(QUESTIONS) <= 33


@pytest.mark.parametrize("asked", QUESTIONS, ids=lambda asked: asked.key)
def test_what_the_form_gives_to_go_by_is_understood(asked: Question) -> None:
    likes = [like.split(" (")[0] for like in asked.like.split(" | ")]
    if asked.key == "of":
        likes += ["lot less wetlands", "lot less water"]
    for like in likes:
        assert api.understand_answer(asked.key, like) is not None


def test_plain_english_of_a_simple_place() -> None:
    draft = begin(
        NEEDED
        | {
            "most": "45 %",
            "of": "lot",
            "permeable_paving": "25 % if infiltration rate at least 50 in/h else full",
            "pool_water": "half",
            "yards": "rear 25 ft: 50 %",
        },
        "teal-harbor",
    )
    # 45 % of 10,000 = 4,500; 25 % of 400 = 100; half of 400 = 200; half of 2,000 = 1,000
    assert said(draft, "most") == [
        "A lot of 10,000 sq ft may have 4,500 sq ft; 4,501 sq ft is too much."
    ]
    assert said(draft, "pool_water") == ["400 sq ft of pool and spa water count as 200 sq ft."]
    (permeable,) = said(draft, "permeable_paving")
    assert "count as 100 sq ft if infiltration rate at least 50 in/h; else" in permeable
    assert said(draft, "yards") == [
        "A rear yard, 25 ft deep, of 2,000 sq ft may have 1,000 sq ft; 1,001 sq ft is too much."
    ]


def test_a_limit_by_size_of_lot_at_each_end() -> None:
    most = (
        "up to 9,000 sq ft: 60 %; under 20,000 sq ft: 50 %; above: lesser of 40 % and 9,000 sq ft"
    )
    says = "\n".join(said(begin(NEEDED | {"most": most, "of": "lot"}, "teal"), "most"))
    # 60 % of 9,000 = 5,400; a lot of exactly 20,000 is no longer under it: 40 % = 8,000;
    # 40 % of 40,000 = 16,000, more than 9,000
    assert "A lot of 9,000 sq ft may have 5,400 sq ft" in says
    assert "A lot of 20,000 sq ft may have 8,000 sq ft" in says
    assert "A lot of 40,000 sq ft may have 9,000 sq ft" in says


def test_a_place_without_limits() -> None:
    none = {"most": "none", "yards": "none", "ways_out": "none", "papers": "none"}
    draft = begin(NEEDED | none, "teal")
    assert "rules: []" in draft.text
    assert not draft.sentences


def test_a_lot_less_easements() -> None:
    draft = begin(NEEDED | {"most": "45 %", "of": "lot less easements"}, "teal")
    # 10,000 - 1,000 = 9,000; 45 % of it = 4,050
    (says,) = said(draft, "most")
    assert "10,000 sq ft with 1,000 sq ft of easement on it may have 4,050 sq ft;" in says


def test_what_is_left_open_never_passes(tmp_path: Path) -> None:
    draft = begin(NEEDED, "teal")
    place = api.new_ruleset(tmp_path / "teal.yaml", draft)
    assert set(draft.open_questions) == {q.key for q in QUESTIONS} - set(NEEDED) - {"office", "of"}
    site, _ = api.new_site(tmp_path / "site.yaml", place=str(place))
    checked = api.check(api.load_site(site), api.load_ruleset(str(place)))
    assert {finding.status for finding in checked.verdict.findings} <= {"cannot tell", "unanswered"}
    assert len(checked.verdict.findings) == 3


def test_the_sample_of_a_condition_lies_above_what_is_free() -> None:
    # Of 900 sq ft that are free the sample of 400 would count nothing: twice 900, of which half.
    text = "half each over 900 sq ft if gap at least 1 in"
    draft = begin(NEEDED | {"permeable_paving": text}, "teal")
    assert "counted: 900 sq ft" in draft.text


def test_what_somebody_confirmed_is_not_left_out() -> None:
    answers = NEEDED | {"pool_water": "half"}
    says = "400 sq ft of pool and spa water count as 200 sq ft."
    assert f"Not confirmed by anybody: {says}" in begin(answers, "teal").text
    assert says not in begin(answers, "teal", frozenset({says})).text.split("left_out:")[1]


@pytest.mark.parametrize(
    ("read", "text", "says"),
    [
        (limit_of, "45", "no unit"),
        (limit_of, "145 %", "from 0 to 100"),
        (limit_of, "lesser of 40 % and 30 %", "a share and an area"),
        (steps_of, "up to 9,000 sq ft: 40 %; up to 8,000 sq ft: 30 %", "must rise"),
        (steps_of, "above: 40 %", "needs no size"),
        (steps_of, "40 %; 30 %", "begin with"),
        (share_of, "25", "no share"),
        (share_of, "half if infiltratoin rate at least 50 in/h", "infiltration rate"),
        (share_of, "half if gap at least 50 in/h", "length"),
        (share_of, "half if gap at least 1 in and gap at most 2 in", "twice"),
        (yards_of, "back: 50 %", "front, rear, side"),
        (yards_of, "rear: 50 %; rear 10 ft: 20 %", "twice"),
        (yards_of, "rear -5 ft: 50 %", "no depth"),
        (yards_of, "rear 0 ft: 50 %", "no depth"),
        (steps_of, "up to 1000000000 m2: 40 %; above: 30 %", "no area of a lot"),
        (share_of, "half if sealed", "no condition"),
    ],
)
def test_answers_that_are_no_answers(read: object, text: str, says: str) -> None:
    assert callable(read)
    with pytest.raises(Unclear, match=says):
        read(text)


def test_short_yards_shares_in_words_and_conditions_of_two_words_are_understood() -> None:
    (yard,) = yards_of("front 2 ft: 50 %")
    assert (yard.side, yard.depth) == ("front", "2 ft")
    assert [share_of(text).weight for text in ("a third", "a quarter", "half")] == [
        Fraction(1, 3), Fraction(1, 4), Fraction(1, 2),
    ]  # fmt: skip
    (need,) = share_of("half if well shaded").needs
    assert (need.attribute, need.is_own) == ("is_well_shaded", True)


def test_a_slip_of_what_is_written_shows_in_the_examples(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = {"percent": 44, "of": "lot_area"}
    monkeypatch.setattr(form_limits, "stepped", lambda _steps, _land: wrong)
    with pytest.raises(BadInput, match="does not come out as it was answered"):
        begin(NEEDED | {"most": "45 %", "of": "lot"}, "teal")


PERCENTS: Final = st.integers(1, 1000).map(lambda tenths: f"{tenths / 10:g} %")
AREAS: Final = st.builds(
    lambda size, unit: f"{size:,} {unit}" if unit == "sq ft" else f"{size / 1000:g} {unit}",
    st.integers(200, 40_000),
    st.sampled_from(["sq ft", "acre", "ha"]),
)
LIMITS: Final = st.one_of(
    PERCENTS,
    AREAS,
    st.builds(
        lambda takes, share, area, swaps: (
            f"{takes} of {area} and {share}" if swaps else f"{takes} of {share} and {area}"
        ),
        st.sampled_from(["lesser", "greater"]), PERCENTS, AREAS, st.booleans(),
    ),
)  # fmt: skip
DEPTHS: Final = st.sampled_from(["25 ft", "7.5 m"])
SHARES: Final = st.one_of(PERCENTS, st.sampled_from(["full", "none", "half", "a quarter", "0 %"]))
NEEDS: Final = st.lists(
    st.sampled_from(
        [
            "infiltration rate at least 50 in/h", "infiltration rate more than 1200 mm/h",
            "run-on at most 1", "run-on less than 2", "gap at least 1/4 in", "slope at most 5 %",
            "ground slope less than 1:20", "over open ground", "not covered", "not lined",
            "soil depth at least 4 in", "the director approved its base",
        ]
    ),
    min_size=1, max_size=3, unique_by=lambda text: text.split(" ")[0],
)  # fmt: skip


@st.composite
def counts(draw: st.DrawFn) -> str:
    text = draw(SHARES)
    if draw(st.booleans()):
        text += f" each over {draw(st.integers(1, 500))} sq ft"
    if draw(st.booleans()):
        text += f" if {' and '.join(draw(NEEDS))}"
        if draw(st.booleans()):
            text += f" else {draw(SHARES)}"
    return text


@st.composite
def most(draw: st.DrawFn) -> str:
    if draw(st.booleans()):
        return draw(LIMITS)
    sizes = sorted(draw(st.sets(st.integers(2, 60), min_size=1, max_size=4)))
    heads = [f"{draw(st.sampled_from(['up to', 'under']))} {size * 1000} sq ft" for size in sizes]
    steps = [f"{head}: {draw(LIMITS)}" for head in heads]
    return "; ".join([*steps, *([f"above: {draw(LIMITS)}"] if draw(st.booleans()) else [])])


@st.composite
def forms(draw: st.DrawFn) -> dict[str, str]:
    may_be = {
        "most": most(),
        "of": st.sampled_from(["lot", "lot less easements", "lot less water"]),
        "yards": st.one_of(
            st.just("none"), st.builds("rear {}: {}; front: {}".format, DEPTHS, LIMITS, LIMITS)
        ),
        "ways_out": st.sampled_from(["none", "1", "2", "9"]),
        "papers": st.sampled_from(["none", "survey", "copy of the survey; drainage plan"]),
    }  # fmt: skip
    answers = dict(NEEDED, units=draw(st.sampled_from(["us", "metric"])))
    for key, values in may_be.items():
        if draw(st.booleans()):
            answers[key] = draw(values)
    for surface in draw(st.lists(st.sampled_from(SURFACES), max_size=5)):
        answers[surface.key] = draw(counts())
    return answers


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(forms())
def test_whatever_is_answered_reads_and_its_examples_hold(answers: dict[str, str]) -> None:
    # begin() reads the rule set back and runs the examples, which were reckoned in fractions.
    draft = begin(answers, "teal")
    assert {sentence.of for sentence in draft.sentences} <= answers.keys()
    assert not set(draft.open_questions) & answers.keys()


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(QUESTIONS), st.text(max_size=60))
def test_no_answer_leads_to_a_traceback(asked: Question, text: str) -> None:
    with contextlib.suppress(CheckerError):
        api.understand_answer(asked.key, text)


def test_a_file_of_answers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "answers.yaml"
    lines = ["format: answers/1", *(f'{key}: "{text}"' for key, text in NEEDED.items())]
    file.write_text("\n".join([*lines, "most: 45", "pool_watr: half"]), encoding="utf-8")
    assert run(["rules", "new", str(tmp_path / "teal.yaml"), "--answers", str(file)]) == 2
    told = capsys.readouterr().err
    assert "answers.yaml:9:" in told
    assert "answers.yaml:10:" in told
    assert "pool_water" in told
    assert not (tmp_path / "teal.yaml").exists()
    file.write_text("\n".join([*lines, "most: 45 %", "of: lot"]), encoding="utf-8")
    assert run(["rules", "new", str(tmp_path / "teal.yaml"), "--answers", str(file)]) == 0
    assert "4,500 sq ft" in capsys.readouterr().out
    written = read_document(tmp_path / "teal.yaml").data
    assert written["id"] == "teal"
    assert run(["rules", "new", str(tmp_path / "teal.yaml"), "--answers", str(file)]) == 2
    assert "is there already" in capsys.readouterr().err


@pytest.mark.parametrize("text", ["[1, 2]", "format: site/1", "", "format: answers/1\nmost: [1]"])
def test_a_file_of_something_else(
    tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "answers.yaml"
    file.write_text(text, encoding="utf-8")
    assert run(["rules", "new", str(tmp_path / "teal.yaml"), "--answers", str(file)]) == 2
    assert "answers.yaml" in capsys.readouterr().err


def test_at_the_keyboard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = {asked.key: "" for asked in QUESTIONS} | NEEDED
    answers |= {"most": "40 %", "of": "lot", "yards": "none", "ways_out": "2", "papers": "none"}
    typed = [*answers.values()]
    typed.insert(list(answers).index("since"), "last May")  # asked again
    typed += ["no", "45 %", "yes", ""]  # not 40 % but 45 %; nobody knows of the ways out
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(typed) + "\n"))
    assert run(["rules", "new", str(tmp_path / "teal.yaml")]) == 0
    shown = capsys.readouterr().out
    assert "write YYYY-MM-DD" in shown
    # Nobody pressed Enter here, so that what follows a question stands on its line.
    lines = shown.replace("> ", "\n").replace("tell: ", "\n").splitlines()
    assert max(len(line) for line in lines if str(tmp_path) not in line) <= 80
    text = (tmp_path / "teal.yaml").read_text(encoding="utf-8")
    assert "percent: 45" in text
    left = text.split("left_out:")[1]
    assert "Not confirmed by anybody: A deck with 2" in left
    assert "4,500" not in left


def test_who_stops_halfway_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("Teal Harbor\n"))
    assert run(["rules", "new", str(tmp_path / "teal.yaml")]) == 130
    capsys.readouterr()
    assert list(tmp_path.iterdir()) == []
