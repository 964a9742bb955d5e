"""What rules evaluate to: the forms that published limits take, and honest uncertainty."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from checker.algebra import evaluate
from checker.core.units import same
from tests.algebra.scope import Scope, condition, number


def square_feet(data: Any, scope: Scope) -> float | None:
    found = evaluate.as_amount(evaluate.number(number(data), scope))
    return None if found is None else found.to("sq ft")


def lot(area: str, **more: Any) -> Scope:
    return Scope({"lot_area": area, **more})


# Redlands, California, municipal code 18.20.110 (ordinance 2147, 1991), read whole; the areas
# were computed by hand from its text: 20,000 -> 4,200 + 20 % of 6,000 = 5,400.
REDLANDS = {
    "brackets": [
        {"up_to": "14000 sq ft", "percent": 30},
        {"up_to": "40000 sq ft", "percent": 20},
        {"up_to": "150000 sq ft", "percent": 5},
    ],
    "of": "lot_area",
}


@pytest.mark.parametrize(
    ("area", "limit"),
    [
        ("10000 sq ft", 3000),
        ("14000 sq ft", 4200),
        ("20000 sq ft", 5400),
        ("40000 sq ft", 9400),
        ("60000 sq ft", 10400),
        ("149999 sq ft", 14899.95),
    ],
)
def test_marginal_brackets(area: str, limit: float) -> None:
    found = square_feet(REDLANDS, lot(area))
    assert found is not None and same(found, limit)


def test_beyond_the_last_bracket_is_undefined() -> None:
    assert square_feet(REDLANDS, lot("150001 sq ft")) is None


# South Weber, Utah, sensitive-slope chapter (ordinance 09-03, 2009), read whole.
@pytest.mark.parametrize(
    ("area", "limit"), [("10000 sq ft", 4000), ("12500 sq ft", 5000), ("20000 sq ft", 5000)]
)
def test_the_lesser_of_a_share_and_an_area(area: str, limit: float) -> None:
    data = {"least": [{"percent": 40, "of": "lot_area"}, "5000 sq ft"]}
    found = square_feet(data, lot(area))
    assert found is not None and same(found, limit)


# Elmhurst, Illinois, 2014 ordinance as a newspaper reported it (secondary source, read in part).
ELMHURST = {
    "tiers": [
        {"at_most": "9000 sq ft", "value": {"percent": 60, "of": "lot_area"}},
        {
            "more_than": "9000 sq ft",
            "at_most": "12000 sq ft",
            "value": {"percent": 55, "of": "lot_area"},
        },
        {"more_than": "12000 sq ft", "value": {"percent": 50, "of": "lot_area"}},
    ],
    "by": "lot_area",
}


@pytest.mark.parametrize(
    ("area", "limit"),
    [
        ("9000 sq ft", 5400),
        ("9001 sq ft", 4950.55),
        ("12000 sq ft", 6600),
        ("12001 sq ft", 6000.5),
    ],
)
def test_tiers_and_their_ends(area: str, limit: float) -> None:
    found = square_feet(ELMHURST, lot(area))
    assert found is not None and same(found, limit)


def test_a_gap_between_tiers_is_undefined_and_says_so() -> None:
    data = {
        "tiers": [
            {"less_than": "9000 sq ft", "value": "1 sq ft"},
            {"more_than": "9000 sq ft", "value": "2 sq ft"},
        ],
        "by": "lot_area",
    }
    found = evaluate.number(number(data), lot("9000 sq ft"))
    assert not found.is_certain
    assert [missing.ask for missing in found.missing] == [
        "no tier fits: ask the office which one holds"
    ]


def test_overlapping_tiers_are_undefined() -> None:
    data = {
        "tiers": [
            {"at_most": "9000 sq ft", "value": "1 sq ft"},
            {"at_least": "9000 sq ft", "value": "2 sq ft"},
        ],
        "by": "lot_area",
    }
    found = evaluate.number(number(data), lot("9000 sq ft"))
    assert [missing.ask for missing in found.missing] == [
        "two tiers fit: ask the office which one holds"
    ]
    assert square_feet(data, lot("8999 sq ft")) == pytest.approx(1)


# Maryland, Natural Resources Article 8-1808.3 as read in part, lots of half an acre or less that
# existed on the date: 25 % of the lot, and the total may exceed that by the greater of 25 % of
# the limit or 500 sq ft. Worked by hand: 6,000 -> 1,500 + 500; 15,000 -> 3,750 + 937.5.
@pytest.mark.parametrize(
    ("area", "ceiling"),
    [
        ("6000 sq ft", 2000),
        ("8000 sq ft", 2500),
        ("15000 sq ft", 4687.5),
        ("21780 sq ft", 6806.25),
    ],
)
def test_a_limit_that_may_be_exceeded_by_the_greater_of(area: str, ceiling: float) -> None:
    base = {"percent": 25, "of": "lot_area"}
    data = {"sum": [base, {"greatest": [{"percent": 25, "of": base}, "500 sq ft"]}]}
    found = square_feet(data, lot(area))
    assert found is not None and same(found, ceiling)


# Beverly Hills, California, 10-3-2618 (read in part): a third of the front yard plus a walk of
# up to 5 ft along its depth. Worked by hand: 70 x 25 ft: 33 % of 1,750 + 25 x 5 = 702.5.
def test_a_product_of_lengths_is_an_area() -> None:
    data = {"sum": [{"percent": 33, "of": "lot_area"}, {"product": ["width", "5 ft"]}]}
    found = square_feet(data, lot("1750 sq ft", width="25 ft"))
    assert found is not None and same(found, 702.5)


# Kill Devil Hills, North Carolina, 153.180 (read in part): 75 % of the wetland may be used.
# Worked by hand: 12,000 + 0.75 x 3,000 = 14,250; 65 % of it 9,262.5.
def test_a_weighted_denominator() -> None:
    basis = {
        "sum": [
            {"difference": {"take": "lot_area", "less": ["cover"]}},
            {"percent": 75, "of": "cover"},
        ]
    }
    found = square_feet({"percent": 65, "of": basis}, lot("15000 sq ft", cover="3000 sq ft"))
    assert found is not None and same(found, 9262.5)


def test_an_allowance_stops_at_zero_only_when_told() -> None:
    less = {"take": "100 sq ft", "less": ["250 sq ft"]}
    assert square_feet({"difference": less}, Scope()) == pytest.approx(-150)
    assert square_feet({"difference": less | {"stops_at_zero": True}}, Scope()) == 0


def test_points_with_lines_and_steps_between() -> None:
    points = [["5000 sq ft", "50 %"], ["10000 sq ft", "40 %"]]
    scope = lot("7500 sq ft")
    for between, share in (("straight line", 0.45), ("lower point", 0.5), ("higher point", 0.4)):
        node = number({"points": points, "by": "lot_area", "between": between})
        found = evaluate.as_amount(evaluate.number(node, scope))
        assert found is not None and same(found.value_si, share)
    node = number({"points": points, "by": "lot_area"})
    assert not evaluate.number(node, lot("10001 sq ft")).is_certain
    at_end = evaluate.as_amount(evaluate.number(node, lot("10000 sq ft")))
    assert at_end is not None and same(at_end.value_si, 0.4)


def test_a_value_by_date() -> None:
    data = {
        "by_date": [
            {"since": "2001-01-01", "value": "1 sq ft"},
            {"since": "2024-07-01", "value": "2 sq ft"},
        ]
    }
    assert square_feet(data, Scope(day=date(2024, 6, 30))) == pytest.approx(1)
    assert square_feet(data, Scope(day=date(2024, 7, 1))) == pytest.approx(2)
    assert square_feet(data, Scope()) == pytest.approx(2)
    assert square_feet(data, Scope(day=date(2000, 1, 1))) is None


def test_a_bonus_is_a_choice_and_its_cap_the_least() -> None:
    bonus = {
        "choose": [{"when": {"fact": "corner", "is": "yes"}, "value": "500 sq ft"}],
        "otherwise": "0 sq ft",
    }
    capped = {"least": [{"sum": [{"percent": 40, "of": "lot_area"}, bonus]}, "4300 sq ft"]}
    assert square_feet(capped, lot("10000 sq ft", corner=False)) == pytest.approx(4000)
    assert square_feet(capped, lot("10000 sq ft", corner=True)) == pytest.approx(4300)
    # Nobody said whether it is a corner lot: somewhere from 4,000 to 4,300, and why.
    found = evaluate.number(number(capped), lot("10000 sq ft"))
    low, high = found.end(high=False), found.end(high=True)
    assert low is not None and same(low.to("sq ft"), 4000)
    assert high is not None and same(high.to("sq ft"), 4300)
    assert [missing.name for missing in found.missing] == ["corner"]


def test_what_is_missing_does_not_matter_where_others_decide() -> None:
    # The lesser of 100 sq ft and something of at least 200 sq ft is 100 sq ft.
    found = evaluate.number(
        number({"least": ["100 sq ft", "cover"]}), Scope({"cover": ("200 sq ft", "900 sq ft")})
    )
    assert found.is_certain
    assert found.missing == ()


def test_a_ratio_by_zero_is_undefined() -> None:
    node = number({"ratio": ["cover", "lot_area"]})
    found = evaluate.number(node, Scope({"cover": "1 sq ft", "lot_area": "0 sq ft"}))
    assert not found.is_certain


LIMIT = {"measure": "cover", "at_most": {"percent": 45, "of": "lot_area"}}


@pytest.mark.parametrize(
    ("cover", "holds"),
    [
        ("4500 sq ft", True),
        ("4500.001 sq ft", False),
        (("4000 sq ft", "4500 sq ft"), True),
        (("4000 sq ft", "4600 sq ft"), None),
        (("4501 sq ft", "4600 sq ft"), False),
        (None, None),
    ],
)
def test_a_verdict_needs_the_whole_range(cover: Any, holds: bool | None) -> None:
    truth = evaluate.condition(condition(LIMIT), lot("10000 sq ft", cover=cover))
    assert truth.holds is holds


def test_the_margin_is_that_of_the_unfavourable_end() -> None:
    scope = lot("10000 sq ft", cover=("4000 sq ft", "4600 sq ft"))
    (part,) = evaluate.condition(condition(LIMIT), scope).parts
    assert part.margin_si is not None
    assert same(part.margin_si / 0.3048**2, -100)
    minimum = {"measure": "cover", "at_least": "4500 sq ft"}
    (part,) = evaluate.condition(condition(minimum), scope).parts
    assert part.margin_si is not None
    assert same(part.margin_si / 0.3048**2, -500)


TRUTHS = (True, False, None)


@pytest.mark.parametrize("first", TRUTHS)
@pytest.mark.parametrize("second", TRUTHS)
def test_all_and_any_are_three_valued(first: bool | None, second: bool | None) -> None:
    # Kleene's strong three-valued logic, 1938, from memory.
    scope = Scope({"corner": first, "covered": second})
    both = [
        {"fact": "corner", "is": "yes"},
        {"for_each": {}, "require": {"fact": "covered", "is": "yes"}},
    ]
    scope.inner = [Scope({"covered": second})]
    every = evaluate.condition(condition({"all": both}), scope).holds
    some = evaluate.condition(condition({"any": both}), scope).holds
    values = (first, second)
    assert every is (False if False in values else None if None in values else True)
    assert some is (True if True in values else None if None in values else False)


def test_not_of_unknown_is_unknown() -> None:
    node = condition({"not": {"fact": "corner", "is": "yes"}})
    assert evaluate.condition(node, Scope()).holds is None
    assert evaluate.condition(node, Scope({"corner": True})).holds is False


@pytest.mark.parametrize(
    ("order", "day", "holds"),
    [
        ("on_or_before", date(1985, 12, 1), True),
        ("on_or_before", date(1985, 12, 2), False),
        ("before", date(1985, 12, 1), False),
        ("after", date(1985, 12, 1), False),
        ("on_or_after", date(1985, 12, 1), True),
    ],
)
def test_dates_and_their_ends(order: str, day: date, holds: bool) -> None:
    node = condition({"fact": "recorded", order: "1985-12-01"})
    assert evaluate.condition(node, Scope({"recorded": day})).holds is holds
    assert evaluate.condition(node, Scope()).holds is None


def test_for_each_judges_every_surface_it_selects() -> None:
    node = condition(
        {
            "for_each": {"material": "wood-deck"},
            "require": {"value": "gap", "at_least": "1/4 in"},
        }
    )
    tight = Scope({"material": "wood-deck", "gap": "1/8 in"}, surface_id="tight")
    wide = Scope({"material": "wood-deck", "gap": "1/4 in"}, surface_id="wide")
    unmeasured = Scope({"material": "wood-deck"}, surface_id="unmeasured")
    slab = Scope({"material": "slab"}, surface_id="slab")
    assert evaluate.condition(node, Scope(inner=[wide, slab])).holds is True
    assert evaluate.condition(node, Scope(inner=[wide, tight])).holds is False
    truth = evaluate.condition(node, Scope(inner=[wide, unmeasured]))
    assert truth.holds is None
    assert [(missing.name, missing.of) for missing in truth.missing] == [("gap", "unmeasured")]
    nothing = evaluate.condition(node, Scope(inner=[slab]))
    assert nothing.holds is True
    assert nothing.is_vacuous


def test_a_surface_that_facts_excuse_leaves_no_number_that_decides() -> None:
    """The covered deck needs no gap; the gap of the open one would not be what decides for both."""
    node = condition(
        {
            "for_each": {"material": "wood-deck"},
            "require": {
                "any": [{"fact": "covered", "is": "yes"}, {"value": "gap", "at_least": "1/4 in"}]
            },
        }
    )
    covered = Scope({"material": "wood-deck", "gap": "1/8 in", "covered": True})
    opened = Scope({"material": "wood-deck", "gap": "1/4 in", "covered": False})
    alone = evaluate.condition(node, Scope(inner=[opened]))
    assert alone.holds is True
    assert [judged.measured.low_si for judged in alone.decides] == [pytest.approx(0.00635)]
    both = evaluate.condition(node, Scope(inner=[covered, opened]))
    assert both.holds is True
    assert both.decides == ()


def test_readings_choose_one_branch() -> None:
    data = {
        "by_reading": "share-of",
        "options": {"of-limit": "1 sq ft", "of-lot": "2 sq ft"},
    }
    assert square_feet(data, Scope()) == pytest.approx(1)
    assert square_feet(data, Scope(options={"share-of": "of-lot"})) == pytest.approx(2)


def test_rounding_is_part_of_the_rule() -> None:
    percent = {"ratio": ["cover", "lot_area"]}
    nearest = {"rounded": percent, "to": "0.1 %", "way": "nearest"}
    scope = lot("10000 sq ft", cover="4504 sq ft")  # 45.04 %
    assert evaluate.condition(condition({"value": nearest, "at_most": "45 %"}), scope).holds
    assert not evaluate.condition(condition({"value": percent, "at_most": "45 %"}), scope).holds


def test_a_rounded_number_keeps_its_unit_and_a_share_takes_that_of_its_step() -> None:
    scope = lot("10000 sq ft", cover="4504 sq ft")
    share: Any = {"rounded": {"ratio": ["cover", "lot_area"]}, "to": "0.1 %", "way": "nearest"}
    area: Any = {"rounded": "cover", "to": "10 m2", "way": "down"}
    shown = [evaluate.number(number(data), scope) for data in (share, area)]
    assert [found.unit for found in shown] == ["%", "sq ft"]


def test_documents_and_other_rules() -> None:
    filed = condition({"on_file": "soil-report"})
    assert evaluate.condition(filed, Scope(documents=frozenset({"soil-report"}))).holds
    truth = evaluate.condition(filed, Scope())
    assert truth.holds is False
    assert [item.node for item in truth.because] == [filed]
    passes = condition({"passes": "first"})
    for value in TRUTHS:
        assert evaluate.condition(passes, Scope(truths={"first": value})).holds is value


@pytest.mark.parametrize(
    ("area", "end", "value"),
    [
        # Nine thousand itself lies in the upper tier, or in the lower one, as its words say.
        (("5000 sq ft", "9000 sq ft"), ("less_than", "at_least"), (3.0, 8.0)),
        (("5000 sq ft", "9000 sq ft"), ("at_most", "more_than"), (3.0, 3.0)),
        (("9000 sq ft", "12000 sq ft"), ("at_most", "more_than"), (3.0, 8.0)),
        (("9000 sq ft", "12000 sq ft"), ("less_than", "at_least"), (8.0, 8.0)),
    ],
)
def test_tiers_by_an_area_in_doubt_span_what_it_may_fall_in(
    area: tuple[str, str], end: tuple[str, str], value: tuple[float, float]
) -> None:
    data = {
        "tiers": [
            {end[0]: "9000 sq ft", "value": "3 sq ft"},
            {end[1]: "9000 sq ft", "value": "8 sq ft"},
        ],
        "by": "lot_area",
    }
    found = evaluate.number(number(data), Scope({"lot_area": area}))
    low, high = found.end(high=False), found.end(high=True)
    assert low is not None and high is not None
    assert (round(low.to("sq ft"), 6), round(high.to("sq ft"), 6)) == value
