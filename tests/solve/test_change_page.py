"""What a change looks like: plans, chart, proof, bays and metric steps."""

from __future__ import annotations

import re
import time

import pytest

from checker.cli import speaking
from checker.core.records import replace
from checker.drawing.trade_off import _down_to, _ends, _up_to, _window
from checker.pages.blocks import Section
from checker.papers.change import change_page, change_pages, plans_of, text_of
from checker.papers.change_records import json_of
from checker.solve.goal import goal_of
from checker.solve.search import least_change
from checker.words.changes import _runs
from tests.solve.made import checked, cover_rules, sample
from tests.solve.test_search import DRIVE, HOUSE, PATIO


def flat(text: str) -> str:
    return " ".join(text.split())


def test_bays_are_said_in_runs() -> None:
    assert list(_runs([3, 1, 2, 7, 8, 12])) == ["1 to 3", "7", "8", "12"]


def test_the_axis_stands_about_designs_and_limit() -> None:
    # 4,660 today, limit 4,500: a span of 160 in steps of 100 (160 x 1.5 / 4 = 60, rounded up),
    # from below 4,500 - 64 to above 4,660 + 16.
    assert _window([4500.0, 4660.0, 4492.0]) == (4400.0, 4700.0, 100.0)
    # One design alone at its limit still has a scale.
    low, high, step = _window([1000.0, 1000.0])
    assert low < 1000 < high
    assert step > 0


def test_the_foot_of_the_chart_shows_savings_and_fits_the_designs() -> None:
    # A saving of $1,140 lies left of zero; the curve to $90,000 is cut at three times the span.
    least, most, step = _ends([0.0, -1140.0, 3000.0], [90_000.0])
    assert least <= -1140
    assert 3000 < most < 20_000
    assert most % step == pytest.approx(0)


def test_curves_end_at_the_edge_of_the_chart() -> None:
    curve = [(0.0, 100.0), (10.0, 80.0), (30.0, 40.0)]
    assert list(_down_to(60.0, curve)) == [(0.0, 100.0), (10.0, 80.0), (20.0, 60.0)]
    assert list(_up_to(5.0, curve)) == [(0.0, 100.0), (5.0, 90.0)]
    assert list(_down_to(0.0, curve)) == curve


def test_the_page_shows_the_design_before_and_after() -> None:
    options = least_change(sample("least-change-patio"))
    pages = change_pages(options)
    assert {"plan-designed.svg", "plan-changed.svg"} <= set(pages)
    ids = re.findall(r'\bid="([^"]+)"', pages["change.html"])
    assert len(ids) == len(set(ids))
    page = change_page(options, "", plans_of(options))
    assert [part.title for part in page.sections if isinstance(part, Section)][:2] == [
        "Today",
        "Before and after",
    ]


def test_letters_of_every_language_stand_in_the_data_as_they_are() -> None:
    lot = checked(HOUSE + DRIVE + PATIO, cover_rules("9000 sq ft"))
    named = replace(lot, site=replace(lot.site, title="Größe"))
    assert '"site": "Größe"' in json_of(least_change(named))


def test_nothing_is_drawn_twice_where_nothing_changes() -> None:
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("9000 sq ft")))
    assert plans_of(options) == ()


def test_proof_is_said_once_with_what_can_be_built() -> None:
    text = flat(text_of(least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("2900 sq ft")))))
    assert text.count("in bands at least 3.00 ft wide") <= text.count("Proven least:")
    assert "; all of it in bands at least 3.00 ft wide" in text


def test_a_reserve_that_is_not_kept_is_what_is_open_today() -> None:
    goal = "goal: {reserve: 50 sq ft}\n"
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3310 sq ft"), goal))
    assert options.best is not None
    assert options.best.pieces
    assert "Every rule is met, but not with 50 sq ft in reserve" in flat(text_of(options))


