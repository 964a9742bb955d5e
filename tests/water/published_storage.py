"""Calculations of the published cases on stone storage, soakage and routing."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from checker.core.units import FOOT_M, INCH_M, meets
from checker.files.tables import table as reference_table
from checker.water import ground, runoff, soakage
from checker.water.routing import route
from checker.water.stores import StorageTable, stone_bed
from tests.water.published import ACRE_M2, CFS, FOOT2_M2, INCH_PER_HOUR, Case, calc


@calc
def pp_depth(given: Case) -> Case:
    depth_m = ground.reservoir_depth_m(
        given["Qc"] * INCH_M,
        given["R"],
        given["P"] * INCH_M,
        given["f"] * INCH_PER_HOUR,
        given["T"] * 3600,
        given["Vr"],
    )
    return {"d": depth_m / INCH_M}


@calc
def pp_dmax(given: Case) -> Case:
    """Any unit of depth an hour gives that unit of depth."""
    found = [ground.deepest_draining_m(f / 3600, t * 3600, n) for f, t, n in given["cases"]]
    for depth, (f, t, n) in zip(found, given["cases"], strict=True):
        assert ground.drawdown_time_s(depth, n, f / 3600) == pytest.approx(t * 3600)
    return {"d_max": found}


@calc
def layer_storage(given: Case) -> Case:
    found = [ground.water_held_m(d * INCH_M, n) / INCH_M for d, n in given["layers"]]
    return {"rain_in": found}


@calc
def planter(given: Case) -> Case:
    area = ground.steady_planter_area_m2(
        given["Vin_in_hr"] * INCH_PER_HOUR, given["Vout_in_hr"] * INCH_PER_HOUR, given["A_sf"]
    )
    return {"a_sf": area, "ratio": area / given["A_sf"]}


@calc
def pp_area(given: Case) -> Case:
    area_m2 = ground.reservoir_area_m2(
        given["D_h"] * 3600,
        given["i_mm_h"] / 3.6e6,
        given["f_mm_h"] / 3.6e6,
        given["Ac_m2"],
        given["dr_mm"] / 1000,
        given["n"],
    )
    return {"Ar_m2": area_m2}


@calc
def sloped_storage(given: Case) -> Case:
    depth_m, length_m = given["d_in"] * INCH_M, given["L_ft"] * FOOT_M
    mean_m = ground.mean_usable_depth_m(depth_m, length_m, given["slope"])
    width_m = given["width_ft"] * FOOT_M
    bed = stone_bed(0.0, depth_m, length_m, width_m, given["Vr"], given["slope"])
    assert bed.stored_m3[-1] == pytest.approx(mean_m * length_m * width_m * given["Vr"])
    return {"mean_depth_in": mean_m / INCH_M, "V_cf": bed.stored_m3[-1] / CFS}


@calc
def setback_check(given: Case) -> Case:
    """The limits stand in a reference table, except the depth to wet soil."""
    names = {
        "building": "foundation",
        "property_line": "lot line",
        "private_well": "private well",
        "septic": "septic system",
    }
    rows = {
        row["to"]: row["least"]
        for row in reversed(reference_table("infiltration-setbacks").rows)
        if row["source"] == "mn-manual"
    }
    limits = given["limits_ft"]
    for name, to in names.items():
        assert rows[to] == limits[name]
    fails = [
        name
        for name, distance in given["given_ft"].items()
        if not meets(distance, limits[name], "at least")
    ]
    return {"fails": fails}


@calc
def dubuque(given: Case) -> Case:
    area_m2 = given["DA_ac"] * ACRE_M2
    rain_m, paved = given["P_in"] * INCH_M, given["imp_pct"] / 100
    wanted_m3 = ground.water_quality_volume_m3(rain_m, area_m2, paved)
    bed_sf = given["L_ft"] * given["W_ft"]
    held_m3 = ground.water_held_m(given["d_ft"] * FOOT_M, given["n"]) * bed_sf * FOOT2_M2
    needed_m = wanted_m3 / (bed_sf * FOOT2_M2) / given["n"]
    return {
        "Rv": wanted_m3 / (rain_m * area_m2),
        "WQv_cf": wanted_m3 / CFS,
        "storage_cf": held_m3 / CFS,
        "ok": meets(held_m3, wanted_m3, "at least"),
        "depth_needed_in": needed_m / INCH_M,
        "area_gap_sf": bed_sf - given["area_reported_sf"],
    }


@calc
def mn_storage(given: Case) -> Case:
    area_m2 = given["A_sf"] * FOOT2_M2
    held = [ground.water_held_m(d * INCH_M, given["n"]) * area_m2 / CFS for d in given["d_in"]]
    need = given["P_in"] * INCH_M * (given["A_sf"] + given["runon_sf"]) * FOOT2_M2 / CFS
    return {"V_cf": held, "need_cf": need, "ok": [meets(v, need, "at least") for v in held]}


# dry wells, trenches, soakaways


@calc
def trench_simple(given: Case) -> Case:
    water_m3 = runoff_volume_m3(given["P_in"], given["area_sf"])
    rounded_m3 = round(water_m3 / CFS) * CFS
    area_m2 = ground.trench_area_m2(rounded_m3, given["D_ft"] * FOOT_M, given["void"])
    return {
        "V_cf": water_m3 / CFS,
        "stone_cf": rounded_m3 / given["void"] / CFS,
        "A_sf": area_m2 / FOOT2_M2,
        "L_ft": area_m2 / FOOT2_M2 / given["W_ft"],
    }


def runoff_volume_m3(depth_in: float, area_sf: float) -> float:
    return ground.recharge_volume_m3(depth_in * INCH_M, area_sf * FOOT2_M2)


@calc
def recharge_volume(given: Case) -> Case:
    volume_m3 = ground.recharge_volume_m3(given["F_in"] * INCH_M, given["area_ac"] * ACRE_M2)
    return {"Rv_cf": volume_m3 / CFS, "Rv_cy": volume_m3 / 0.9144**3}


@calc
def recharge_memo(given: Case) -> Case:
    roof, road = (
        runoff_volume_m3(given["storm_runoff_in"], given[name]) / CFS
        for name in ("roof_sf", "road_sf")
    )
    whole = runoff_volume_m3(given["F_in"], given["imp_sf"]) / CFS
    return {"Rv_cf": whole, "roof_cf": roof, "road_cf": road, "sum_cf": roof + road}


@calc
def two_inch_rule(given: Case) -> Case:
    return {"V_cf": [runoff_volume_m3(2.0, area) / CFS for area in given["areas_sf"]]}


@calc
def per100(given: Case) -> Case:
    """Lengths of trench by area are in proportion, like storage per area."""
    total = given["roof_sf"] + given["landscape_half_sf"]
    per_sf = given["rate_ft_per_100"] / 100
    return {"total_sf": total, "L_ft": per_sf * total}


@calc
def spreader(given: Case) -> Case:
    rest = given["roof_sf"] - given["blocks"] * given["sf_per_block"]
    per_sf = given["ft_per_700"] / 700
    return {
        "rest_sf": rest,
        "L_min_ft": rest * per_sf,
        "chosen_ok": meets(given["max_ft"], rest * per_sf, "at least"),
        "max_roof_sf": given["max_ft"] / per_sf,
    }


@calc
def soakage_test(given: Case) -> Case:
    sides = given["L_m"], given["B_m"], given["D_m"]
    rate = soakage.soakage_rate_m_per_s(*sides, given["t_min"] * 60)
    wetted = given["L_m"] * given["B_m"] + soakage.wall_area_m2(*sides)
    return {"V75_25_m3": rate * wetted * given["t_min"] * 60, "a50_m2": wetted, "f_ms": rate}


@calc
def soakaway_check(given: Case) -> Case:
    walls_m2 = soakage.wall_area_m2(given["l_m"], given["w_m"], given["d_m"])
    pit = stone_bed(0.0, given["d_m"], given["l_m"], given["w_m"], given["void"])
    return {
        "as50_m2": walls_m2,
        "outflow_factor": walls_m2 * given["f_ms"],
        "S_actual_m3": pit.stored_m3[-1],
        "t_half_s": soakage.half_emptying_time_s(given["S_req_m3"], walls_m2, given["f_ms"]),
    }


@calc
def soakaway_table(given: Case) -> Case:
    depths_mm = [m5 * z for m5, z in zip(given["M5_mm"], given["Z2"], strict=True)]
    walls_m2 = soakage.wall_area_m2(given["L_m"], given["W_m"], given["deff_m"])
    rows = soakage.needed_storage(
        [d * 60 for d in given["D_min"]],
        [depth / 1000 for depth in depths_mm],
        given["A_m2"],
        walls_m2,
        given["f_ms"],
    )
    most = max(rows, key=lambda row: row.storage_m3)
    return {
        "M10_mm": depths_mm,
        "inflow_m3": [row.inflow_m3 for row in rows],
        "as50_m2": walls_m2,
        "S_max_m3": most.storage_m3,
        "critical_D_min": most.duration_s / 60,
    }


@calc
def infil_3d(given: Case) -> Case:
    pit = soakage.SoakagePit(
        base_m2=given["Ab_m2"],
        perimeter_m=given["P_m"],
        void_fraction=given["n"],
        rate_m_per_s=given["q_m_h"] / 3600,
    )
    depth_m = soakage.greatest_depth_m(
        pit, given["AD_m2"], given["i_m_h"] / 3600, given["D_h"] * 3600
    )
    return {"h_max_m": depth_m, "t_half_h": soakage.half_depth_time_s(pit, depth_m) / 3600}


@calc
def water_budget_si(given: Case) -> Case:
    area_m2 = given["A_ha"] * 1e4
    year_h = 365 * 24
    came = runoff.rational_peak_m3_per_s(given["C"], given["rain_m"], area_m2)
    gone = given["evap_m"] * given["surf_ha"] * 1e4
    soaked = given["infil_mm_hr"] / 1000 * year_h * given["bottom_ha"] * 1e4
    return {
        "runoff_m3": came,
        "evap_m3": gone,
        "infil_m3": soaked,
        "net_m3": came - gone - soaked,
    }


@calc
def scs_storage(given: Case) -> Case:
    acre_feet = given["Q_in"] / 12 * given["A_ac"]
    printed_cf = round(acre_feet, 2) * 43560
    volume_m3 = ground.recharge_volume_m3(given["Q_mm"] / 1000, given["A_ha"] * 1e4)
    return {
        "Vr_acft": acre_feet,
        "Vr_cf": printed_cf,
        "Vs_cf": printed_cf * given["ratio"],
        "Vr_m3": volume_m3,
        "Vs_m3": volume_m3 * given["ratio"],
    }


# routing


def indication(given: Case) -> tuple[list[float], list[float], list[float]]:
    """The handbooks' routing on a table: (I1 + I2) / 2 + (S1 / t - O1 / 2) = S2 / t + O2 / 2.

    It is kept here, not in the package, whose router has no such error of the time step. Only the
    interpolation of the table is common to both.
    """
    step, outflow, stored = given["dt_s"], given["O"], given["S"]
    curve = [s / step + o / 2 for s, o in zip(stored, outflow, strict=True)]
    at, out = [0.0], [0.0]
    for first, second in pairwise(given["inflow"]):
        at.append(at[-1] - out[-1] + (first + second) / 2)
        out.append(float(np.interp(at[-1], curve, outflow)))
    return curve, at, out


@calc
def route_half(given: Case) -> Case:
    curve, at, out = indication(given)
    ours = exact_outflow(given)
    assert max(ours) == pytest.approx(max(out), rel=0.01)
    return {
        "indicator_curve": curve,
        "indicator": at,
        "outflow": out,
        "peak_outflow": max(ours),
    }


def exact_outflow(given: Case) -> list[float]:
    """Outflow at the end of each step by the package's router, under the mean inflow of each."""
    table = StorageTable(
        levels_m=tuple(range(len(given["S"]))),
        stored_m3=tuple(given["S"]),
        outlets=("out",),
        flows_m3_per_s=(tuple(given["O"]),),
    )
    means = [(a + b) / 2 for a, b in pairwise(given["inflow"])]
    routed = route(table, means, given["dt_s"])
    return [0.0, *(float(np.interp(s, given["S"], given["O"])) for s in routed.stored_m3)]


@calc
def route_full(given: Case) -> Case:
    stored = [h * given["area_sf"] for h in given["H_ft"]]
    case = given | {"S": stored, "O": given["Q"]}
    curve, _, out = indication(case)
    ours = exact_outflow(case)
    assert max(ours) == pytest.approx(max(out), rel=0.01)
    return {"two_s_dt_plus_q": [2 * x for x in curve], "outflow": out}


@calc
def linear_reservoir(given: Case) -> Case:
    k_s = given["K_h"] * 3600
    table = StorageTable(
        levels_m=(0.0, 1.0),
        stored_m3=(0.0, k_s),
        outlets=("out",),
        flows_m3_per_s=((0.0, 1.0),),
    )
    step_s = given["dt_h"] * 3600
    count = math.ceil(max(given["t_h"]) / given["dt_h"])
    routed = route(table, [given["I"]] * count, step_s)
    found = [float(routed.stored_m3[round(t / given["dt_h"]) - 1]) / k_s for t in given["t_h"]]
    return {"O": found}
