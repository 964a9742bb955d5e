"""Courses of a deed as a boundary: closure, balance, exact area.

The last course is drawn to the point of beginning, as deeds call for it; the closing error is told
and is spread over the courses only where the file asks for it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from checker.core.records import Record
from checker.site.bearings import UnreadableCourse, bearing_text
from checker.site.calls import read_course
from checker.site.clean import SAME_POINT_M
from checker.site.curves import Worked, work_out
from checker.site.deed_courses import Line
from checker.site.labels import curve_text, distance_text
from checker.site.misclosure import suspect
from checker.site.traverse import (
    DOUBTFUL_PRECISION,
    HOPELESS_PRECISION,
    Leg,
    balanced,
    closure_of,
    closure_text,
    corners,
)

if TYPE_CHECKING:
    from checker.core.problems import Place
    from checker.site.arcs import XY, VertexPath
    from checker.site.bearings import BareAngles
    from checker.site.clean import Notes
    from checker.site.deed_courses import Curve, Turn
    from checker.site.model import Closure

TANGENT_TOLERANCE_DEGREES: Final = 30 / 3600
"""A curve whose chord bearing is nearer than this to the tangent one is taken as tangent.

Common practice, no source: printed bearings are good to a second or a few.
"""


class Deed(Record, kw_only=True):
    """A boundary made of courses.

    Attributes:
        path: Its corners, metres, with the bulges of curves.
        labels: Each course as a surveyor writes it.
        closure: How well it closes.
    """

    path: VertexPath
    labels: tuple[str, ...]
    closure: Closure


def read_deed(  # noqa: PLR0913 - what a deed says of its courses
    courses: list[tuple[str, Place]],
    notes: Notes,
    *,
    owner: str,
    start: XY,
    north_degrees: float,
    balance: str,
    bare: BareAngles = "ask",
) -> Deed | None:
    """The boundary that courses describe.

    Args:
        courses: Each course with its place.
        notes: Where problems and doubts go.
        owner: What it is the boundary of, for messages.
        start: The point of beginning, metres.
        north_degrees: Where north is, clockwise from the top of the drawing.
        balance: "none" or "compass rule".
        bare: What an angle such as 26.1000 means.

    Returns:
        None after a problem.
    """
    legs = read_legs(courses, notes, owner, bare)
    if legs is None:
        return None
    closure = closure_of(legs, balance)
    if not _closes(legs, closure, courses[0][1], notes, owner):
        return None
    points = corners(legs)
    if balance == "compass rule":
        points = balanced(points, legs, closure.perimeter_m)
    angle_rad = math.radians(north_degrees)
    cos, sin = math.cos(angle_rad), math.sin(angle_rad)
    path = [
        (
            start[0] + x_m * cos + y_m * sin,
            start[1] - x_m * sin + y_m * cos,
            math.tan(leg.delta_rad / 4),
        )
        for (x_m, y_m), leg in zip(points, legs, strict=False)
    ]
    labels = tuple(_label(leg, notes.unit) for leg in legs)
    return Deed(path=path, labels=labels, closure=closure)


def read_legs(
    courses: list[tuple[str, Place]], notes: Notes, owner: str, bare: BareAngles
) -> list[Leg] | None:
    """Each course worked out; None after a problem."""
    legs: list[Leg] = []
    is_good = True
    ahead: Curve | None = None
    for number, (text, place) in enumerate(courses, 1):
        name = f"course {number} of {owner}"
        try:
            course = read_course(text, notes.unit, bare)
            if isinstance(course, Line):
                length_m = course.length.length_m
                leg = Leg(
                    azimuth_degrees=course.azimuth_degrees, chord_m=length_m, length_m=length_m
                )
                ahead = course.ahead
            else:
                announced(course, ahead)
                ahead = None
                leg = curve_leg(course, legs[-1] if legs and is_good else None, notes, place, name)
            legs.append(leg)
        except UnreadableCourse as error:
            is_good = False
            notes.problem(place, f"{name}: {error}")
    return legs if is_good else None


def announced(curve: Curve, ahead: Curve | None) -> None:
    """Give a curve what the course before it said: `to the beginning of a curve whose ...`."""
    if ahead is None:
        return
    curve.turn = curve.turn or ahead.turn
    curve.lengths = ahead.lengths | curve.lengths
    if curve.delta_degrees is None:
        curve.delta_degrees = ahead.delta_degrees
        curve.delta_half_digit_degrees = ahead.delta_half_digit_degrees
    if curve.chord_azimuth_degrees is None:
        curve.chord_azimuth_degrees = ahead.chord_azimuth_degrees
    if curve.concave_degrees is None:
        curve.concave_degrees = ahead.concave_degrees
    if curve.is_tangent is None:
        curve.is_tangent = ahead.is_tangent
    if curve.radial_degrees is None:
        curve.radial_degrees = ahead.radial_degrees
    curve.follows = curve.follows or ahead.follows


def curve_leg(curve: Curve, before: Leg | None, notes: Notes, place: Place, owner: str) -> Leg:
    """A curve worked out; a printed chord bearing wins over the tangent assumption.

    Raises:
        UnreadableCourse: Its data do not fix it, or the side to which it bends.
    """
    worked = work_out(curve, notes.unit)
    half_degrees = math.degrees(worked.delta_rad) / 2
    leaves = None
    if before is not None:
        # A curve to the left turns the heading counter-clockwise, so the azimuth falls.
        leaves = before.azimuth_degrees - math.degrees(before.delta_rad) / 2
    if curve.chord_azimuth_degrees is None and curve.is_tangent is not True:
        on_radius(curve, half_degrees)
    side = 1 if turn_of(curve, before, leaves, half_degrees) == "left" else -1
    tangent_azimuth = None if leaves is None else (leaves - side * half_degrees) % 360
    azimuth = curve.chord_azimuth_degrees
    if azimuth is None:
        azimuth = _tangent_chord(curve, tangent_azimuth, notes, place, owner)
    elif tangent_azimuth is not None and curve.is_tangent is not False:
        apart = math.fabs(math.remainder(azimuth - tangent_azimuth, 360))
        if apart > TANGENT_TOLERANCE_DEGREES:
            notes.repair(
                place,
                f"{owner}: the curve is not tangent to the course before it (a tangent one has "
                f"the chord bearing {bearing_text(tangent_azimuth)}); the chord bearing given, "
                f"{bearing_text(azimuth)}, was used",
            )
    return Leg(
        azimuth_degrees=azimuth,
        chord_m=worked.chord_m,
        length_m=worked.arc_m,
        delta_rad=side * worked.delta_rad,
        radius_m=worked.radius_m,
    )


def on_radius(curve: Curve, half_degrees: float) -> None:
    """Give a curve that begins square to a radius its chord bearing and turn, where they are sure.

    Its centre lies one way or the other along the radius, and it bends left or right: of the four
    only those stay that agree with all that the course says. One must be left.

    Raises:
        UnreadableCourse: More than one is left, or none.
    """
    if curve.radial_degrees is None:
        return
    fits: list[tuple[Turn, float]] = []
    turns: tuple[Turn, ...] = ("left", "right")
    for centre in (curve.radial_degrees, curve.radial_degrees + 180):
        for turn in turns:
            side = 1 if turn == "left" else -1
            chord = centre + side * (90 - half_degrees)
            middle = centre - side * half_degrees
            if (
                curve.turn in {"", turn}
                and _is_about(curve.heading_degrees, chord)
                and _is_about(curve.concave_degrees, middle)
            ):
                fits.append((turn, chord % 360))
    if len(fits) != 1:
        raise UnreadableCourse(
            "a curve square to a radius that may run more than one way; add its chord bearing"
        )
    curve.turn, curve.chord_azimuth_degrees = fits[0]
    curve.is_tangent = False


def _is_about(said_degrees: float | None, found_degrees: float) -> bool:
    """Whether a word of the compass fits a direction, to an eighth of the circle and a half."""
    if said_degrees is None:
        return True
    return math.fabs(math.remainder(said_degrees - found_degrees, 360)) < 67.5


def _tangent_chord(
    curve: Curve, tangent_azimuth: float | None, notes: Notes, place: Place, owner: str
) -> float:
    if curve.is_tangent is False:
        raise UnreadableCourse("a curve that is not tangent needs its chord bearing; add it")
    if tangent_azimuth is None:
        raise UnreadableCourse(
            "a boundary that begins with a curve needs its chord bearing; add it, or begin at "
            "another corner"
        )
    if curve.is_tangent is None and not curve.follows:
        notes.repair(
            place,
            f"{owner}: the curve names no chord bearing and was taken as tangent to the "
            f"course before it, chord {bearing_text(tangent_azimuth)}",
        )
    return tangent_azimuth


def turn_of(curve: Curve, before: Leg | None, leaves: float | None, half_degrees: float) -> Turn:
    """To which side a curve bends: as it says, by its concave side, or as only one side fits.

    Raises:
        UnreadableCourse: Nothing says it, or two things that it says contradict each other.
    """
    by_concave = _by_concave(curve, leaves)
    if curve.turn:
        if by_concave and by_concave != curve.turn:
            raise UnreadableCourse(
                f"a curve to the {curve.turn} that is concave to the other side; correct one"
            )
        return curve.turn
    if by_concave:
        return by_concave
    if curve.follows and before is not None and before.delta_rad:
        same = curve.follows == "compound"
        return "left" if (before.delta_rad > 0) is same else "right"
    if curve.chord_azimuth_degrees is not None and leaves is not None:
        # A tangent curve leaves its chord by half its angle, to one side alone.
        off = math.remainder(curve.chord_azimuth_degrees - leaves, 360)
        if math.fabs(math.fabs(off) - half_degrees) <= TANGENT_TOLERANCE_DEGREES:
            return "right" if off > 0 else "left"
    raise UnreadableCourse("a curve must say left or right; write 'curve left R 25' L 39.27'")


CLEAR_DEGREES: Final = 20.0
"""A centre less than this off the line of a curve says no side.

