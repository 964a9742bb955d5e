"""Rules that cannot be read say where, what and what to do, all at once."""

from __future__ import annotations

from typing import Any

import pytest

from checker.algebra import nodes as n
from checker.core.units import amount
from tests.algebra.scope import condition, number, wrong


def test_the_usual_rule() -> None:
    node = condition({"measure": "cover", "at_most": {"percent": 45, "of": "lot_area"}})
    assert node == n.Compare(n.Named("cover"), "at most", n.Share(0.45, n.Named("lot_area")))


def test_two_orders_are_both_asked() -> None:
    node = condition({"measure": "cover", "at_least": "1 sq ft", "at_most": "9 sq ft"})
    assert isinstance(node, n.AllOf)
    assert {part.order for part in node.parts if isinstance(part, n.Compare)} == {
        "at least",
        "at most",
    }


def test_a_measure_in_a_region_and_state() -> None:
    node = number({"measure": "cover", "in": "rear-yard", "state": "existing"})
    assert node == n.Named("cover", "existing", "rear-yard")
    assert node.key == "cover in rear-yard (existing)"


def test_a_selection_of_surfaces() -> None:
    node = condition(
        {
            "for_each": {"material": ["a", "b"], "gap": {"less_than": "1/4 in"}, "covered": "no"},
            "require": {"on_file": "x"},
        }
    )
    assert isinstance(node, n.ForEach)
    assert node.where == n.AllOf(
        (
            n.Is("material", ("a", "b")),
            n.Compare(n.Named("gap"), "less than", n.Fixed(amount(0.25, "in"))),
            n.Is("covered", (False,)),
        )
    )


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (
            {"measure": "covr", "at_most": "1 sq ft"},
            "measure: 'covr' is not a known name; did you mean 'cover'?",
        ),
        (
            {"measure": "cover", "at_mots": "1 sq ft"},
            "at_mots: 'at_mots' is not a key beside 'measure'; did you mean 'at_most'?",
        ),
        (
            {"measure": "cover", "at_most": "5 ft"},
            "at_most: '5 ft' is a length, and cover is an area; write it like '5 sq ft'",
        ),
        (
            {"measure": "cover", "at_most": "lots"},
            "at_most: 'lots' is not a known name; use one of: ",
        ),
        (
            {"measure": "cover", "at_most": "5 sqq ft"},
            "at_most: 'sqq ft' in '5 sqq ft' is not a known unit; ",
        ),
        (
            {"measure": "lot_area", "state": "existing", "at_most": "5 sq ft"},
            "state: 'lot_area' is the same in every state; leave it out",
        ),
        (
            {"measure": "cover", "in": "reer-yard", "at_most": "5 sq ft"},
            "in: 'reer-yard' is no region of this rule set; did you mean 'rear-yard'?",
        ),
        ({"fact": "zone", "is": "R1"}, "is: 'R1' is no zone; did you mean 'R-1'?"),
        ({"fact": "corner", "is": "maybe"}, "is: 'corner' is yes or no; write yes or no"),
        (
            {"fact": "recorded", "before": "1985"},
            "before: '1985' is no day; write YYYY-MM-DD",
        ),
        ({"fact": "gap", "is": "x"}, "fact: 'gap' is not a known name; it belongs to a surface: "),
        ({"measure": "zone", "at_most": 1}, "measure: 'zone' is no amount but a text; "),
        ({"al": []}, "al: no condition starts with 'al'; did you mean 'all'?"),
        ({"all": []}, "all: 'all' takes a list of conditions"),
        ({"all": [], "any": []}, ": a condition with both 'all' and 'any'; keep one"),
        ({}, ": no condition starts with ''; "),
        ("yes", ": a condition is wanted here; "),
        ({"measure": "cover"}, ": nothing to compare with; add one of: at_most"),
        ({"passes": "frist"}, "passes: 'frist' is no rule of this set; did you mean 'first'?"),
        ({"by_reading": "x"}, "by_reading: 'x' is no reading of this rule set; "),
        (
            {"by_reading": "share-of", "options": {"of-lot": {"on_file": "x"}}},
            "options: the option 'of-limit' of 'share-of' is missing; add it",
        ),
        (
            {"for_each": {"materal": "a"}, "require": {"on_file": "x"}},
            "for_each.materal: 'materal'",
        ),
        ({"for_each": {}}, ": 'require' is missing; say what each such surface must meet"),
        ({"on_file": 3}, "on_file: 'on_file' takes the name of a document"),
        ({"fact": "zone"}, ": say one thing about 'zone'; is, one_of, or a date order"),
        ({"fact": "zone", "before": "2020-01-01"}, "before: 'zone' is no date but a text"),
        ({"for_each": "deck", "require": {"on_file": "x"}}, "for_each: a selection is a group of "),
    ],
)
def test_conditions_that_cannot_be_read(data: Any, says: str) -> None:
    assert any(problem.startswith(says) for problem in wrong(data)), wrong(data)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"sum": ["1 ft", "1 sq ft"]}, "sum: 'sum' mixes length with area; give parts of one kind"),
        ({"sum": "1 ft"}, "sum: a list of numbers is wanted here"),
        ({"ratio": ["1 ft"]}, "ratio: 'ratio' takes two numbers: what is divided, then by what"),
        ({"tiers": [{"value": "1 ft"}]}, ": 'by' is missing; add it"),
        (
            {"tiers": [{"at_least": "1 ft", "more_than": "1 ft", "value": "1 ft"}], "by": "width"},
            "tiers.0.more_than: 'at_least' and 'more_than' are both given; keep one",
        ),
        (
            {
                "brackets": [{"percent": 1, "up_to": "9 ft"}, {"percent": 1, "up_to": "8 ft"}],
                "of": "width",
            },
            "brackets.1.up_to: the ends of brackets must rise",
        ),
        (
            {"brackets": [{"percent": 1}, {"percent": 1, "up_to": "8 ft"}], "of": "width"},
            "brackets.0: only the last bracket may have no 'up_to'",
        ),
        (
            {"points": [["2 ft", "1 %"], ["1 ft", "2 %"]], "by": "width"},
            "points: the points must stand in rising order",
        ),
        (
            {"by_date": [{"since": "2020-01-01", "value": 1}, {"since": "2019-01-01", "value": 2}]},
            "by_date: the days must stand in rising order",
        ),
        ({"rounded": "width", "to": "0 ft", "way": "up"}, "to: the step must be more than zero"),
        (True, ": a number is wanted here; give an amount, a name or an expression"),
        (
            {"measure": "cover", "state": "past"},
            "state: 'past' is no state; use existing or proposed",
        ),
        ({"measure": "width", "in": "rear-yard"}, "in: 'width' cannot be cut to a region; "),
        ({"percent": "5 ft", "of": "width"}, "percent: '5 ft' is no share; give a number of"),
        (
            {"points": [["1 ft", "1 %"]], "by": "width", "between": "a curve"},
            "between: 'a curve' is no way to go between points; ",
        ),
        ({"points": ["1 ft"], "by": "width"}, "points.0: a point is a pair: [where, value]"),
        ({"by_date": [{"since": "2020-01-01"}]}, "by_date.0: 'value' is missing"),
        ({"rounded": "width"}, ": 'rounded' needs 'to' (a step) and 'way'"),
        (
            {"rounded": "width", "to": "1 ft", "way": "off"},
            "way: 'off' is no way to round; nearest, up or down",
        ),
        ({"brackets": [{"up_to": "1 ft"}], "of": "width"}, "brackets.0: 'percent' is missing"),
        (
            {"by_reading": "share-of", "options": "x"},
            ": 'options' is missing; give one for each of: of-limit, of-lot",
        ),
        (
            {"by_reading": "share-of", "options": {"of-limit": 1, "of-lot": 1, "of-yard": 1}},
            "options.of-yard: 'of-yard' is no option of 'share-of'; ",
        ),
    ],
)
def test_numbers_that_cannot_be_read(data: Any, says: str) -> None:
    found = wrong(data, as_number=True)
    assert any(problem.startswith(says) for problem in found), found


