"""The profile of a line of pipes: its axes go by even steps of the page's unit."""

from __future__ import annotations

import re

import pytest

from checker.drawing.charts import even_step
from checker.drawing.pipe_profile import PipeProfile, profile_svg
from checker.water.network import Inlet, Pipe, Rating
from checker.water.pipe_losses import GradeLine

FOOT_M = 0.3048


@pytest.mark.parametrize(
    ("span", "count", "step"),
    [(2.1, 6, 0.5), (6.0, 6, 1.0), (6.1, 6, 2.0), (0.55, 6, 0.1), (28.3, 8, 5.0), (80.0, 8, 10.0),
     (0.012, 6, 0.002), (300.0, 6, 50.0)],
)  # fmt: skip
def test_steps_are_of_one_two_and_five(span: float, count: int, step: float) -> None:
    assert even_step(span, count) == pytest.approx(step)


def drawn(system: str, rim_m: float | None) -> str:
    """A pipe of 80 ft from 98.50 to 97.70, 4 in wide, its water from 98.93 to 97.90."""
    pipe = Pipe(
        id="p", to="out", diameter_m=FOOT_M / 3, length_m=80 * FOOT_M, roughness_coefficient=0.01,
        upper_m=98.5 * FOOT_M, lower_m=97.7 * FOOT_M,
    )  # fmt: skip
    rating = Rating(depths_m=(0.0, 0.1), flows_m3_per_s=(0.0, 0.01))
    tops = () if rim_m is None else (Inlet(id="d", rim_m=rim_m, rating=rating, to="p"),)
    line = GradeLine(
        pipe=pipe, flow_m3_per_s=0.004, upper_m=98.93 * FOOT_M, lower_m=97.9 * FOOT_M,
        tailwater_m=None, friction_m=0.2, entrance_m=0.01, bends_m=0.0, exit_m=0.02,
        is_full=True, is_drowned=False, tops=tops,
    )  # fmt: skip
    profile = PipeProfile("Profile", "A pipe.", [line], [rim_m])
    return profile_svg(profile, system)  # type: ignore[arg-type]


def texts(svg: str, anchor: str) -> list[str]:
    return re.findall(rf'<text[^>]*text-anchor="{anchor}"[^>]*>([^<]*)</text>', svg)


def test_levels_and_lengths_go_by_even_steps() -> None:
    """From 97.70 to the rim at 99.60 are 1.9 ft, in six steps at most 0.5 ft each: 97.5 to 100.0.

    80 ft in eight steps of 10. In metres 29.779 to 30.358, with half a step over it 30.408, by
    tenths, and 24.4 m by fives.
    """
    feet = drawn("us", 99.6 * FOOT_M)
    levels = [text for text in texts(feet, "end") if "pipes" not in text]
    assert levels == ["97.5", "98.0", "98.5", "99.0", "99.5", "100.0"]
    assert texts(feet, "middle") == [str(10 * place) for place in range(9)]
    metres = drawn("metric", 99.6 * FOOT_M)
    levels = [text for text in texts(metres, "end") if "pipes" not in text]
    assert levels == ["29.7", "29.8", "29.9", "30.0", "30.1", "30.2", "30.3", "30.4", "30.5"]
    assert texts(metres, "middle") == ["0", "5", "10", "15", "20"]


def test_the_legend_names_what_is_drawn() -> None:
    assert "rims over the pipes" in drawn("us", 99.6 * FOOT_M)
    assert "rims over the pipes" not in drawn("us", None)
    assert "ground and paving" not in drawn("us", None)
