"""The infiltration test in words. Rates by the constant of the standards, from memory."""

from __future__ import annotations

import pytest

from checker.core.problems import BadInput
from checker.words.upkeep import ring_test_text


def test_a_fast_surface() -> None:
    # 126,870 x 40 / (144 x 75) = 469.9 in/h; 4,583,666,000 x 18.1437 / (304.8^2 x 75) = 11,935.6.
    text, holds = ring_test_text("40 lb", "12 in", "75 s", None)
    assert holds
    assert text.startswith("Rate: 469.9 in/h (11,936 mm/h)\nAbove the action level of 10 in/h.")


def test_a_clogged_surface_and_the_number_of_places() -> None:
    # 126,870 x 8 / (144 x 720) = 9.79 in/h. 7,000 sq ft: 1 + 4,500/2,500 rounded up = 3.
    text, holds = ring_test_text("8 lb", "12 in", "12 min", "7000 sq ft")
    assert not holds
    assert "Below the action level" in text
    assert "Places to test on this area: 3." in text


def test_between_the_levels() -> None:
    # 126,870 x 8 / (144 x 300) = 23.5 in/h.
    text, holds = ring_test_text("8 lb", "305 mm", "5 min", None)
    assert holds
    assert "A new surface should reach 50 in/h" in text


@pytest.mark.parametrize(
    ("water", "time", "says"),
    [
        ("8 ft", "75 s", "--water: '8 ft' is a length, but a mass is wanted"),
        ("8 lb", "0 s", "--time: '0 s' is not above zero"),
        ("8 lb", "-3 s", "--time: '-3 s' is not above zero"),
        ("much", "75 s", "--water: 'much' is not an amount"),
    ],
)
def test_amounts_that_cannot_be_used(water: str, time: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        ring_test_text(water, "12 in", time, None)
    assert says in str(caught.value)


def test_the_prewetting_says_how_much_to_pour() -> None:
    """Under 30 s the test pours 40 lb, else 8 lb (from memory of the standards)."""
    text, holds = ring_test_text("40 lb", "12 in", "75 s", None, "25 s")
    assert "pours 40 lb (18.14 kg)." in text
    assert holds
    text, holds = ring_test_text("40 lb", "12 in", "75 s", None, "30 s")
    assert "pours 8 lb (3.63 kg), not 40 lb: test again." in text
    assert not holds
