"""Rules in English: verbs that fit their nouns, brackets that keep a number what it is."""

from __future__ import annotations

from datetime import date

import pytest

from checker.algebra import nodes as n
from checker.algebra.explain import Speaker
from checker.algebra.values import Unmet
from checker.algebra.vocabulary import Vocabulary
from checker.core.units import AREA, Amount, amount
from checker.core.words import Word
from checker.measure.words import built_in
from tests.algebra.scope import Scope

TITLES = {
    "structures": "structures",
    "dwellings": "dwellings that the zone allows",
    "roof": "roofs and terraces over the ground",
    "coverage": "coverage by structures",
    "excess": "excess in points",
    "radius": "radius of the corner",
    "lean": "how many steps the stairs have",
    "share": "its share of roofs",
}
WORDS = Vocabulary({name: Word(name, "amount", title, AREA) for name, title in TITLES.items()}, {})
SPEAKER = Speaker(WORDS, "us")
LIMIT = n.Fixed(amount(5.0, "sq ft"))


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("structures", "The structures are at most 5 sq ft."),
        ("dwellings", "The dwellings that the zone allows are at most 5 sq ft."),
        ("roof", "The roofs and terraces over the ground are at most 5 sq ft."),
        ("coverage", "The coverage by structures is at most 5 sq ft."),
        ("excess", "The excess in points is at most 5 sq ft."),
        ("radius", "The radius of the corner is at most 5 sq ft."),
        ("lean", "How many steps the stairs have is at most 5 sq ft."),
        ("share", "Its share of roofs is at most 5 sq ft."),
    ],
)
def test_the_verb_fits_the_noun(name: str, said: str) -> None:
    assert SPEAKER.sentence(n.Compare(n.Named(name), "at most", LIMIT)) == said


A, B, C = (n.Named(name) for name in ("coverage", "excess", "radius"))
THREE = ("the coverage by structures", "the excess in points", "the radius of the corner")


@pytest.mark.parametrize(
    ("node", "said"),
    [
        (n.Ratio(A, n.Product((B, C))), "{} divided by ({} times {})"),
        (n.Product((n.Ratio(A, B), C)), "({} divided by {}) times {}"),
        (n.Ratio(A, n.Share(0.5, B)), "{} divided by (50 % of {})"),
        (n.Sum((n.Least((A, B)), C)), "(the lesser of {} and {}) plus {}"),
        (n.Least((A, n.Sum((B, C)))), "the lesser of {} and ({} plus {})"),
        (n.Share(0.25, n.Least((A, B))), "25 % of the lesser of {} and {}"),
        (n.Difference(A, (n.Difference(B, (C,)),)), "{} less ({} less {})"),
    ],
)
def test_brackets_stand_where_they_are_needed(node: n.Number, said: str) -> None:
    count = said.count("{}")
    assert SPEAKER.number(node) == said.format(*THREE[:count])


def test_titles_of_amounts_follow_an_article() -> None:
    """A title is said as "the ...": it starts with a noun, or with its own article."""
    words = built_in()
    for word in (*words.lot.values(), *words.surface.values()):
        if word.kind == "amount":
            first = word.title.split()[0]
            assert first not in {"from", "to", "at", "in", "of", "whether", "it", "is"}, word.title


def test_a_small_unit_is_kept() -> None:
    assert SPEAKER.amount(Amount(0.0254, amount(1, "in").dimension, "in")) == "1 in"


def test_brackets_are_said_one_after_the_other() -> None:
    """By hand: 0 to 10, then the 5 from 10 to 15, then what is left."""
    rows = (n.Bracket(0.5, amount(10, "sq ft")), n.Bracket(0.25, amount(15, "sq ft")))
    said = "50 % of the first 10 sq ft and 25 % of the next 5 sq ft"
    assert SPEAKER.brackets(rows) == said
    said = "50 % of the first 10 sq ft, 25 % of the next 5 sq ft and 75 % of the rest"
    assert SPEAKER.brackets((*rows, n.Bracket(0.75))) == said


@pytest.mark.parametrize(
    ("item", "said"),
    [
        (Unmet(n.OnFile("letter")), "no 'letter' is on file"),
        (Unmet(n.OnFile("letter"), of="deck"), "no 'letter' is on file for deck"),
        (Unmet(n.OnFile("letter"), of="deck", is_excluded=True),
         "'letter' is on file (deck), which the rule excludes"),
        (Unmet(n.Passes("first")), "rule 'first' is not met"),
        (Unmet(n.Passes("first"), is_excluded=True), "rule 'first' is met, which is excluded"),
        (Unmet(n.Is("kind", ("a", "b")), given="c", of="deck"),
         "kind (deck): c, where a or b is asked"),
        (Unmet(n.Is("kind", ("a",)), given=frozenset()), "kind: none, where a is asked"),
        (Unmet(n.Is("kind", ("a",)), given=frozenset({"c", "a"}), is_excluded=True),
         "kind: a and c, where anything but a is asked"),
        (Unmet(n.Is("lined", (True,)), given=False), "lined: no, where yes is asked"),
        (Unmet(n.Dated("recorded", "before", date(1985, 12, 1)), given=date(1990, 5, 1)),
         "recorded: 1990-05-01, where a day before 1985-12-01 is asked"),
        (Unmet(n.Dated("recorded", "before", date(1985, 12, 1)), given=date(1980, 5, 1),
               is_excluded=True),
         "recorded: 1980-05-01, where a day not before 1985-12-01 is asked"),
    ],
)  # fmt: skip
def test_what_stands_in_the_way_beside_comparisons(item: Unmet, said: str) -> None:
    assert SPEAKER.unmet(item) == said


def test_steps_open_an_amount_and_the_limit_of_another_rule() -> None:
    """5 + 2 = 7 of the amount; the limit of the other rule is half of it, 3.5."""
    amounts = {"coverage": n.Sum((n.Named("structures"), n.Named("roof")))}
    limits = {"other": n.Share(0.5, n.Named("coverage"))}
    speaker = Speaker(WORDS, "us", amounts, limits)
    scope = Scope({"structures": "5", "roof": "2", "coverage": "7", "limit of other": "3.5"})
    steps = speaker.steps(n.LimitOf("other"), scope)
    assert [(step.what, step.value.low_si) for step in steps] == [
        ("the structures", 5.0),
        ("the roofs and terraces over the ground", 2.0),
        ("the structures plus the roofs and terraces over the ground", 7.0),
        ("the coverage by structures", 7.0),
        ("50 % of the coverage by structures", 3.5),
        ("the limit of rule 'other'", 3.5),
    ]
    assert [step.what for step in SPEAKER.steps(n.LimitOf("other"), scope)] == [
        "the limit of rule 'other'"
    ]