Common practice, no source: words of the compass are good to an eighth of the circle.
"""


def _by_concave(curve: Curve, leaves: float | None) -> Turn | Literal[""]:
    heading = curve.chord_azimuth_degrees
    if heading is None:
        heading = curve.heading_degrees if curve.heading_degrees is not None else leaves
    if curve.concave_degrees is None or heading is None:
        return ""
    off = math.remainder(curve.concave_degrees - heading, 360)
    if not CLEAR_DEGREES < math.fabs(off) < 180 - CLEAR_DEGREES:
        return ""
    return "right" if off > 0 else "left"


def _closes(legs: list[Leg], closure: Closure, place: Place, notes: Notes, owner: str) -> bool:
    if closure.error_m <= SAME_POINT_M:
        return True
    says = f"{owner} {closure_text(closure, notes)}"
    if closure.precision < HOPELESS_PRECISION:
        do = suspect(legs, notes.unit) or "compare each bearing and distance with the deed"
        notes.problem(place, says, do)
        return False
    if closure.balance == "none":
        doubt = ""
        if closure.precision < DOUBTFUL_PRECISION:
            doubt = f"; {suspect(legs, notes.unit) or 'compare the courses with the deed'}"
        notes.repair(place, f"{says}; the last course was drawn to the point of beginning{doubt}")
    else:
        notes.repair(place, f"{says}; balanced by the compass rule, as the file asks")
    return True


def _label(leg: Leg, unit: str) -> str:
    bearing = bearing_text(leg.azimuth_degrees)
    if not leg.delta_rad:
        return f"{bearing} {distance_text(leg.length_m, unit)}"
    worked = Worked(radius_m=leg.radius_m, delta_rad=math.fabs(leg.delta_rad))
    turn = "left" if leg.delta_rad > 0 else "right"
    return curve_text(turn, worked.radius_m, worked.delta_rad, bearing, unit)