def test_bands_go_in_steps_of_the_unit_of_the_file() -> None:
    us = checked(HOUSE + PATIO, cover_rules("2900 sq ft"))
    assert (goal_of(us.site, us.ruleset).module_m, goal_of(us.site, us.ruleset).least_width_m) == (
        0.1524,
        0.9144,
    )
    from tests.solve.made import SITE_HEAD

    head = SITE_HEAD.replace("units: ft", "units: m")
    metric = checked(HOUSE + PATIO, cover_rules("2900 m2"), head=head)
    goal = goal_of(metric.site, metric.ruleset)
    assert (goal.module_m, goal.least_width_m) == (0.15, 0.9)


def test_a_search_tells_what_it_is_at_only_when_it_lasts(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[tuple[int, int, str]] = []
    monkeypatch.setattr(speaking, "progress", lambda *now: said.append(now))
    told = speaking.SlowProgress(60.0)
    told(0, 3, "least cost")
    told.stop()
    assert said == []
    told = speaking.SlowProgress(0.01)
    told(0, 3, "least cost")
    for _ in range(200):
        if said:
            break
        time.sleep(0.01)
    told(1, 3, "least area")
    told.stop()
    assert said == [(0, 3, "least cost"), (1, 3, "least area")]


def test_counted_savings_are_looked_for_where_every_rule_is_met() -> None:
    # The limit is far off, yet what is left unbuilt pays: nothing is cheaper than none of it.
    deck = PATIO.replace("may_become", "stage: proposed\n    may_become")
    goal = "goal: {savings: counted, may_be_removed: [patio]}\n"
    best = least_change(checked(HOUSE + deck, cover_rules("9000 sq ft"), goal)).best
    assert best is not None
    assert best.pieces
    assert best.cents < 0


def test_what_kept_deck_costs_stands_beside_the_cheapest_option() -> None:
    # Of the patio, 64 by 40 ft, pool and coping leave 15 and 15 ft beside them from 11 to 29 ft
    # below its north side. 160 sq ft too much: without credit that much must be lawn. Along the
    # side it is 3 ft, 64 x 3 = 192, at $7. Beside the pool 5.5 ft do, 30 x 5.5 = 165; what lies
    # above, 8.5 x 64 and the strip of 2.5 x 34 that is left over the pool, 544 + 85 = 629, is paved
    # anew at $29. 629 x 29 + 165 x 7 = 19,396; less 192 x 7 = 1,344 that is 18,052 for 27 sq ft.
    text = flat(text_of(least_change(sample("least-change-patio"))))
    says = "Beside 'Least cost' it keeps {} sq ft more of deck, walk or drive and costs {} more."
    assert says.format("27.0", "$18,052.00") in text
    # 224 x 29 = 6,496, less 1,344, for all of the 192.
    assert says.format("192.0", "$5,152.00") in text
    assert text.count("Beside 'Least cost'") == 2


def test_deck_kept_is_told_where_it_is_deck_and_costs_more() -> None:
    # 100 sq ft too much: lawn, or paving at more cost. What stands beside it is made by hand.
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft")))
    cheap, other = options.option("least-cost"), options.option("most-deck")

    def text(less_m2: float, dearer_cents: int, unmet: tuple[str, ...] = ()) -> str:
        beside = replace(
            other, same_as="", lost_deck_m2=cheap.lost_deck_m2 - less_m2,
            cents=cheap.cents + dearer_cents, unmet=unmet,
        )  # fmt: skip
        kept = tuple(beside if own is other else own for own in options.options)
        return flat(text_of(replace(options, options=kept)))

    says = "Beside 'Least cost' it keeps"
    # 0.00929 m2 are 0.1 sq ft.
    assert f"{says} 0.1 sq ft more of deck, walk or drive and costs $1.00 more" in text(
        0.00929, 100
    )
    # By rounding alone, for nothing, or for a change that does not meet the rules.
    assert says not in text(1e-7, 100)
    assert says not in text(0.00929, 0)
    assert says not in text(0.00929, 100, ("cover-limit",))
    none = replace(options, options=(replace(other, same_as="", unmet=("cover-limit",)),))
    assert "Beside" not in text_of(none)
