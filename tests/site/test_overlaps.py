"""What lies over what, of all surfaces at once, held to a look at every two of them."""

from __future__ import annotations

import random

import shapely

from checker.site.overlaps import over_each


def test_what_lies_over_each_is_found() -> None:
    dice = random.Random(29)
    for _ in range(60):
        count = dice.randrange(12)
        shapes = [
            shapely.box(x, y, x + dice.randrange(1, 5), y + dice.randrange(1, 5))
            for x, y in ((dice.randrange(9), dice.randrange(9)) for _ in range(count))
        ]
        levels = [dice.choice(["ground", "raised"]) for _ in range(count)]
        ranks = [(dice.randrange(3), dice.randrange(-2, 1), -place) for place in range(count)]
        expected = [
            (one, over)
            for one in range(count)
            if (
                over := [
                    other
                    for other in range(count)
                    if levels[other] == levels[one]
                    and ranks[other] < ranks[one]
                    and shapes[other].intersects(shapes[one])
                ]
            )
        ]
        assert list(over_each(shapes, levels, ranks)) == expected
