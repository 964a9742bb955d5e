"""Calculations of the published cases on pipes, channels, inlets, weirs, and of the libraries."""

from __future__ import annotations

import math

import fluids
import networkx as nx
import pytest

from checker.core.units import FOOT_M, INCH_M, meets
from checker.files.tables import table as reference_table
from checker.water import channels, openings, pipes, weirs
from checker.water.paths import disjoint_paths
from checker.water.rainfall import rain_on_area_m3_per_s
from tests.water.published import CFS, FOOT2_M2, GPM, INCH_PER_HOUR, Case, calc

ROOT_FOOT = FOOT_M**0.5
"""A weir coefficient in feet times this is the one in metres."""


@calc
def pipe_diameter_en(given: Case) -> Case:
    found = [
        pipes.full_pipe_diameter_m(given["Q_cfs"] * CFS, given["S"], n, "1.486") / FOOT_M
        for n in given["n"]
    ]
    return {"D_ft": found}


@calc
def pipe_full_en(given: Case) -> Case:
    sizes = list(zip(given["D_ft"], given["n"], strict=True))
    return {
        "Q_cfs": [
            pipes.printed_full_flow_m3_per_s(d * FOOT_M, given["S"], n) / CFS for d, n in sizes
        ],
        "V_fps": [
            pipes.manning_velocity_m_per_s(d * FOOT_M / 4, given["S"], n, "1.486") / FOOT_M
            for d, n in sizes
        ],
    }


@calc
def manning_circular_en(given: Case) -> Case:
    diameter_m, depth_m = given["D_ft"] * FOOT_M, given["y_ft"] * FOOT_M
    area_m2, perimeter_m = pipes.wetted_section(diameter_m, depth_m)
    assert given["k"] == 1.49
    flow = pipes.pipe_flow_m3_per_s(
        diameter_m, given["S"], given["n"], depth_m / diameter_m, "1.49"
    )
    return {
        "A_ft2": area_m2 / FOOT2_M2,
        "P_ft": perimeter_m / FOOT_M,
        "Q_cfs": flow / CFS,
        "V_fps": flow / area_m2 / FOOT_M,
    }


@calc
def manning_circular_si(given: Case) -> Case:
    def flow(depth_fraction: float) -> float:
        return pipes.pipe_flow_m3_per_s(given["D_m"], given["S"], given["n"], depth_fraction)

    return {"Q_m3s": flow(given["y_m"] / given["D_m"]), "Qfull_m3s": flow(1.0)}


@calc
def manning_slope_si(given: Case) -> Case:
    share = given["y_m"] / given["D_m"]
    return {"S": pipes.pipe_slope_fraction(given["Q_m3s"], given["D_m"], given["n"], share)}


@calc
def half_pipe(given: Case) -> Case:
    feet = (FOOT_M, 1.0)
    rows = list(zip(given["D"], given["n"], given["S"], feet, strict=True))
    flows = [pipes.pipe_flow_m3_per_s(d * unit, s, n, 0.5) / unit**3 for d, n, s, unit in rows]
    areas = [pipes.wetted_section(d * unit, d * unit / 2)[0] / unit**2 for d, _, _, unit in rows]
    return {"Q": flows, "A": areas, "V": [q / a for q, a in zip(flows, areas, strict=True)]}


@calc
def pvc_table(given: Case) -> Case:
    found = [
        [
            pipes.pipe_flow_m3_per_s(d * INCH_M, slope, given["n"], constant="1.486") / CFS
            for slope in given["S"]
        ]
        for d in given["D_in"]
    ]
    return {"Q_cfs": found}


