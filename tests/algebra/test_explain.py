"""Rules in English: verbs that fit their nouns, brackets that keep a number what it is."""

from __future__ import annotations

import pytest

from checker.algebra import nodes as n
from checker.algebra.explain import Speaker
from checker.algebra.vocabulary import Vocabulary
from checker.core.units import AREA, Amount, amount
from checker.core.words import Word
from checker.measure.words import built_in

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
