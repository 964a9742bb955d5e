"""Laws of verdicts, held against a second, plain reading of random rules.

The second reading knows no ranges: it takes every completion of what is open one by one.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from itertools import product
from typing import TYPE_CHECKING, Any, Final

from hypothesis import given
from hypothesis import strategies as st

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.explain import Speaker
from checker.algebra.walk import nodes
from checker.core.records import replace
from checker.core.units import Amount
from checker.files.source import read_text
from checker.findings.model import MET, STATUSES
from checker.findings.run import judge
from checker.measure.words import built_in
from checker.rulesets.read import read_ruleset
from checker.rulesets.rules import Band, Rule
from tests.findings.rulesets import refuse_model
from tests.laws.sizes import tried

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from checker.algebra.tables import Spot
    from checker.algebra.values import Context, Missing, Quantity
    from checker.findings.model import Finding

TEXT: Final = """\
format: ruleset/1
id: made-up
title: Made up for a law
kind: invented
in_force: {since: 2020-01-01}
sources: [{key: code, document: A code, edition: "2020", reading: invented}]
facts:
  inlet: {kind: yes or no, ask: inlet}
  corner: {kind: yes or no, ask: corner}
  zone: {kind: text, choices: [A, B, C], ask: zone}
  recorded: {kind: date, ask: recorded}
  wide: {kind: amount, ask: wide}
  deep: {kind: amount, ask: deep}
rules:
  - {id: only, title: Only, cite: {source: code, section: "1"}, require: {fact: inlet, is: yes}}