@calc
def ipc_table(given: Case) -> Case:
    """Full-pipe flow is in inverse proportion to n, so n of 0.01 tells what a table implies."""
    slopes = [s / 12 for s in given["slope_in_per_ft"]]
    implied = []
    for d, row in zip(given["d_in"], given["horizontal_gpm"], strict=True):
        at_one_hundredth = [
            pipes.pipe_flow_m3_per_s(d * INCH_M, slope, 0.01, constant="1.486") / GPM
            for slope in slopes
        ]
        each = [0.01 * q / printed for q, printed in zip(at_one_hundredth, row, strict=True)]
        implied.append(sum(each) / len(each))
    third = weirs_leader(given["d_in"][2], 1 / 3)
    assert third == pytest.approx(given["vertical_gpm"][2], rel=0.005)
    steps = [
        pipes.pipe_flow_m3_per_s(0.1, 2 * slope, 0.01) / pipes.pipe_flow_m3_per_s(0.1, slope, 0.01)
        for slope in slopes
    ]
    return {
        "n_implied_mean": implied,
        "ratio_per_slope_step": max(steps),
        "gpm_per_sf_per_inhr": rain_on_area_m3_per_s(INCH_PER_HOUR, FOOT2_M2) / GPM,
    }


def weirs_leader(inches: float, full: float) -> float:
    return pipes.leader_flow_m3_per_s(inches * INCH_M, full) / GPM


@calc
def leader_capacity(given: Case) -> Case:
    return {"gpm": [weirs_leader(d, given["r"]) for d in given["d_in"]]}


@calc
def lookup(given: Case) -> Case:
    """The next size whose area limit holds; exactly at the limit still does."""
    sizes = list(zip(given["d_in"], given["area_sf"], strict=True))
    chosen = [
        next(d for d, limit in sizes if meets(roof, limit, "at most")) for roof in given["roof_sf"]
    ]
    return {"d": chosen, "area_with_wall": 2000 + given["wall_sf"] / 4}


# channels and gutters


@calc
def tri_full(given: Case) -> Case:
    swale = channels.Channel(0.0, given["z"])
    flow = given["Q"] * CFS
    y_m = channels.channel_normal_depth_m(swale, flow, given["S"], given["n"], "1.486")
    critical_m = channels.critical_depth_m(swale, flow)
    area_m2, perimeter_m = swale.area_m2(y_m), swale.perimeter_m(y_m)
    speed = flow / area_m2
    at_unit_slope = channels.channel_flow_m3_per_s(swale, critical_m, 1.0, given["n"], "1.486")
    return {
        "y": y_m / FOOT_M,
        "A": area_m2 / FOOT2_M2,
        "P": perimeter_m / FOOT_M,
        "R": area_m2 / perimeter_m / FOOT_M,
        "T": swale.top_m(y_m) / FOOT_M,
        "V": speed / FOOT_M,
        "yc": critical_m / FOOT_M,
        "Sc": (flow / at_unit_slope) ** 2,
        "Fr": channels.froude_number(swale, flow, y_m),
        "E": (y_m + speed**2 / (2 * weirs.GRAVITY_M_PER_S2)) / FOOT_M,
    }


@calc
def rect_normal(given: Case) -> Case:
    found: Case = {"y": [], "V": [], "R": [], "Fr": []}
    for flow, width in zip(given["Q"], given["b"], strict=True):
        channel = channels.Channel(width)
        y = channels.channel_normal_depth_m(channel, flow, given["S"], given["n"])
        found["y"].append(y)
        found["V"].append(flow / channel.area_m2(y))
        found["R"].append(channel.area_m2(y) / channel.perimeter_m(y))
        found["Fr"].append(channels.froude_number(channel, flow, y))
    return found


@calc
def trench_svf(given: Case) -> Case:
    flow = given["q_cfs_per_ft"] * given["L_ft"] * CFS
    width_m = given["b_ft"] * FOOT_M
    return {
        "Q_cfs": flow / CFS,
        "yc_ft": channels.critical_depth_m(channels.Channel(width_m), flow) / FOOT_M,
        "y_upstream_ft": channels.level_trench_depth_m(flow, width_m) / FOOT_M,
    }


@calc
def gutter_uniform(given: Case) -> Case:
    slopes = given["Sx"], given["SL"], given["n"]
    flow = channels.gutter_flow_m3_per_s(given["T_ft"] * FOOT_M, *slopes)
    return {
        "T_ft": channels.gutter_spread_m(given["Q_cfs"] * CFS, *slopes) / FOOT_M,
        "Q_cfs": flow / CFS,
    }