SHARE_OF_LOT = {"value": {"ratio": ["cover", "lot_area"]}}


@pytest.mark.parametrize(
    "limit",
    [
        45,
        {"least": [45, "50 %"]},
        {"greatest": ["50 %", 45]},
        {"tiers": [{"at_least": "1 ft", "value": 45}, {"value": "50 %"}], "by": "width"},
        {"choose": [{"when": {"fact": "corner", "is": "yes"}, "value": 45}], "otherwise": "1 %"},
        {"choose": [{"when": {"fact": "corner", "is": "yes"}, "value": "1 %"}], "otherwise": 45},
        {"by_reading": "share-of", "options": {"of-limit": "50 %", "of-lot": 45}},
        {"by_date": [{"since": "2020-01-01", "value": 45}]},
        {"points": [["1 ft", 45], ["2 ft", "50 %"]], "by": "width"},
    ],
    ids=str,
)
def test_a_bare_number_over_one_is_no_share(limit: Any) -> None:
    says = "at_most: '45' here is 45 times the whole; write '45 %' if a share is meant"
    assert wrong(SHARE_OF_LOT | {"at_most": limit}) == [says]


@pytest.mark.parametrize(
    "limit", ["45 %", 0.45, 1, {"sum": [45, "1 %"]}, {"ratio": ["width", "1 ft"]}]
)
def test_a_share_that_may_be_meant_is_taken(limit: Any) -> None:
    assert wrong(SHARE_OF_LOT | {"at_most": limit}) == []


def test_a_number_over_one_is_taken_where_no_whole_is_named() -> None:
    assert wrong({"value": {"ratio": ["width", "1 ft"]}, "at_most": 45}) == []
    assert wrong({"measure": "share", "at_most": 45}) == []


def test_all_problems_come_at_once() -> None:
    found = wrong(
        {"all": [{"measure": "covr", "at_most": "1 sq ft"}, {"fact": "zone", "is": "R-9"}]}
    )
    assert len(found) == 2


@pytest.mark.parametrize(
    ("name", "limit", "do"),
    [
        ("cover", "5 ft", "write it like '5 sq ft'"),
        ("cover", "45 %", "say of what it is a share: {percent: 45, of: lot_area}"),
        ("width", 30, "write it like '30 in' or '30 ft'"),
        ("cover", 3000, "write it like '3,000 sq ft'"),
        # As a share of the whole 100 would be the lot; 101 is none.
        ("cover", 100, "'100 sq ft', or as a share of the lot: {percent: 100, of: lot_area}"),
        ("cover", 101, "write it like '101 sq ft'"),
    ],
)
def test_a_limit_of_another_kind_is_offered_its_unit(name: str, limit: object, do: str) -> None:
    (said,) = wrong({"value": name, "at_most": limit})
    assert said.endswith(do)
