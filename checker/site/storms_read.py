"""The `storms` of a site file as records, or every problem in them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Problems
from checker.core.units import TIME, UnreadableAmount, read_amount
from checker.files.shape import check_shape
from checker.site.drainage import StormAsked, Storms
from checker.site.drainage_bounds import most_rain_m
from checker.site.drawn_fields import DrawnFields

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.files.source import Document

_DAY_S: Final = 86400.0


def _hyphened(data: object) -> object:
    """The storms with `type_2` as `type-2`: files of earlier versions write it so."""
    if not isinstance(data, dict):
        return data
    found = dict(data)
    for key, storm in data.items():
        if isinstance(storm, dict) and str(storm.get("shape", "")).startswith("type_"):
            found[key] = {**storm, "shape": storm["shape"].replace("_", "-")}
    return found


def read_storms(data: object, document: Document) -> Storms:
    """The storms of a site file.

    Args:
        data: What stands under `storms`; None when nothing does.
        document: The file, for places.

    Raises:
        BadInput: With every problem found.
    """
    if data is None:
        return Storms()
    at = ("storms",)
    shaped: dict[str, Any] = check_shape("storms", _hyphened(data), document, at)
    problems = Problems()
    fields = DrawnFields(shaped, document, at, "the storms", problems)
    step_s = fields.size("step", TIME)
    if step_s is not None and not 10 <= step_s <= 900:
        says = f"{fields.what('step')} is '{shaped['step']}'"
        problems.add(fields.place("step"), says, "give a step from 10 s to 15 min")
    found = Storms(
        table=fields.text("table"),
        origin=fields.text("source"),
        place=fields.place("table"),
        step_s=60.0 if step_s is None else step_s,
        design=_storm(shaped, "design", document, problems),
        rare=_storm(shaped, "rare", document, problems),
    )
    problems.stop_if_any(f"{document.file} cannot be used")
    return found


def _storm(
    data: Mapping[str, Any], key: str, document: Document, problems: Problems
) -> StormAsked | None:
    if key not in data:
        return None
    fields = DrawnFields(data[key], document, ("storms", key), f"the {key} storm", problems)
    fields.above_zero("return_period", "duration", "depth")
    typed = DrawnFields(
        data[key].get("fallen", {}), document, ("storms", key, "fallen"), fields.owner, problems
    )
    fallen = []
    for time in typed.data:
        depth_m = typed.length_m(time)
        try:
            time_s = read_amount(time, TIME).value_si
        except UnreadableAmount as error:
            problems.add(document.key_place(*typed.at, time), f"a time of {fields.owner}: {error}")
            continue
        if depth_m is not None:
            fallen.append((time_s, depth_m))
    if fallen and not any(depth_m for _, depth_m in fallen):
        says = f"no rain falls in {fields.owner}"
        problems.add(fields.place("fallen"), says, "give the depth that has fallen at each time")
    form = data[key].get("shape", "nested" if "depth" not in data[key] else "uniform")
    duration_s = fields.size("duration", TIME)
    if form.startswith("type") and duration_s not in {None, _DAY_S}:
        says = f"{fields.what('duration')} is '{data[key]['duration']}', but {form} is a 24 h storm"
        problems.add(fields.place("duration"), says, "leave it out, or choose another shape")
    if form == "nested" and "depth" in data[key]:
        says = f"{fields.owner} is nested, which is made from the rain table, not from a depth"
        problems.add(fields.place("depth"), says, "leave the depth out, or choose another shape")
    depth_m = fields.length_m("depth")
    lasts_s = _DAY_S if form.startswith("type") else duration_s
    _hold_to_records(fields, depth_m, lasts_s, fallen)
    return StormAsked(
        place=document.place("storms", key),
        return_period_years=fields.ratio("return_period"),
        duration_s=lasts_s,
        form=form,
        depth_m=depth_m,
        fallen=tuple(fallen),
    )


def _hold_to_records(
    fields: DrawnFields,
    depth_m: float | None,
    lasts_s: float | None,
    fallen: list[tuple[float, float]],
) -> None:
    """Refuse more rain than ever fell anywhere: its unit slipped."""
    do = "check the number and its unit"
    if depth_m is not None and lasts_s:
        fields.at_most("depth", depth_m, most_rain_m(lasts_s), do)
    if any(time_s > 0 and fallen_m > most_rain_m(time_s) for time_s, fallen_m in fallen):
        says = f"more falls in {fields.owner} than ever fell anywhere in such a time"
        fields.problems.add(fields.place("fallen"), says, do)