@calc
def gutter_composite(given: Case) -> Case:
    """The strip beside the curb is steeper by the depression over its width."""
    width_m, spread_m = given["W_ft"] * FOOT_M, given["T_ft"] * FOOT_M
    strip = given["Sx"] + given["a_in"] * INCH_M / width_m

    def whole(spread: float) -> tuple[float, float, float]:
        beyond = channels.gutter_flow_m3_per_s(
            spread - width_m, given["Sx"], given["SL"], given["n"]
        )
        share = channels.depressed_share_fraction(spread, width_m, given["Sx"], strip)
        return beyond, share, beyond / (1 - share)

    beyond, share, flow = whole(spread_m)
    target = given["Q_cfs"] * CFS
    found_m = pipes.root(lambda t: whole(t)[2] - target, width_m * 1.01, width_m * 20)
    return {
        "Sw": strip,
        "Qs_cfs": beyond / CFS,
        "Eo": share,
        "Q_cfs": flow / CFS,
        "T_for_Q_ft": found_m / FOOT_M,
    }


# inlets, orifices, weirs


@calc
def grate_sag_weir(given: Case) -> Case:
    curb_m = given["T_ft"] * given["Sx"] * FOOT_M
    mean_m = curb_m - given["W_ft"] / 2 * given["Sx"] * FOOT_M
    flow = given["Q_cfs"] * CFS
    edge_m = openings.open_edge_at_curb_m(
        given["W_ft"] * FOOT_M, given["L_ft"] * FOOT_M, given["clog_width_fraction"]
    )
    printed_m = round(mean_m / FOOT_M, 2) * FOOT_M
    whole = openings.Grate(
        perimeter_m=edge_m, open_m2=1.0, open_edge_fraction=1.0, open_area_fraction=1.0
    )
    return {
        "d_curb_ft": curb_m / FOOT_M,
        "d_avg_ft": mean_m / FOOT_M,
        "P_req_ft": openings.needed_perimeter_m(flow, printed_m) / FOOT_M,
        "P_eff_ft": edge_m / FOOT_M,
        "d_check_ft": openings.grate_depth_m(whole, flow) / FOOT_M,
    }


@calc
def curb_sag_weir(given: Case) -> Case:
    length_m, depth_m = given["L_ft"] * FOOT_M, given["d_ft"] * FOOT_M

    def flow(strip_ft: float) -> float:
        strip_m = strip_ft * FOOT_M
        return openings.curb_opening_flow_m3_per_s(length_m, 1.0, depth_m, strip_m) / CFS

    return {"Q_undep_cfs": flow(0.0), "Q_dep_cfs": flow(given["W_ft"])}


@calc
def slot_constant(given: Case) -> Case:
    """The flow of a foot, or metre, of slot under so much water that the orifice governs."""
    metric = openings.slot_flow_m3_per_s(1.0, given["W_m"], 1.0)
    english = openings.slot_flow_m3_per_s(FOOT_M, given["W_in"] * INCH_M, FOOT_M) / CFS
    return {"CD_en": english, "CD_si": metric}


@calc
def slot_unit_capacity(given: Case) -> Case:
    metre = openings.sheet_slot_flow_m3_per_s(1.0)
    assert metre == pytest.approx(given["q_cfs_per_ft"] * CFS / FOOT_M)
    length_m = given["length_ft"] * FOOT_M
    return {"q_m3s_per_m": metre, "Q_cfs": openings.sheet_slot_flow_m3_per_s(length_m) / CFS}


@calc
def orifice_rating(given: Case) -> Case:
    diameter_m = given["D_ft"] * FOOT_M
    found = [
        weirs.round_opening_flow_m3_per_s(diameter_m, depth * FOOT_M) / CFS
        for depth in given["depth_ft"]
    ]
    return {"Q_cfs": found}


@calc
def riser_weir_orifice(given: Case) -> Case:
    area_m2 = given["Corif"] / weirs.orifice_flow_m3_per_s(1.0, 1.0)
    length_m = given["Cweir"] / weirs.SHARP_SI
    through = [weirs.orifice_flow_m3_per_s(area_m2, head) for head in given["H_m"]]
    over = [weirs.sharp_weir_flow_m3_per_s(length_m, head) for head in given["H_m"]]
    control = ["weir" if w < o else "orifice" for w, o in zip(over, through, strict=True)]
    return {"Q_orifice": through, "Q_weir": over, "control": control}


