"""Records behave as frozen dataclasses do, and there is one kind of them."""

from __future__ import annotations

import copy
import dataclasses  # noqa: TID251 - what records are held to
import pickle
from collections.abc import Mapping

import pytest

from checker.core.records import Record, field, replace


class Point(Record):
    """A record with values by position."""

    x: float
    y: float = 2.0


class Named(Record, kw_only=True):
    """A record with values by name only."""

    name: str
    parts: tuple[Point, ...] = ()
    facts: Mapping[str, int] = field(default_factory=dict)

    @property
    def size(self) -> int:
        return len(self.parts)


@dataclasses.dataclass(frozen=True)
class Standard:
    """The same as `Point`, by the standard library."""

    x: float
    y: float = 2.0


def test_it_is_made_compared_hashed_and_shown_as_a_dataclass() -> None:
    assert Point(1.0) == Point(1.0, 2.0) == Point(y=2.0, x=1.0)
    assert Point(1.0) != Point(1.5)
    assert hash(Point(1.0)) == hash(Point(1.0, 2.0))
    assert repr(Point(1.0)) == repr(Standard(1.0)).replace("Standard", "Point")
    other: object = Standard(1.0)
    assert Point(1.0) != other
    assert len({Point(1.0), Point(1.0, 2.0), Point(3.0)}) == 2


def test_it_cannot_be_changed() -> None:
    point = Point(1.0)
    with pytest.raises(AttributeError):
        point.x = 2.0  # type: ignore[misc]
    with pytest.raises(AttributeError):
        del point.x


@pytest.mark.parametrize(
    ("given", "named"),
    [((), {}), ((1.0, 2.0, 3.0), {}), ((1.0,), {"x": 1.0}), ((1.0,), {"z": 1.0})],
)
def test_wrong_values_are_refused_as_by_a_dataclass(
    given: tuple[float, ...], named: dict[str, float]
) -> None:
    for kind in (Point, Standard):
        with pytest.raises(TypeError):
            kind(*given, **named)


def test_defaults_are_made_anew() -> None:
    first, second = Named(name="a"), Named(name="a")
    assert first.facts == {}
    assert first.facts is not second.facts
    assert first == second
    with pytest.raises(TypeError):
        Named("a")  # type: ignore[call-arg]


def test_a_copy_takes_changes_and_keeps_the_rest() -> None:
    named = Named(name="a", parts=(Point(1.0),))
    assert replace(named, name="b") == Named(name="b", parts=(Point(1.0),))
    assert named.size == 1
    with pytest.raises(TypeError):
        replace(named, nothing=1)


def test_it_can_be_matched_copied_and_pickled() -> None:
    match Point(1.0, 5.0):
        case Point(x=1.0, y=y):
            assert y == 5.0
        case _:
            pytest.fail("no match")
    point = Point(1.0, 5.0)
    assert copy.deepcopy(point) == point
    assert pickle.loads(pickle.dumps(point)) == point
