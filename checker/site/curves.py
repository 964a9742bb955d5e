"""A circular curve of a deed from any two of its data; what is given beyond two is checked."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.formula import POSITIVE, Range, formula
from checker.core.records import Record
from checker.core.units import UNIT
from checker.site.bearings import UnreadableCourse, angle_text

if TYPE_CHECKING:
    from checker.site.deed_courses import Curve

_HALF_TURN: Final = Range(0.0, math.pi, low_open=True)


class Worked(Record, kw_only=True):
    """A curve worked out.

    Attributes:
        radius_m: Its radius.
        delta_rad: Its central angle, more than 0 and less than a full turn.
    """

    radius_m: float
    delta_rad: float

    @property
    def arc_m(self) -> float:
        """The length along the curve."""
        return self.radius_m * self.delta_rad

    @property
    def chord_m(self) -> float:
        """The straight length from end to end."""
        return 2 * self.radius_m * math.sin(self.delta_rad / 2)

    @property
    def tangent_m(self) -> float:
        """From an end to where the two tangents meet; infinite for half a circle and more."""
        half_rad = self.delta_rad / 2
        return self.radius_m * math.tan(half_rad) if half_rad < math.pi / 2 else math.inf


@formula(
    source="geometry-of-the-circle",
    section="arc = R t and chord = 2 R sin(t/2), solved for t",
    valid={"arc_m": POSITIVE, "chord_m": POSITIVE},
)
def delta_of_arc_and_chord_rad(arc_m: float, chord_m: float) -> float:
    """The central angle, radians, of an arc with a chord; by halving the interval.

    Args:
        arc_m: Length along the curve, metres, > chord.
        chord_m: Straight length, metres, > 0.
    """
    low_rad, high_rad = 0.0, 2 * math.pi
    for _ in range(200):
        middle_rad = (low_rad + high_rad) / 2
        # sin(t/2) / (t/2) falls from 1 to 0 over a full turn, so there is one answer.
        if math.sin(middle_rad / 2) * 2 * arc_m > chord_m * middle_rad:
            low_rad = middle_rad
        else:
            high_rad = middle_rad
    return (low_rad + high_rad) / 2


def work_out(curve: Curve, unit: str) -> Worked:
    """The radius and central angle of a curve.

    Args:
        curve: What is given of it.
        unit: The unit in which messages show lengths.

    Raises:
        UnreadableCourse: Fewer than two data, impossible ones, or ones that contradict each other.
    """
    radius, arc, chord, tangent = (
        _length(curve, name) for name in ("radius", "arc", "chord", "tangent")
    )
    delta = None if curve.delta_degrees is None else math.radians(curve.delta_degrees)
    given: list[str] = [
        name for name in ("radius", "arc", "chord", "tangent") if name in curve.lengths
    ]
    given += ["delta"] if delta is not None else []
    if len(given) < 2:
        only = given[0] if given else "none"
        raise UnreadableCourse(
            f"a curve needs two of radius, arc, delta and chord; only {only} is given"
        )
    worked = _solved(radius, arc, chord, tangent, delta)
    if not 0 < worked.delta_rad < 2 * math.pi * (1 - 1e-6):
        raise UnreadableCourse("a curve that goes full circle or further; check its radius and arc")
    _check(curve, worked, unit)
    return worked


def _length(curve: Curve, name: str) -> float | None:
    return curve.lengths[name].length_m if name in curve.lengths else None


def _solved(
    radius: float | None,
    arc: float | None,
    chord: float | None,
    tangent: float | None,
    delta: float | None,
) -> Worked:
    if delta == 0:
        raise UnreadableCourse("a curve with a central angle of 0; check it")
    if radius is not None:
        return Worked(radius_m=radius, delta_rad=_delta(radius, arc, chord, tangent, delta))
    if delta is not None:
        if arc is not None:
            return Worked(radius_m=arc / delta, delta_rad=delta)
        half = math.sin(delta / 2)
        if chord is not None and half > 1e-9:
            return Worked(radius_m=chord / 2 / half, delta_rad=delta)
        if tangent is not None and delta < math.pi:
            return Worked(radius_m=tangent / math.tan(delta / 2), delta_rad=delta)
    if arc is not None and chord is not None:
        if chord >= arc:
            raise UnreadableCourse("a curve whose chord is not shorter than its arc; check them")
        delta = delta_of_arc_and_chord_rad(arc, chord)
        return Worked(radius_m=arc / delta, delta_rad=delta)
    raise UnreadableCourse("a curve by a tangent length needs its radius or delta; add one")


def _delta(
    radius: float,
    arc: float | None,
    chord: float | None,
    tangent: float | None,
    delta: float | None,
) -> float:
    if delta is not None:
        return delta
    if arc is not None:
        return arc / radius
    if chord is not None:
        if chord > 2 * radius * (1 + 1e-6):
            raise UnreadableCourse("a curve whose chord is longer than twice its radius; check it")
        return 2 * math.asin(min(1.0, chord / 2 / radius))
    assert tangent is not None
    return 2 * math.atan(tangent / radius)


def _check(curve: Curve, worked: Worked, unit: str) -> None:
    """Compare every datum with the curve; each may be off by half its last digit, and the others'.

    The slack is the half digit of the datum itself, plus what half digits of the radius and the
    angle make of the arc: d(R t) = t dR + R dt.
    """
    halves = [length.half_digit_m for length in curve.lengths.values()]
    coarsest_m = max(halves, default=0.0)
    angle_rad = math.radians(curve.delta_half_digit_degrees)
    if curve.delta_degrees is None:
        angle_rad = coarsest_m / worked.radius_m
    slack_m = coarsest_m * (2 + worked.delta_rad) + worked.radius_m * angle_rad
    found = {
        "radius": worked.radius_m,
        "arc": worked.arc_m,
        "chord": worked.chord_m,
        "tangent": worked.tangent_m,
    }
    for name, length in curve.lengths.items():
        slack = slack_m
        if name == "radius":
            slack = slack_m * max(1.0, 1 / worked.delta_rad)
        if name == "tangent":
            slack = slack_m / max(1e-3, math.cos(min(worked.delta_rad / 2, 1.57)) ** 2)
        if abs(length.length_m - found[name]) > slack:
            size_m = UNIT[unit].size_si
            delta = angle_text(round(math.degrees(worked.delta_rad) * 3600))
            raise UnreadableCourse(
                f"a curve whose data contradict each other: its {name} is "
                f"{length.length_m / size_m:.3f} {unit}, but the others give "
                f"{found[name] / size_m:.3f} {unit} (delta {delta}); correct it or leave it out"
            )