@calc
def spillway(given: Case) -> Case:
    found = [
        weirs.broad_weir_flow_m3_per_s(given["b_m"], head, coefficient)
        for head, coefficient in zip(given["H_m"], given["C"], strict=True)
    ]
    return {"Q_m3s": found}


# libraries beside our own


@calc
def fl_full_pvc4(given: Case) -> Case:
    speed = fluids.open_flow.V_Manning(given["D_m"] / 4, given["S"], given["n"])
    flow = speed * math.pi * given["D_m"] ** 2 / 4
    ours = pipes.pipe_flow_m3_per_s(given["D_m"], given["S"], given["n"])
    assert ours == pytest.approx(flow, rel=1e-9)
    return {"V_ms": speed, "Q_m3s": ours, "Q_cfs": ours / CFS}


@calc
def fl_part(given: Case) -> Case:
    area = fluids.geometry.A_partial_circle(given["D_m"], given["y_m"])
    ours, perimeter = pipes.wetted_section(given["D_m"], given["y_m"])
    assert ours == pytest.approx(area, rel=1e-9)
    speed = fluids.open_flow.V_Manning(area / perimeter, given["S"], given["n"])
    flow = pipes.pipe_flow_m3_per_s(
        given["D_m"], given["S"], given["n"], given["y_m"] / given["D_m"]
    )
    assert flow == pytest.approx(speed * area, rel=1e-9)
    return {"A_m2": ours, "Q_m3s": flow}


@calc
def fl_weir2(given: Case) -> Case:
    args = given["h1"], given["h2"], given["b"]
    rehbock = fluids.open_flow.Q_weir_rectangular_full_Rehbock(*args)
    assert weirs.sharp_weir_flow_m3_per_s(given["b"], given["h1"]) == pytest.approx(
        rehbock, rel=0.1
    )
    exact = weirs.sharp_weir_flow_m3_per_s(given["b"], given["h1"], given["h2"])
    assert exact == pytest.approx(rehbock, rel=0.03)
    return {"Q_sia": fluids.open_flow.Q_weir_rectangular_full_SIA(*args), "Q_rehbock": rehbock}


@calc
def fl_vnotch(given: Case) -> Case:
    library = fluids.open_flow.Q_weir_V_Shen(given["h"], angle=given["angle"])
    ours = weirs.notch_flow_m3_per_s(given["h"], given["angle"])
    return {"Q_fluids": library, "Q_hec22": ours, "ratio": library / ours}


@calc
def fl_chezy(given: Case) -> Case:
    chezy = fluids.open_flow.n_Manning_to_C_Chezy(given["n"], given["Rh"])
    ours = pipes.manning_velocity_m_per_s(given["Rh"], 0.01, given["n"])
    assert ours == pytest.approx(chezy * math.sqrt(given["Rh"] * 0.01), rel=1e-12)
    return {"C": chezy}


@calc
def fl_entrance(given: Case) -> Case:
    assert given == {}
    return {"K": fluids.fittings.entrance_sharp()}


@calc
def nx_drain(given: Case) -> Case:
    graph = nx.DiGraph()
    links: dict[str, list[str]] = {}
    for a, b, capacity in given["edges"]:
        graph.add_edge(a, b, capacity=capacity)
        links.setdefault(a, []).append(b)
    start, end = "trench", "street"
    ends = {f"{end} by {a}" for a, b, _ in given["edges"] if b == end}
    ways = {
        a: [f"{end} by {a}" if b == end else b for b in targets] for a, targets in links.items()
    }
    paths, cut = disjoint_paths(ways, start, ends, set())
    without = {a: [b for b in targets if b != "swale"] for a, targets in ways.items()}
    fewer, _ = disjoint_paths(without, start, ends, set())
    assert len(paths) == len(list(nx.node_disjoint_paths(graph, start, end)))
    return {
        "disjoint_paths": len(paths),
        "max_flow": nx.maximum_flow_value(graph, start, end),
        "cut_size": len(cut),
        "paths_without_swale": len(fewer),
    }


def test_roughness_of_the_plastic_pipes_is_in_the_table() -> None:
    row = reference_table("pipe-roughness").rows[0]
    assert (row["least"], row["most"]) == (0.009, 0.011)
