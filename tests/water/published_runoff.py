"""Calculations of the published cases on rain, runoff and time of concentration."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

from checker.core.units import FOOT_M, INCH_M
from checker.files.tables import table as reference_table
from checker.water import concentration, pipes, runoff
from checker.water.rainfall import (
    DepthTable,
    fitted_intensity_m_per_s,
    rain_depth_m,
    rain_intensity_m_per_s,
    rain_on_area_m3_per_s,
)
from checker.water.storms import storm_from_mass_curve
from tests.water.published import (
    ACRE_M2,
    CASES,
    CFS,
    FOOT2_M2,
    GPM,
    INCH_PER_HOUR,
    MILE2_M2,
    Case,
    calc,
)

if TYPE_CHECKING:
    from collections.abc import Sequence


def runoff_in(rain_in: float, number: float) -> float:
    return runoff.runoff_depth_m(rain_in * INCH_M, number) / INCH_M


def peak_rows(kind: str) -> list[runoff.PeakRow]:
    return [
        runoff.PeakRow(row["initial"], row["c0"], row["c1"], row["c2"])
        for row in reference_table("unit-peaks").rows
        if row["type"] == kind
    ]


def flat_rows(given: Case) -> list[runoff.PeakRow]:
    """The coefficients of a case as a table with that one row for every initial loss."""
    numbers = given["C0"], given["C1"], given["C2"]
    return [runoff.PeakRow(0.1, *numbers), runoff.PeakRow(0.5, *numbers)]


def csm_per_inch(per_s: float) -> float:
    return per_s * INCH_M * MILE2_M2 / CFS


# curve numbers


@calc
def cn_weighted_runoff(given: Case) -> Case:
    mean = runoff.weighted_curve_number(given["areas_ac"], given["cn"], "none")
    used = runoff.weighted_curve_number(given["areas_ac"], given["cn"])
    return {"cn_weighted": mean, "cn_used": used, "Q_in": runoff_in(given["P_in"], used)}


@calc
def cn_pct(given: Case) -> Case:
    return cn_weighted_runoff(given | {"areas_ac": given["fractions"]})


@calc
def cn_composite_connected(given: Case) -> Case:
    lots = [
        runoff.composite_curve_number(number, given["pct_imp"] / 100)
        for number in given["cn_perv_lots"]
    ]
    whole = [runoff.weighted_curve_number([1], [number]) for number in lots]
    areas = [*given["area_lots_ac"], given["area_open_ac"]]
    rest = cn_weighted_runoff(given | {"areas_ac": areas, "cn": [*whole, given["cn_open"]]})
    return {"cn_lots": lots} | rest


@calc
def cn_composite_unconnected(given: Case) -> Case:
    lot = runoff.composite_curve_number(
        given["cn_perv"], given["pct_imp"] / 100, given["R_unconnected"]
    )
    first, last = given["other_cn"]
    rest = cn_weighted_runoff(given | {"cn": [first, given["chart_cn"], last]})
    return {"cn_composite": lot} | rest


@calc
def cn_table_connected(given: Case) -> Case:
    found = [
        [runoff.composite_curve_number(number, share / 100) for number in given["cn_perv_good"]]
        for share in given["pct_imp"]
    ]
    return {"cn": found}


@calc
def cn_trap(given: Case) -> Case:
    share_23, share_24 = given["imp_23"] / 100, given["imp_24"] / 100
    right = [runoff.composite_curve_number(number, share_23) for number in given["lawn"]]
    whole = [*(round(number) for number in right), given["open"]]
    used = runoff.weighted_curve_number(given["fractions"], whole)
    wrong = [runoff.composite_curve_number(number, share_23) for number in given["lot_table"]]
    mean = runoff.weighted_curve_number(given["fractions"], [*wrong, given["open"]], "none")
    lot_24 = runoff.composite_curve_number(given["lot_table"][1], share_24, given["R"])
    mean_24 = runoff.weighted_curve_number(
        given["fractions"], [given["lot_table"][0], lot_24, given["open"]], "none"
    )
    return {
        "right_23": right,
        "used_23": used,
        "Q_23": runoff_in(given["P_in"], used),
        "right_24_lot": runoff.composite_curve_number(given["lawn"][1], share_24, given["R"]),
        "wrong_23": [*wrong, mean],
        "wrong_24": [lot_24, mean_24],
    }


@calc
def cn_fraction_weighted(given: Case) -> Case:
    mean = runoff.weighted_curve_number(given["fractions"], given["cn"], "none")
    return {
        "cn_weighted": mean,
        "S_in": runoff.retention_m(mean) / INCH_M,
        "Q_in": runoff_in(given["P_in"], mean),
    }


@calc
def depth_table(given: Case) -> Case:
    found = [[runoff_in(rain, number) for number in given["cn"]] for rain in given["P_in"]]
    printed = next(c for c in CASES if c["calc"] == "depth_table")["expected"]["Q_in"]["value"]
    odd = sum(
        abs(a - b) > 0.006
        for row, other in zip(found, printed, strict=True)
        for a, b in zip(row, other, strict=True)
    )
    return {"Q_in": found, "n_outside_0.006": odd}


@calc
def ia_over_p_table(given: Case) -> Case:
    found = [runoff.initial_loss_fraction(mm / 1000, number) for mm, number in given["rows"]]
    return {"ia_over_p": found}


@calc
def scs_peak_en(given: Case) -> Case:
    rain_m = given["P_in"] * INCH_M
    used = runoff.weighted_curve_number(given["areas_mi2"], given["cn"])
    depth_m = runoff.runoff_depth_m(rain_m, used)
    share = runoff.initial_loss_fraction(rain_m, used)
    unit = runoff.unit_peak_per_s(given["Tc_hr"] * 3600, max(0.1, share), flat_rows(given))
    area_m2 = sum(given["areas_mi2"]) * MILE2_M2
    return {
        "cn_used": used,
        "S_in": runoff.retention_m(used) / INCH_M,
        "Q_in": depth_m / INCH_M,
        "Ia_over_P": share,
        "qu_csm_in": csm_per_inch(unit),
        "qp_cfs": runoff.graphical_peak_m3_per_s(unit, depth_m, area_m2) / CFS,
    }


@calc
def tr55_graphical(given: Case) -> Case:
    share = runoff.initial_loss_fraction(given["P_in"] * INCH_M, given["cn"])
    unit = runoff.unit_peak_per_s(given["Tc_hr"] * 3600, share, flat_rows(given))
    chart = given["qu_chart"] * CFS / (INCH_M * MILE2_M2)
    peak = runoff.graphical_peak_m3_per_s(chart, given["Q_in"] * INCH_M, given["A_mi2"] * MILE2_M2)
    return {"Ia_over_P": share, "qu_csm_in": csm_per_inch(unit), "qp_cfs": peak / CFS}


@calc
def qu_interp(given: Case) -> Case:
    rain_m = given["P_in"] * INCH_M
    low, high = (runoff.PeakRow(*given[name]) for name in ("lo", "hi"))
    assert [low, high] == peak_rows("type_2")[:2]
    concentration_s = given["Tc_hr"] * 3600
    share = runoff.initial_loss_fraction(rain_m, given["cn"])
    unit, at_low, at_high = (
        runoff.unit_peak_per_s(concentration_s, at, [low, high])
        for at in (share, low.initial_fraction, high.initial_fraction)
    )
    depth_m = runoff.runoff_depth_m(rain_m, given["cn"])
    peak = runoff.graphical_peak_m3_per_s(unit, depth_m, given["A_mi2"] * MILE2_M2)
    return {
        "Ia_in": share * given["P_in"],
        "qu_lo": csm_per_inch(at_low),
        "qu_hi": csm_per_inch(at_high),
        "qu": csm_per_inch(unit),
        "qp_cfs": peak / CFS,
    }


@calc
def cn_volume(given: Case) -> Case:
    depth_in = runoff_in(given["P_in"], given["cn"])
    volume_m3 = depth_in * INCH_M * given["area_sf"] * FOOT2_M2
    return {"Q_in": depth_in, "V_cf": volume_m3 / CFS, "V_gal": volume_m3 / (GPM * 60)}


@calc
def type2_curve(given: Case) -> Case:
    kept = reference_table("storm-mass-curves").rows
    assert [(row["hour"], row["type_2"]) for row in kept] == list(
        zip(given["hour"], given["frac"], strict=True)
    )
    quarter = storm_from_mass_curve(1.0, given["hour"], given["frac"], 900.0).depths_m
    return {
        "max_half_hour": max(a + b for a, b in pairwise(quarter)),
        "max_quarter_hour": max(quarter),
        "six_hour_9_to_15": sum(quarter[36:60]),
        "final": round(sum(quarter), 12),
    }


# rational method and time of concentration


def rational_cfs(share: float, in_per_h: float, acres: float, factor: float = 1.0) -> float:
    return (
        runoff.rational_peak_m3_per_s(share, in_per_h * INCH_PER_HOUR, acres * ACRE_M2, factor)
        / CFS
    )


@calc
def weighted_c2(given: Case) -> Case:
    return {
        "c_existing": runoff.weighted_runoff_fraction(given["areas_a"], given["c_a"]),
        "c_proposed": runoff.weighted_runoff_fraction(given["areas_b"], given["c_b"]),
    }


@calc
def rational_en(given: Case) -> Case:
    pairs = zip(given["C"], given["i_in_hr"], strict=True)
    return {"Q_cfs": [rational_cfs(c, i, given["A_ac"]) for c, i in pairs]}


@calc
def rational_list(given: Case) -> Case:
    rows = zip(given["C"], given["i"], given["A"], strict=True)
    return {"Q": [rational_cfs(*row) for row in rows]}


@calc
def rational_cf(given: Case) -> Case:
    if "areas" in given:
        share = runoff.weighted_runoff_fraction(given["areas"], given["c"])
        raised = runoff.adjusted_runoff_fraction(share, 25)
        assert raised == pytest.approx(share * given["Cf"])
        acres = sum(given["areas"])
        return {
            "c_w": share,
            "Q_1000": rational_cfs(raised, given["i"], acres),
            "Q_1008": rational_cfs(raised, given["i"], acres, 1.008),
        }
    assert runoff.adjusted_runoff_fraction(given["C"], 10) == given["C"] * given["Cf"]
    return {"Q_cfs": rational_cfs(given["C"], given["i_in_hr"], given["A_ac"])}


@calc
def cf_adjust(given: Case) -> Case:
    found = [[runoff.adjusted_runoff_fraction(c, t) for t in given["T_yr"]] for c in given["C"]]
    return {"c_adj": found}


@calc
def tc_hec22(given: Case) -> Case:
    sheet, shallow, pipe = given["sheet"], given["shallow"], given["pipe"]
    times_min = [
        concentration.sheet_flow_time_s(
            sheet["L_ft"] * FOOT_M, sheet["n"], sheet["S"], trial * INCH_PER_HOUR
        )
        / 60
        for trial in given["i_trial_in_hr"]
    ]
    speed = concentration.shallow_velocity_m_per_s(shallow["k"], shallow["S_pct"] / 100) / FOOT_M
    radius_m = pipe["D_ft"] * FOOT_M / 4
    in_pipe = pipes.manning_velocity_m_per_s(radius_m, pipe["S"], pipe["n"], "1.49") / FOOT_M
    shallow_min = shallow["L_ft"] / speed / 60
    pipe_min = pipe["L_ft"] / in_pipe / 60
    return {
        "sheet_const": times_min[0] * given["i_trial_in_hr"][0] ** 0.4,
        "t_sheet_min": times_min,
        "v_shallow": speed,
        "t_shallow_min": shallow_min,
        "v_pipe": in_pipe,
        "t_pipe_min": pipe_min,
        "tc_min": given["t_sheet_adopted_min"] + shallow_min + pipe_min,
    }


@calc
def tr55_tc(given: Case) -> Case:
    sheet_h = (
        concentration.sheet_flow_time_by_day_rain_s(
            given["L_sheet_ft"] * FOOT_M, given["n"], given["S_sheet"], given["P2_in"] * INCH_M
        )
        / 3600
    )
    radius_m = given["a_ft2"] / given["pw_ft"] * FOOT_M
    speed = pipes.manning_velocity_m_per_s(radius_m, given["S_ch"], given["n_ch"], "1.49") / FOOT_M
    shallow_h = given["L_sc_ft"] / given["V_sc_fps"] / 3600
    channel_h = given["L_ch_ft"] / speed / 3600
    return {
        "t_sheet_hr": sheet_h,
        "t_sc_hr": shallow_h,
        "v_ch": speed,
        "t_ch_hr": channel_h,
        "tc_hr": sheet_h + shallow_h + channel_h,
    }


# rain


def inch_table(durations_s: Sequence[float], years: Sequence[float], rows: Any) -> DepthTable:
    return DepthTable(
        durations_s=tuple(durations_s),
        return_periods_years=tuple(years),
        depths_m=tuple(tuple(depth * INCH_M for depth in row) for row in rows),
    )


@calc
def atlas14_intensity(given: Case) -> Case:
    table = inch_table([m * 60 for m in given["duration_min"]], given["ari_yr"], given["depth_in"])
    found = [
        rain_intensity_m_per_s(table, minutes * 60, years) / INCH_PER_HOUR
        for minutes, years in given["query"]
    ]
    return {"i_in_hr": found}


def rises(rows: Any) -> bool:
    down = all(a < b for upper, lower in pairwise(rows) for a, b in zip(upper, lower, strict=True))
    return down and all(a <= b for row in rows for a, b in pairwise(row))


@calc
def ddf_table(given: Case) -> Case:
    table = inch_table([m * 60 for m in given["minutes"]], given["ari"], given["depth_in"])
    return {
        "i_5min_10yr": rain_intensity_m_per_s(table, 300, 10) / INCH_PER_HOUR,
        "i_60min_100yr": rain_intensity_m_per_s(table, 3600, 100) / INCH_PER_HOUR,
        "loglog_20min_10yr_depth": rain_depth_m(table, 1200, 10) / INCH_M,
        "monotone": rises(table.depths_m),
    }


@calc
def intensity_table(given: Case) -> Case:
    hours = given["hours"]
    rows = [[i * h for i in row] for row, h in zip(given["i_in_hr"], hours, strict=True)]
    table = inch_table([h * 3600 for h in hours], given["ari"], rows)
    ten_years = [rain_intensity_m_per_s(table, h * 3600, 10) for h in hours]
    depths = [rain_depth_m(table, h * 3600, 10) for h in hours]
    return {
        "depth_24h_100yr_in": rain_depth_m(table, 86400, 100) / INCH_M,
        "depth_5min_10yr_in": depths[0] / INCH_M,
        "intensity_falls_with_duration": all(a > b for a, b in pairwise(ten_years)),
        "depth_rises_with_duration": all(a < b for a, b in pairwise(depths)),
    }


@calc
def idf3(given: Case) -> Case:
    found = [
        fitted_intensity_m_per_s(minutes * 60, given["B"], given["D"] * 60, given["E"])
        / INCH_PER_HOUR
        for minutes in given["Tc_min"]
    ]
    return {"i_in_hr": found}


@calc
def area_to_gpm(given: Case) -> Case:
    areas = given["area_sf_at_1in_hr"]
    found = [rain_on_area_m3_per_s(INCH_PER_HOUR, area * FOOT2_M2) / GPM for area in areas]
    return {"gpm": found}
