"""The courses of a deed as records: a line, or a curve as it is given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.core.records import Record, Struct, field

if TYPE_CHECKING:
    from checker.site.course_tokens import Length

Turn = Literal["left", "right"]


class Curve(Struct, kw_only=True):
    """A curved course as given, before it is worked out.

    Attributes:
        turn: To which side it bends, looking along the boundary; empty where the text says so by
            the side of its centre, or not at all.
        lengths: radius, arc, chord, tangent length: those that were given.
        delta_degrees: The central angle, when given.
        delta_half_digit_degrees: Half its last written digit.
        chord_azimuth_degrees: The direction of the chord, when given.
        is_tangent: True or False when the text says so.
        concave_degrees: Where its centre lies: concave to the south-east.
        heading_degrees: About where it runs: northeasterly.
        radial_degrees: A line through its start and its centre, either way; None when not said.
        follows: "reverse" or "compound" where it is said so.
        is_said: The text speaks of the curve that the course before it announced.
    """

    turn: Turn | Literal[""] = ""
    lengths: dict[str, Length] = field(default_factory=dict)
    delta_degrees: float | None = None
    delta_half_digit_degrees: float = 0.0
    chord_azimuth_degrees: float | None = None
    is_tangent: bool | None = None
    concave_degrees: float | None = None
    heading_degrees: float | None = None
    radial_degrees: float | None = None
    follows: str = ""
    is_said: bool = False


class Line(Record, kw_only=True):
    """A straight course.

    Attributes:
        azimuth_degrees: Its direction, clockwise from north.
        length: Its length.
        ahead: What it says of the curve that begins at its end; None for nothing.
    """

    azimuth_degrees: float
    length: Length
    ahead: Curve | None = None
