"""Code that nothing in the package reaches is found; that a test calls it does not keep it.

Two tools look: vulture, which knows names alone and so also methods and properties, and a plain
search for the module that imports a function. An exemption needs a reason.
"""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Final

import vulture

from checker.cli.table import COMMANDS, RULES
from tests.test_conformance import every_formula

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(path for path in (ROOT / "checker").rglob("*.py") if "_data" not in path.parts)

# What one of these keeps in a register, or hands to Typer, is called from there.
REGISTERS = {"lot_measure", "surface_measure", "_of_bed", "_attribute", "callback"}

EXEMPT: Final[dict[str, str]] = {
    "api.__dir__": "Python calls it where somebody explores the module",
    "cli.group.format_commands": "Typer calls it",
    "pages.templating.call_binop": "Jinja2 calls it",
    **{
        f"site.shapes.from_{kind}": "called by the kind of outline that the file gives"
        for kind in (
            "circle", "courses", "layer", "parts", "points", "rectangle", "ring", "strip",
        )
    },
    "cli.group._": "prints the help of a group; Typer calls it",
    "pages.colours.TEXT_PAIRS": "the list of what must be legible, which a test reads",
    "pages.colours.GRAPHIC_PAIRS": "the list of what must be legible, which a test reads",
}  # fmt: skip

# Tables and solutions of formulas that published cases judge by; rule sets say the same as limits.
JUDGED_BY_CASES: Final = {"water.openings.grate_depth_m", "water.pipes.manning_factor"}

# Formulas that no calculation of the package uses yet: each has a source and a published case.
NOT_CALLED: Final = {
    "courses.fabrics.opening_limit_m", "courses.fabrics.retention_coefficient",
    "courses.fabrics.soil_opening_ratio", "courses.filters.filter_d15_limits_m",
    "courses.gradation.uniformity_coefficient", "courses.siting.frost_section_m",
    "courses.siting.investigation_depth_m", "courses.surface.deck_drains_count",
    "courses.surface.fall_m", "courses.surface.slope_window_fraction",
    "water.channels.channel_normal_depth_m", "water.channels.depressed_share_fraction",
    "water.channels.froude_number", "water.channels.gutter_spread_m",
    "water.channels.level_trench_depth_m", "water.channels.swale_cross_slope_fraction",
    "water.concentration.channel_time_s", "water.concentration.overland_time_s",
    "water.concentration.shallow_velocity_m_per_s",
    "water.concentration.sheet_flow_time_by_day_rain_s", "water.ground.deepest_draining_m",
    "water.ground.orifice_emptying_time_s", "water.ground.recharge_volume_m3",
    "water.ground.reservoir_area_m2", "water.ground.steady_planter_area_m2",
    "water.ground.storage_share", "water.ground.trench_area_m2",
    "water.ground.triangular_storage_m3", "water.ground.water_held_m",
    "water.ground.water_quality_volume_m3", "water.openings.capture_fraction",
    "water.openings.curb_opening_flow_m3_per_s", "water.openings.needed_perimeter_m",
    "water.openings.open_edge_at_curb_m", "water.openings.sheet_slot_flow_m3_per_s",
    "water.openings.whole_capture_length_m", "water.pipes.pipe_fall_fraction",
    "water.pipes.printed_full_flow_m3_per_s", "water.rainfall.fitted_intensity_m_per_s",
    "water.rainfall.rain_on_area_m3_per_s", "water.runoff.adjusted_runoff_fraction",
    "water.runoff.composite_curve_number", "water.runoff.curve_number_for_wetness",
    "water.runoff.graphical_peak_m3_per_s", "water.runoff.initial_loss_fraction",
    "water.runoff.mixed_runoff_depth_m", "water.runoff.weighted_runoff_fraction",
    "water.soakage.greatest_depth_m", "water.soakage.half_depth_time_s",
    "water.soakage.half_emptying_time_s", "water.soakage.needed_storage",
    "water.soakage.small_hole_rate_m_per_s", "water.soakage.soakage_rate_m_per_s",
    "water.weirs.drowned_share_fraction", "water.weirs.notch_flow_m3_per_s",
    "water.weirs.sharp_weir_flow_m3_per_s",
}  # fmt: skip


def dotted(path: Path) -> str:
    return path.relative_to(ROOT / "checker").with_suffix("").as_posix().replace("/", ".")


def found_by_vulture() -> set[str]:
    finder = vulture.Vulture(ignore_decorators=[f"@{name}" for name in REGISTERS])
    finder.scavenge([str(path) for path in MODULES])
    kinds = {"function", "method", "class", "property", "import"}
    return {
        f"{dotted(Path(item.filename))}.{item.name}"
        for item in finder.get_unused_code()
        if item.typ in kinds or (item.typ == "variable" and item.name.strip("_").isupper())
    }


def decorators(node: ast.FunctionDef | ast.ClassDef) -> set[str]:
    """The names of the decorators: the last word of each, without its arguments."""
    texts = (ast.unparse(item).partition("(")[0] for item in node.decorator_list)
    return {text.rpartition(".")[2] for text in texts}


def found_by_imports() -> set[str]:
    """Functions and classes that no other module imports and their own does not name."""
    trees = {dotted(path): ast.parse(path.read_text(encoding="utf-8")) for path in MODULES}
    imported: set[str] = set()
    attributes: set[str] = set()
    for tree in trees.values():
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                home = node.module.removeprefix("checker.")
                imported |= {f"{home}.{item.name}" for item in node.names}
            elif isinstance(node, ast.Attribute):
                attributes.add(node.attr)
    dead: set[str] = set()
    for home, tree in trees.items():
        for node in tree.body:
            if not isinstance(node, ast.FunctionDef | ast.ClassDef) or decorators(node) & REGISTERS:
                continue
            inside = {id(item) for item in ast.walk(node)}
            named = {
                text
                for item in ast.walk(tree)
                if id(item) not in inside
                for text in [getattr(item, "id", None), getattr(item, "value", None)]
                if isinstance(text, str)
            }  # names, and those in quotes
            if f"{home}.{node.name}" not in imported and node.name not in attributes | named:
                dead.add(f"{home}.{node.name}")
    return dead


FOUND: Final = found_by_vulture() | found_by_imports()
FORMULAS: Final = {name.removeprefix("checker.") for name in every_formula()}
COMMAND_FUNCTIONS: Final = {f"cli.{entry.module}.{entry.function}" for entry in (*COMMANDS, *RULES)}


def test_everything_is_reached() -> None:
    kept = EXEMPT.keys() | JUDGED_BY_CASES | NOT_CALLED | COMMAND_FUNCTIONS
    assert sorted(FOUND - kept) == [], "nothing in checker/ reaches these: call them or delete them"


def test_no_exemption_is_left_over() -> None:
    assert sorted(EXEMPT.keys() - FOUND) == []
    assert NOT_CALLED <= FORMULAS
