"""Scales, letters and room for labels."""

from __future__ import annotations

import pytest

from checker.drawing.hatches import STYLES
from checker.drawing.labels import Box, Placer, upright
from checker.drawing.scale import fitting_scale, metric_scale, us_scale
from checker.words.letters import letter

FOOT_M = 0.3048


def test_letters_go_on_after_z() -> None:
    assert [letter(i) for i in (0, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


def test_an_inch_is_so_many_feet() -> None:
    # 20 ft are 240 in.
    scale = us_scale(20)
    assert scale.ratio == pytest.approx(240)
    assert scale.text == "1 in = 20 ft (1:240)"
    assert scale.bar_labels == ("0", "10", "20", "40 ft")
    assert scale.bar_m == pytest.approx(40 * FOOT_M)


def test_the_metric_bar_is_round() -> None:
    # 1:200: four centimetres are 8 m, the next round length is 10 m.
    scale = metric_scale(200)
    assert scale.bar_m == 10
    assert scale.bar_labels == ("0", "2.5", "5", "10 m")


@pytest.mark.parametrize(
    ("width_ft", "height_ft", "text"),
    [
        # Half-inch margins on letter paper hold 75 x 100 ft at 1 in = 10 ft and 150 x 200 ft at
        # 1 in = 20 ft (permit package notes on paper, worked there).
        (75, 100, "1 in = 10 ft (1:120)"),
        (75.1, 100, "1 in = 20 ft (1:240)"),
        (150, 200, "1 in = 20 ft (1:240)"),
        (150, 201, "1 in = 30 ft (1:360)"),
    ],
)
def test_the_largest_engineers_scale_that_fits(
    width_ft: float, height_ft: float, text: str
) -> None:
    letter_mm = (7.5 * 25.4, 10 * 25.4)
    found = fitting_scale(width_ft * FOOT_M, height_ft * FOOT_M, letter_mm, "us")
    assert found.text == text


def test_even_a_county_gets_a_scale() -> None:
    assert fitting_scale(1e6, 1e6, (100, 100), "metric").ratio >= 1e7


def test_text_never_stands_on_its_head() -> None:
    assert upright(180) == 0
    assert upright(135) == -45
    assert upright(90) == -90
    assert upright(-90) == -90
    assert upright(89.99999) == pytest.approx(-90, abs=0.001)


def test_labels_find_room_or_say_that_there_is_none() -> None:
    placer = Placer(Box(0, 0, 40, 40))
    first = placer.beside((20, 20), 2.0, 0.0)
    second = placer.beside((20, 20), 2.0, 0.0)
    assert first is not None
    assert second is not None
    assert first != second
    placer.take(Box(0, 0, 40, 40))
    assert placer.beside((20, 20), 2.0, 0.0) is None


def test_stages_differ_without_colour() -> None:
    lines = {(style.width_mm, style.dashes) for style in STYLES.values()}
    assert len(lines) == len(STYLES)
