"""The storms of a site, from its rain table or as typed."""

from __future__ import annotations

from contextlib import contextmanager
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.problems import Problems
from checker.core.records import replace
from checker.core.units import INCH_M, meets
from checker.files.opening import Unopened, read_bytes
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import storms_of
from checker.water.atlas import read_atlas, text_of
from checker.water.concentration import SHORTEST_S
from checker.water.rainfall import rain_depth_m, rain_intensity_m_per_s
from checker.water.storms import (
    Storm,
    most_intense_m_per_s,
    nested_storm,
    storm_from_mass_curve,
    typed_storm,
    uniform_storm,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Literal

    from checker.measure.survey import Survey
    from checker.site.drainage import StormAsked
    from checker.water.rainfall import DepthTable

    Which = Literal["design", "rare"]

_MOST_BYTES: Final = 1_000_000
_NESTED_STEP_S: Final = 300.0


def rain_table(survey: Survey) -> DepthTable:
    """The rain table that the site file names.

    Raises:
        NotMeasured: It names none, or nobody says where it is from.
        BadInput: The table cannot be read.
    """

    def read(_data: object, _document: object) -> DepthTable:
        storms = storms_of(survey)
        if not storms.table:
            raise NotMeasured("give 'table' under 'storms', the text table of a rainfall atlas")
        shown = (PurePosixPath(survey.site.document.file).parent / storms.table).as_posix()
        try:
            raw = read_bytes(survey.site.file.parent / storms.table, shown, _MOST_BYTES)
        except Unopened as error:
            raise error.named_at(survey.site.document.place("storms", "table")) from error
        text = text_of(raw)
        problems = Problems()
        found = read_atlas(text, storms.table, problems)
        problems.stop_if_any(f"{storms.table} cannot be used")
        assert found is not None
        origin = storms.origin or found.title
        if not origin:
            raise NotMeasured(
                f"say where the rain table {storms.table} is from: 'source' under 'storms', such "
                "as the atlas with its volume and the point"
            )
        return replace(found, title=origin)

    return survey.part("rain_table", read)


def storm(survey: Survey, which: Which) -> Storm:
    """The design storm or the rare storm of a site.

    Raises:
        NotMeasured: The file does not ask for it, or lacks the rain.
        BadInput: The rain table cannot be read.
    """
    storms = storms_of(survey)
    asked = storms.design if which == "design" else storms.rare
    if asked is None:
        raise NotMeasured(f"give '{which}' under 'storms', such as a return period and duration")
    if asked.fallen:
        times_s, fallen_m = zip(*asked.fallen, strict=True)
        return typed_storm(times_s, fallen_m, storms.step_s, "typed")
    if asked.duration_s is None:
        raise NotMeasured(f"give 'duration' of the {which} storm")
    if asked.form == "nested":
        return nested_by_table(survey, asked, which)
    depth_m, title = _depth(survey, asked, which)
    if asked.form == "uniform":
        return uniform_storm(depth_m, asked.duration_s, storms.step_s, title)
    rows = table("storm-mass-curves").rows
    hours, shares = (
        [row["hour"] for row in rows],
        [row[asked.form.replace("-", "_")] for row in rows],
    )
    return storm_from_mass_curve(depth_m, hours, shares, storms.step_s, title)


def return_period_years(survey: Survey, which: Which) -> float:
    """Return period of the design storm or the rare storm, years.

    Raises:
        NotMeasured: The file does not ask for the storm, or types its rain, which has none.
    """
    asked = getattr(storms_of(survey), which)
    if asked is None:
        raise NotMeasured(f"give '{which}' under 'storms'")
    if asked.depth_m is not None or asked.fallen:
        raise NotMeasured(f"the {which} storm is typed: give a rain 'table' and a 'return_period'")
    return _years(asked, which)


def duration_s(survey: Survey, which: Which) -> float:
    """Duration of the design storm or the rare storm, s.

    Raises:
        NotMeasured: The file does not ask for the storm, or lacks its rain.
        BadInput: The rain table cannot be read.
    """
    return storm(survey, which).duration_s


def _years(asked: StormAsked, which: Which) -> float:
    if asked.return_period_years is None:
        raise NotMeasured(f"give 'return_period' of the {which} storm, or its 'depth'")
    return asked.return_period_years


def _depth(survey: Survey, asked: StormAsked, which: Which) -> tuple[float, str]:
    """Depth of a storm with its name."""
    assert asked.duration_s is not None
    form = asked.form.replace("-", " ")
    length = duration_name(asked.duration_s)
    if asked.depth_m is not None:
        is_metric = survey.site.own_system == "metric"
        depth = f"{asked.depth_m * 1000:g} mm" if is_metric else f"{asked.depth_m / INCH_M:g} in"
        return asked.depth_m, f"{length} storm of {depth}, {form}"
    years = _years(asked, which)
    with _asks_the_table(survey, which):
        found = rain_depth_m(rain_table(survey), asked.duration_s, years)
    return found, f"{years:g}-year {length}, {form}"


@contextmanager
def _asks_the_table(survey: Survey, which: Which) -> Iterator[None]:
    """What a rain table cannot say of a storm is something to give."""
    try:
        yield
    except OutOfRange as lacks:
        raise NotMeasured(
            f"the rain table {storms_of(survey).table} does not hold the {which} storm; give its "
            f"rows, or another 'duration' or 'return_period': {lacks}"
        ) from lacks


def nested_by_table(survey: Survey, asked: StormAsked, which: Which) -> Storm:
    """Nested in the steps of the rain table, then cut finer.

    Raises:
        NotMeasured: No duration or return period is given, or no rain table.
    """
    if asked.duration_s is None:
        raise NotMeasured(f"give 'duration' of the {which} storm")
    step_s = storms_of(survey).step_s
    rain = rain_table(survey)
    coarse_s = max(_NESTED_STEP_S, rain.durations_s[0])
    with _asks_the_table(survey, which):
        coarse = nested_storm(rain, _years(asked, which), asked.duration_s, coarse_s)
    count = round(coarse_s / step_s)
    if abs(count * step_s - coarse_s) > 1e-6:
        raise NotMeasured(
            f"give a 'step' under 'storms' that {duration_name(coarse_s)} is a whole number of: "
            f"{step_s:g} s is not"
        )
    depths_m = tuple(depth / count for depth in coarse.depths_m for _ in range(count))
    return Storm(step_s=step_s, depths_m=depths_m, title=coarse.title)


def duration_name(duration_s: float) -> str:
    """A duration as storms are named by it: 5-min, 24-hour."""
    return f"{duration_s / 60:g}-min" if duration_s < 3600 else f"{duration_s / 3600:g}-hour"


def by_table(survey: Survey, which: Which = "design") -> float | None:
    """The return period whose rows of the rain table are tried, years; None for typed rain."""
    storms = storms_of(survey)
    asked: StormAsked | None = getattr(storms, which)
    if asked is None or not storms.table or asked.depth_m is not None or asked.fallen:
        return None
    return asked.return_period_years


def intensity_m_per_s(survey: Survey, concentration_s: float, which: Which = "design") -> float:
    """Intensity of the rain of a storm at a time of concentration, five minutes at least.

    Out of the rain table; of typed rain, the most that falls in that time or any longer. Either
    way it does not rise with the time.

    Raises:
        NotMeasured: The rain table has no rain so short or so long.
        OutOfRange: The return period is no column of the table.
    """
    time_s = max(SHORTEST_S, concentration_s)
    years = by_table(survey, which)
    if years is not None:
        rain = rain_table(survey)
        begins_s, ends_s = rain.durations_s[0], rain.durations_s[-1]
        if not meets(begins_s, time_s, "at most") or not meets(time_s, ends_s, "at most"):
            raise NotMeasured(
                f"the rain table {storms_of(survey).table} goes from {duration_name(begins_s)} to "
                f"{duration_name(ends_s)} rain, but {duration_name(time_s)} rain is asked: give "
                "its row"
            )
        return rain_intensity_m_per_s(rain, min(max(time_s, begins_s), ends_s), years)
    return most_intense_m_per_s(storm(survey, which), time_s)