"""
RULES: Final = read_ruleset(read_text(TEXT, "law.yaml"), refuse_model, built_in())
DAYS: Final = (date(1990, 1, 1), date(2000, 1, 1))
ANSWERS: Final[dict[str, list[Any]]] = {
    "inlet": [True, False],
    "corner": [True, False],
    "zone": ["A", "B", "C"],
    "recorded": [day + timedelta(step) for day in DAYS for step in (-1, 0, 1)],
}
ORDER: Final[list[str]] = [*STATUSES]
AMOUNTS: Final = ("wide", "deep")
Facts = dict[str, Any]


class Given:
    """A lot of which some facts are given, and nothing else."""

    def __init__(self, facts: Mapping[str, Any]) -> None:
        self.facts = facts

    def again(self) -> Given:
        return Given(self.facts)

    def bind(self, lot: Context) -> None:
        pass

    def number(self, _named: n.Named) -> Quantity | None:
        return None

    def fact(self, name: str) -> Any:
        found = self.facts.get(name)
        return Amount(float(found)) if isinstance(found, int) and name in AMOUNTS else found

    def spots(self, _state: str, _region: str) -> Sequence[Spot] | Missing:
        return ()

    def surfaces(self) -> Iterable[Context]:
        return ()

    def is_on_file(self, document: str) -> bool:
        return document == "survey"


# Rules.

counts = st.integers(0, 12)
fixed = counts.map(lambda value: n.Fixed(Amount(float(value))))
names = st.sampled_from([n.Named(name) for name in AMOUNTS])
orders = st.sampled_from(["at most", "at least", "less than", "more than", "equal to"])
facts_asked = st.one_of(
    st.builds(n.Is, st.sampled_from(["inlet", "corner"]), st.sampled_from([(True,), (False,)])),
    st.builds(n.Is, st.just("zone"), st.sampled_from([("A",), ("B",), ("A", "C")])),
    st.builds(
        n.Dated,
        st.just("recorded"),
        st.sampled_from(["before", "on or before", "after", "on or after"]),
        st.sampled_from(DAYS),
    ),
    st.sampled_from([n.OnFile("survey"), n.OnFile("letter")]),
)


def _tiers(ends: tuple[int, int], values: tuple[n.Number, n.Number], gap: int) -> n.Tiers:
    low, high = float(min(ends)), float(max(ends) + gap)
    return n.Tiers(
        n.Named("wide"),
        (
            n.Tier(values[0], high=Amount(low), high_included=False),
            n.Tier(values[1], low=Amount(high)),
        ),
    )


def _numbers(inner: Any) -> st.SearchStrategy[Any]:
    several = st.lists(inner, min_size=2, max_size=3).map(tuple)
    return st.one_of(
        st.builds(n.Sum, several),
        st.builds(n.Difference, inner, st.tuples(inner), stops_at_zero=st.booleans()),
        st.builds(n.Least, several),
        st.builds(n.Greatest, several),
        st.builds(n.Share, st.sampled_from([0.25, 0.5, 2.0]), inner),
        st.builds(
            lambda when, value, other: n.Choose((n.Case(when, value),), other),
            facts_asked,
            inner,
            inner,
        ),
    )


whole = st.recursive(st.one_of(fixed, names), _numbers, max_leaves=3)
with_gaps = st.one_of(
    whole,
    st.builds(lambda when, value: n.Choose((n.Case(when, value),), None), facts_asked, whole),
    st.builds(_tiers, st.tuples(counts, counts), st.tuples(whole, whole), st.integers(0, 2)),
    st.builds(n.Ratio, whole, names),
)


def conditions_of(numbers: Any) -> st.SearchStrategy[Any]:
    compares = st.builds(n.Compare, numbers, orders, numbers)
    return st.recursive(
        st.one_of(compares, compares, facts_asked),
        lambda inner: st.one_of(
            st.builds(n.AllOf, st.lists(inner, min_size=2, max_size=3).map(tuple)),
            st.builds(n.AnyOf, st.lists(inner, min_size=2, max_size=3).map(tuple)),
            st.builds(n.Not, inner),
        ),
        max_leaves=4,
    )


def rules_of(numbers: Any) -> st.SearchStrategy[Rule]:
    conditions = conditions_of(numbers)
    band = st.builds(
        lambda outcome, require: Band(outcome=outcome, require=require),
        st.sampled_from(["passes with conditions", "relief possible"]),
        st.one_of(st.just(n.always()), conditions),
    )

    def made(applies: Any, require: Any, bands: Any, documents: Any) -> Rule:
        return replace(
            RULES.rules[0], applies=applies, require=require, or_else=bands, documents=documents
        )

    return st.builds(
        made,
        st.one_of(st.just(n.always()), conditions),
        conditions,
        st.lists(band, max_size=2).map(tuple),
        st.sampled_from([(), ("plan",)]),
    )


values = st.fixed_dictionaries(
    {
        **{name: st.sampled_from(answers) for name, answers in ANSWERS.items()},
        **dict.fromkeys(AMOUNTS, counts),
    }
)


def found_of(rule: Rule, facts: Facts) -> Finding:
    verdict, _ = judge(replace(RULES, rules=(rule,)), Given(facts))
    return verdict.findings[0]


# The second reading: numbers are fractions, None where there is none; truths have three values.

HOLDS: Final = {
    "at most": lambda a, b: a <= b,
    "at least": lambda a, b: a >= b,
    "less than": lambda a, b: a < b,
    "more than": lambda a, b: a > b,
    "equal to": lambda a, b: a == b,
}


def plain_number(node: Any, facts: Facts) -> Fraction | None:  # noqa: C901, PLR0912 - a branch a node
    def of(inner: Any) -> Fraction | None:
        return plain_number(inner, facts)

    match node:
        case n.Fixed(amount=amount):
            return Fraction(amount.value_si)
        case n.Named(name=name):
            return Fraction(facts[name])
        case n.Choose(cases=cases, otherwise=otherwise):
            for case in cases:
                holds = plain_truth(case.when, facts)
                if holds:
                    return of(case.value)
            return None if otherwise is None else of(otherwise)
        case n.Tiers(by=by, rows=rows):
            where = of(by)
            assert where is not None
            fits = [
                row
                for row in rows
                if (row.low is None or where >= row.low.value_si)
                and (row.high is None or where < row.high.value_si)
            ]
            return of(fits[0].value) if len(fits) == 1 else None
        case n.Ratio(top=top, bottom=bottom):
            above, below = of(top), of(bottom)
            return None if above is None or not below else above / below
        case n.Difference(take=take, less=less, stops_at_zero=stops):
            taken, parts = of(take), list(map(of, less))
            given = [part for part in parts if part is not None]
            if taken is None or len(given) < len(parts):
                return None
            left = taken - sum(given)
            return max(left, Fraction(0)) if stops else left
        case n.Product(factors=factors):
            found = Fraction(1)
            for value in map(of, factors):
                if value is None:
                    return None
                found *= value
            return found
        case n.Share(fraction=fraction, of=inner):
            value = of(inner)
            return None if value is None else Fraction(fraction) * value
        case n.Sum(terms=terms) | n.Least(terms=terms) | n.Greatest(terms=terms):
            told = [part for part in map(of, terms) if part is not None]
            if len(told) < len(terms):
                return None
            how: Any = {n.Sum: sum, n.Least: min, n.Greatest: max}[type(node)]
            return Fraction(how(told))
        case _:
            raise AssertionError(node)


def plain_truth(node: Any, facts: Facts) -> bool | None:
    match node:
        case n.Compare(measured=measured, order=order, limit=limit):
            a, b = plain_number(measured, facts), plain_number(limit, facts)
            return None if a is None or b is None else bool(HOLDS[order](a, b))
        case n.Is(name=name, values=given_values):
            return bool(facts[name] in given_values)
        case n.Dated(name=name, order=order, day=day):
            when: date = facts[name]
            return {
                "before": when < day,
                "on or before": when <= day,
                "after": when > day,
                "on or after": when >= day,
            }[order]
        case n.OnFile(document=document):
            return document == "survey"
        case n.Not(part=part):
            inner = plain_truth(part, facts)
            return None if inner is None else not inner
        case n.AllOf(parts=parts):
            told = [plain_truth(part, facts) for part in parts]
            return False if False in told else None if None in told else True
        case n.AnyOf(parts=parts):
            told = [plain_truth(part, facts) for part in parts]
            return True if True in told else None if None in told else False
        case _:
            raise AssertionError(node)


def plain_status(rule: Rule, facts: Facts) -> str:
    applies = plain_truth(rule.applies, facts)
    if applies is False:
        return "does not apply"
    met = plain_truth(rule.require, facts)
    if met:
        status = "passes with conditions" if rule.documents else "passes"
    else:
        status = "cannot tell" if met is None else "fails"
        for band in rule.or_else if met is False else ():
            holds = plain_truth(band.require, facts)
            if holds is not False:
                status = band.outcome if holds else "cannot tell"
                break
    return "cannot tell" if applies is None and status != "passes" else status


def completions(facts: Facts) -> Iterator[Facts]:
    open_ones = [name for name in ANSWERS if name not in facts]
    for chosen in product(*(ANSWERS[name] for name in open_ones)):
        yield facts | dict(zip(open_ones, chosen, strict=True))


@tried(200)
@given(rules_of(with_gaps), values)
def test_a_lot_with_every_fact_is_judged_as_the_plain_reading_judges_it(
    rule: Rule, facts: Facts
) -> None:
    assert found_of(rule, facts).status == plain_status(rule, facts)


@tried(200)
@given(rules_of(whole), values)
def test_the_limit_shown_fed_back_as_a_plain_rule_gives_the_verdict(
    rule: Rule, facts: Facts
) -> None:
    found = found_of(rule, facts)
    shown = found.decides
    if found.status == "does not apply" or shown is None:
        return
    assert found.measured is not None and found.limit is not None and found.margin is not None
    numbers = plain_number(shown.node.measured, facts), plain_number(shown.node.limit, facts)
    assert numbers == (Fraction(found.measured.value_si), Fraction(found.limit.value_si))
    plain = replace(
        rule,
        applies=n.always(),
        require=n.Compare(n.Fixed(found.measured), shown.order, n.Fixed(found.limit)),
        or_else=(),
        documents=(),
    )
    again = found_of(plain, facts).status
    if found.status in {"passes", "fails"}:
        assert again == found.status
    elif found.status == "passes with conditions" and plain_truth(rule.require, facts):
        assert again == "passes"
    else:
        # A rung gave the verdict: by its own limit, or, when it names none, past that above it.
        held = [band for band in rule.or_else if plain_truth(band.require, facts)]
        above = [rule.require, *(band.require for band in rule.or_else)]
        above = above[: above.index(held[0].require)]
        trees = [held[0].require] if again == "passes" else above
        texts = {(part.measured, part.limit) for tree in trees for part in _compares(tree)}
        assert (shown.node.measured, shown.node.limit) in texts


def _compares(tree: Any) -> Iterator[n.Compare]:
    return (node for node in nodes(tree) if isinstance(node, n.Compare))


@tried(200)
@given(conditions_of(whole), values)
def test_a_fail_without_a_limit_names_a_fact_that_is_so(require: Any, facts: Facts) -> None:
    """A rule fails by a number that is shown or by facts that are named, and never by nothing."""
    rule = replace(RULES.rules[0], require=require)
    found = found_of(rule, facts)
    if found.status == "fails" and found.decides is None:
        assert found.because
    for item in evaluate.condition(require, _sheet(facts)).because:
        assert plain_truth(item.node, facts) is item.is_excluded


def _sheet(facts: Facts) -> Any:
    return judge(RULES, Given(facts))[1]


@tried(200)
@given(rules_of(whole), values, st.sets(st.sampled_from(sorted(ANSWERS)), min_size=1))
def test_an_open_question_gives_the_worst_over_all_its_answers(
    rule: Rule, facts: Facts, left_out: set[str]
) -> None:
    known = {name: value for name, value in facts.items() if name not in left_out}
    found = found_of(rule, known)
    possible = {plain_status(rule, every) for every in completions(known)}
    if len(possible) == 1:
        assert {found.status} == possible
        return
    if possible == {"passes", "does not apply"}:
        assert found.status == "unanswered"
    else:
        assert found.status == "cannot tell"
    worst = min(possible, key=ORDER.index)
    assert found.if_unfavourable == worst
    assert found.missing


@tried(250)
@given(
    rules_of(with_gaps),
    values,
    st.sets(st.sampled_from([*ANSWERS, *AMOUNTS]), min_size=1),
    st.lists(st.tuples(counts, counts), min_size=6, max_size=6),
)
def test_a_verdict_survives_every_completion_of_what_is_open(
    rule: Rule, facts: Facts, left_out: set[str], amounts: list[tuple[int, int]]
) -> None:
    known = {name: value for name, value in facts.items() if name not in left_out}
    found = found_of(rule, known)
    if found.status == "cannot tell":
        return
    for pair in amounts:
        more = dict(zip(AMOUNTS, pair, strict=True))
        some = known | {name: value for name, value in more.items() if name not in known}
        for every in completions(some):
            status = plain_status(rule, every)
            if found.status in {"passes", "unanswered"}:
                assert status in {"passes", "does not apply"}
            else:
                assert status == found.status


# Numbers that only rounding tells apart.

tenths = st.integers(0, 40_000).map(lambda count: Fraction(count, 10))


def _sum(parts: Sequence[Fraction]) -> n.Number:
    return n.Sum(tuple(n.Fixed(Amount(float(part))) for part in parts))


@tried(200)
@given(
    st.lists(tenths, min_size=1, max_size=5),
    st.lists(tenths, min_size=0, max_size=3),
    st.sampled_from([Fraction(1, 4), Fraction(7, 20), Fraction(1, 3)]),
    st.sampled_from([Fraction(0), Fraction(0), Fraction(1, 100), Fraction(-1, 100)]),
    orders,
)
def test_a_limit_and_an_excess_over_it_agree_at_zero(
    given_parts: list[Fraction],
    off: list[Fraction],
    share: Fraction,
    more: Fraction,
    order: Any,
) -> None:
    """Measured against a share, the excess against nothing, and the quotient against one."""
    whole_of = sum(given_parts) + 1
    measured = share * whole_of + more
    take = measured + sum(off)
    left = n.Difference(
        n.Fixed(Amount(float(take))), tuple(n.Fixed(Amount(float(part))) for part in off)
    )
    limit = n.Share(float(share), _sum([*given_parts, Fraction(1)]))
    nothing = n.Fixed(Amount(0.0))
    sheet = _sheet({})
    wanted = HOLDS[order](measured, share * whole_of)
    forms = [
        n.Compare(left, order, limit),
        n.Compare(n.Difference(left, (limit,)), order, nothing),
        n.Compare(n.Ratio(left, limit), order, n.Fixed(Amount(1.0))),
        n.Compare(n.Difference(n.Ratio(left, limit), (n.Fixed(Amount(1.0)),)), order, nothing),
        n.Compare(n.Product((n.Difference(left, (limit,)), n.Fixed(Amount(3.0)))), order, nothing),
    ]
    if order in {"at most", "more than"}:
        excess = n.Difference(left, (limit,), stops_at_zero=True)
        forms.append(n.Compare(excess, order, nothing))
    for form in forms:
        truth = evaluate.condition(form, sheet)
        assert truth.holds is wanted, form
        margin_si = truth.parts[0].margin_si
        stops_above = isinstance(form.measured, n.Difference) and form.measured.stops_at_zero
        if more == 0 or not stops_above:
            assert (margin_si == 0) is (more == 0), form


# English.


def _joined(parts: Sequence[Any]) -> list[Any]:
    """Every number that one operation makes of one or two others."""
    pairs = [*product(parts, parts)]
    made: list[Any] = [n.Share(0.5, part) for part in parts]
    for kind in (n.Sum, n.Product, n.Least, n.Greatest):
        made += [kind(pair) for pair in pairs]
    made += [n.Difference(a, (b,)) for a, b in pairs]
    made += [n.Ratio(a, b) for a, b in pairs]
    return made


def test_two_numbers_with_one_sentence_are_one_number() -> None:
    """Brackets stand wherever leaving them out would let a sentence be read another way."""
    speaker = Speaker(RULES.words, "us")
    leaves = [n.Named("wide"), n.Named("deep")]
    once = [*leaves, *_joined(leaves)]
    told: dict[str, Any] = {}
    for node in [*once, *_joined(once)]:
        told.setdefault(speaker.number(node), []).append(node)
    assert len(told) > 4_000
    for said, alike in told.items():
        for facts in ({"wide": 2, "deep": 5}, {"wide": 7, "deep": 1}, {"wide": 11, "deep": 3}):
            assert len({plain_number(node, facts) for node in alike}) == 1, said


def test_what_is_met_is_told_apart_from_what_is_open() -> None:
    assert {"unanswered", "cannot tell", "fails", "relief possible"} == set(STATUSES) - MET
