"""Measures of a section. Expected values are worked by hand, in inches unless said otherwise."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import force_setattr

from checker.core.problems import BadInput
from checker.measure.catalogue import SURFACE_MEASURES, NotMeasured, value_of
from checker.measure.section.bed import beds, check_sections
from checker.measure.section.filters import contacts
from tests.measure.section.made import changed, make, measured

INCH = 0.0254
GROUND = "ground: {measured_rate: 0.4 in/h, safety_factor: 2, water_table_depth: 6 ft, tests: 2}\n"


def test_thicknesses() -> None:
    survey = make()
    for name, inches in (
        ("unit_thickness", 2.375),
        ("bedding_thickness", 2),
        ("base_thickness", 12),
        ("subbase_thickness", 0),
        ("stone_thickness", 12),
        ("section_thickness", 16.375),
        ("joint_width", 0.375),
    ):
        assert measured(name, survey) == pytest.approx(inches * INCH), name
    assert measured("unit_aspect_ratio", survey) == pytest.approx(9 / 2.375)


def test_what_is_missing_says_what_to_give() -> None:
    survey = make(changed(base='{course: base, stone: "57"}'))
    with pytest.raises(NotMeasured, match="give 'thickness' of the base of terrace"):
        measured("section_thickness", survey)
    with pytest.raises(NotMeasured, match="give 'fines' of the bedding of terrace"):
        measured("bedding_fines", survey)


def test_texts_and_truths() -> None:
    survey = make(more="    edge: {kind: concrete edge}\n")
    assert measured("section_kind", survey) == "permeable"
    assert measured("bedding_stone", survey) == "8"
    assert measured("subbase_stone", survey) == "none"
    assert measured("edge_restraint", survey) is True
    assert measured("grid", survey) is False
    assert measured("pipe_openings", survey) == "none"


def test_worst_ratios_of_8_over_57() -> None:
    # Worst D15 of No. 57 is 8.49 mm, finest D85 and D50 of No. 8 are 8.19 and 5.79 mm. The joint
    # stone on the bedding is less: 4.97 / 7.54 and 4.97 / 4.13.
    survey = make()
    assert measured("filter_retention", survey) == pytest.approx(8.49 / 8.19, rel=2e-3)
    assert measured("filter_choke", survey) == pytest.approx(8.49 / 5.79, rel=2e-3)
    assert measured("filter_spread", survey) == pytest.approx(13.73 / 6.33, rel=2e-3)


def test_8_on_2_without_a_choker() -> None:
    # 42.4 / 8.19 = 5.18 and 42.4 / 5.79 = 7.33.
    survey = make(changed(base='{course: base, stone: "2", thickness: 12 in}'))
    assert measured("filter_retention", survey) == pytest.approx(5.18, rel=2e-3)
    assert measured("filter_choke", survey) == pytest.approx(7.33, rel=2e-3)


def test_a_choker_between_them_holds() -> None:
    # 57 over 2 is then the worst: 42.4 / 19.3 = 2.20.
    survey = make(
        changed(
            choker='{course: choker, stone: "57", thickness: 4 in}',
            base='{course: base, stone: "2", thickness: 12 in}',
        )
    )
    assert measured("filter_retention", survey) == pytest.approx(2.20, rel=3e-3)


def test_a_fabric_parts_two_changed() -> None:
    survey = make(
        changed(
            fabric="{course: fabric, weave: nonwoven}",
            base='{course: base, stone: "2", thickness: 12 in}',
        )
    )
    names = [contact.name for contact in contacts(beds(survey)["terrace"])]
    assert names == ["joint on bedding"]
    assert measured("touching_courses", survey) == 0


def test_two_courses_of_one_stone_are_one() -> None:
    survey = make(changed(subbase='{course: subbase, stone: "57", thickness: 6 in}'))
    assert measured("touching_courses", survey) == 1


def test_a_tested_curve_takes_the_place_of_the_band() -> None:
    # D15 of this 57: between 6 % at 4.75 and 42 % at 12.5 mm, 4.75 x 2.6316^(9/36) = 6.050 mm.
    # D85 finest of the No. 8 band is 8.188 mm: 0.739.
    survey = make(
        changed(
            base='{course: base, stone: "57", thickness: 12 in, '
            "sieves: {1 in: 97 %, 1/2 in: 42 %, No. 4: 6 %}}"
        )
    )
    assert measured("filter_retention", survey) == pytest.approx(0.7389, rel=1e-3)


def test_sieves_outside() -> None:
    # The bedding lies outside on No. 4 only; joint and base (6 and 5 sieves) have no test.
    survey = make(
        changed(
            bedding='{course: bedding, stone: "8", thickness: 2 in, sieves: '
            "{1/2 in: 100 %, 3/8 in: 95 %, No. 4: 38 %, No. 8: 9 %, No. 16: 4 %}}"
        )
    )
    assert measured("sieves_outside", survey) == (1, 1 + 6 + 5)


def test_a_sieve_that_was_not_tested_is_named() -> None:
    survey = make(
        changed(
            joint="{course: joint, width: 3/8 in, open_share: 10 %}",
            base="{course: base, thickness: 12 in}",
            bedding='{course: bedding, stone: "8", thickness: 2 in, sieves: '
            "{1/2 in: 100 %, 3/8 in: 92 %, No. 8: 7 %, No. 16: 3 %}}",
        )
    )
    found = value_of(SURFACE_MEASURES["sieves_outside"], survey, survey.site.surfaces[0])
    assert [missing.ask for missing in found.missing] == [  # type: ignore[attr-defined]
        "give the No. 4 sieve of the bedding of terrace"
    ]


def test_storage_without_a_pipe() -> None:
    # 12 in at 40 %, level: 4.8 in. It empties at 0.4 / 2 = 0.2 in/h in 24 h.
    survey = make(more="    subgrade_slope: 0 %\n", tail=GROUND)
    assert measured("stored_water", survey) == pytest.approx(4.8 * INCH)
    assert measured("emptying_time", survey) == pytest.approx(24 * 3600)
    assert measured("reservoir_depth", survey) == pytest.approx(12 * INCH)


def test_storage_below_a_pipe_and_its_outlet() -> None:
    # Up to the pipe 4 in: 1.6 in of water, 8 h. Its outlet turned up to 10 in: 4.0 in, 20 h.
    pipe = "    subgrade_slope: 0\n    pipe: {diameter: 4 in, above_subgrade: 4 in%s}\n"
    plain = make(more=pipe % "", tail=GROUND)
    assert measured("stored_water", plain) == pytest.approx(1.6 * INCH)
    assert measured("emptying_time", plain) == pytest.approx(8 * 3600)
    turned = make(more=pipe % ", outlet_above_subgrade: 10 in", tail=GROUND)
    assert measured("stored_water", turned) == pytest.approx(4.0 * INCH)
    assert measured("emptying_time", turned) == pytest.approx(20 * 3600)


def test_a_pipe_on_the_subgrade_keeps_nothing() -> None:
    pipe = "    subgrade_slope: 0 %\n    pipe: {diameter: 4 in, above_subgrade: 0 in}\n"
    survey = make(more=pipe, tail=GROUND)
    assert measured("stored_water", survey) == 0
    assert measured("emptying_time", survey) == 0


def test_a_sloping_subgrade_loses_storage() -> None:
    # 40 ft at 2 % fall 9.6 in; 12 - 9.6 / 2 = 7.2 in of stone, times 40 % is 2.88 in.
    survey = make(more="    subgrade_slope: 2 %\n", tail=GROUND)
    assert measured("stored_water", survey) == pytest.approx(2.88 * INCH)


def test_two_porosities_add_up() -> None:
    # 4 x 0.40 + 8 x 0.35 = 4.4 in.
    survey = make(
        changed(
            base='{course: base, stone: "57", thickness: 4 in, porosity: 40 %}',
            subbase='{course: subbase, stone: "2", thickness: 8 in, porosity: 35 %}',
        ),
        more="    subgrade_slope: 0 %\n",
    )
    assert measured("stored_water", survey) == pytest.approx(4.4 * INCH)


def test_the_storm_with_run_on() -> None:
    # 3.2 x (1 + 0.5) = 4.8 in.
    survey = make(more="    design_rain: 3.2 in\n    run_on: 0.5\n")
    assert measured("storm_water", survey) == pytest.approx(4.8 * INCH)


SLAB = (
    "  - {id: slab, material: concrete-slab, stage: proposed, "
    "shape: {rectangle: {corner: [10, 34], size: [40, 12]}}"
)


def test_the_storm_of_the_site_with_what_is_drawn_to_run_on() -> None:
    # A slab of 40 x 12 = 480 sq ft drains onto the terrace of 40 x 24 = 960: 0.5 of its own area.
    # The site's storm of 3.2 in: 3.2 x (1 + 0.5) = 4.8 in.
    storms = "storms: {design: {depth: 3.2 in, duration: 1 h, shape: uniform}}\n"
    survey = make(tail=storms, beside=f"{SLAB}, attributes: {{drains_to: terrace}}}}\n")
    assert measured("run_on", survey) == pytest.approx(0.5)
    assert measured("storm_water", survey) == pytest.approx(4.8 * INCH)


def test_paving_beside_it_must_say_where_its_water_goes() -> None:
    with pytest.raises(NotMeasured, match="'drains_to' of slab"):
        measured("run_on", make(beside=f"{SLAB}}}\n"))
    away = make(beside=f"{SLAB}, attributes: {{drains_to: rest-of-lot}}}}\n")
    assert measured("run_on", away) == 0


@pytest.mark.parametrize(("screened", "ratio"), [("yes", 0.0), ("no", 0.5), ("", 0.5)])
def test_screened_water_of_a_roof_is_left_out_where_a_rule_says_so(
    screened: str, ratio: float
) -> None:
    """A roof of 480 sq ft onto a terrace of 960; 15A NCAC 02H .1055 leaves it out when screened."""
    said = f"screened: {screened}, " if screened else ""
    roof = SLAB.replace("concrete-slab", "roof")
    survey = make(beside=f"{roof}, attributes: {{{said}drains_to: terrace}}}}\n")
    assert measured("run_on", survey) == pytest.approx(0.5)
    assert measured("unscreened_run_on", survey) == pytest.approx(ratio)
    paved = make(beside=f"{SLAB}, attributes: {{{said}drains_to: terrace}}}}\n")
    assert measured("unscreened_run_on", paved) == pytest.approx(0.5)


def test_down_to_high_water() -> None:
    # 72 - 16.375 = 55.625 in.
    assert measured("water_table_depth", make(tail=GROUND)) == pytest.approx(55.625 * INCH)


def test_a_liner_keeps_nothing_for_the_soil_and_never_empties() -> None:
    survey = make(changed(bottom="{course: liner}"), tail=GROUND)
    assert measured("emptying_time", survey) == math.inf
    assert measured("stored_water", survey) == 0
    assert measured("lined", survey) is True
    assert measured("lined_beside", survey) is True


LEVEL = "    subgrade_slope: 0 %\n"


@pytest.mark.parametrize(
    ("covers", "lined", "beside"),
    [("base", True, False), ("sides", False, True), ("one side", False, True)],
)
def test_a_liner_at_the_sides_leaves_the_base_open(covers: str, lined: bool, beside: bool) -> None:
    """At a side it takes nothing from the storage: as without it, by the same numbers."""
    survey = make(changed(bottom=f"{{course: liner, covers: {covers}}}"), LEVEL, tail=GROUND)
    assert measured("lined", survey) is lined
    assert measured("lined_beside", survey) is beside
    for name in ("stored_water", "emptying_time"):
        without = measured(name, make(more=LEVEL, tail=GROUND))
        kept = 0 if name == "stored_water" else math.inf
        assert measured(name, survey) == pytest.approx(kept if lined else without)


def test_soil_that_takes_no_water_never_empties_the_bed() -> None:
    survey = make(tail="ground: {measured_rate: 0 in/h, safety_factor: 2}\n")
    assert measured("emptying_time", survey) == math.inf


def test_soil_below_stone() -> None:
    # Worst D15 of No. 57 is 8.49 mm over D85 of 1.2 mm: 7.08; its D50 16.0 over 0.5: 32;
    # least D15 5.23 over 0.15: 34.9.
    tail = "ground: {soil: {d15: 0.15 mm, d50: 0.5 mm, d85: 1.2 mm}}\n"
    survey = make(tail=tail)
    assert measured("soil_retention", survey) == pytest.approx(7.08, rel=2e-3)
    assert measured("soil_spread", survey) == pytest.approx(32.0, rel=5e-3)
    assert measured("soil_permeability", survey) == pytest.approx(34.9, rel=2e-3)
    assert measured("subgrade_fabric", survey) is False


def test_fabric_on_the_subgrade() -> None:
    sheet = "{course: fabric, weave: woven, opening: 0.22 mm, permittivity: 0.35 1/s, lap: 18 in}"
    survey = make(changed(bottom=sheet))
    assert measured("subgrade_fabric", survey) is True
    assert measured("fabric_opening", survey) == pytest.approx(0.22e-3)
    assert measured("fabric_permittivity", survey) == pytest.approx(0.35)


def test_holes_in_the_stone_they_lie_in() -> None:
    # D85 of the fine edge of No. 57 is 19.3 mm over 3/8 in = 9.525 mm; of No. 8 it is 8.19 mm.
    pipe = "    pipe: {diameter: 4 in, holes: 3/8 in%s}\n"
    assert measured("pipe_opening_ratio", make(more=pipe % "")) == pytest.approx(
        19.3 / 9.525, rel=2e-3
    )
    assert measured("pipe_opening_ratio", make(more=pipe % ', stone: "8"')) == pytest.approx(
        8.19 / 9.525, rel=2e-3
    )


def test_ring_tests_are_averaged() -> None:
    survey = make(more="    walk: {tests: [160 in/h, 200 in/h]}\n")
    assert measured("infiltration_rate", survey) == pytest.approx(180 * INCH / 3600)


@pytest.mark.parametrize(
    ("walk", "inches", "turned"),
    [
        ("opening: 3/8 in", 0.375, True),
        ("opening: 3/8 in, opening_length: 6 in, opening_lies: across", 0.375, True),
        ("opening: 3/8 in, opening_length: 6 in, opening_lies: along", 0.375, False),
        ("opening: 3/8 in, opening_length: 6 in, opening_lies: any", 6, True),
    ],
)
def test_openings(walk: str, inches: float, *, turned: bool) -> None:
    survey = make(more=f"    walk: {{{walk}}}\n")
    assert measured("walk_opening", survey) == pytest.approx(inches * INCH)
    assert measured("opening_turned_right", survey) is turned


def problems(**courses: str | None) -> list[str]:
    with pytest.raises(BadInput) as caught:
        check_sections(make(changed(**courses)))
    return [problem.says for problem in caught.value.problems]


def test_a_void_ratio_that_is_a_porosity_is_refused() -> None:
    found = problems(base='{course: base, stone: "57", thickness: 12 in, void_ratio: 0.40}')
    says = (
        "void ratio 0.4 is porosity 0.286, too dense for open-graded stone; if 0.4 is the share of "
        "the stone's volume that fills with water, write porosity: 0.4"
    )
    assert found == [says]


def test_stones_and_sieves_that_are_not_there() -> None:
    found = problems(
        bedding='{course: bedding, stone: "88", thickness: 2 in}',
        base='{course: base, stone: "57", thickness: 2 in, sieves: {1 inch: 5 %, No. 4: 2 %}}',
    )
    assert found == ["there is no stone size '88'", "'1 inch' is no sieve of the table"]


def test_a_sieve_test_that_no_sample_gives() -> None:
    found = problems(
        base='{course: base, stone: "57", thickness: 2 in, sieves: {1 in: 5 %, No. 4: 9 %}}',
    )
    assert found == ["9 % passes the 4.75 mm sieve but only 5 % the coarser 25 mm sieve"]


def test_a_section_that_is_not_there() -> None:
    survey = make()
    force_setattr(survey.site.surfaces[0], "section", "terace")
    with pytest.raises(BadInput, match=r"names the section 'terace'.*did you mean 'terrace'"):
        check_sections(survey)


def test_fabrics_over_what_their_soil_asks() -> None:
    """By the tables: 20 % fines allow 0.25 mm and ask 0.2 per second; a CBR of 2 asks a 24 in lap.

    0.2 mm of 0.25 are 80 %; 0.5 of 0.2 per second 250 %; 18 in of 24 in 75 %.
    """
    fabric = "{course: fabric, weave: nonwoven, opening: 0.2 mm, permittivity: 0.5 1/s, lap: 18 in}"
    soil = GROUND.replace("ground: {", "ground: {bearing_ratio: 2, soil: {fines: 20 %}, ")
    found = make(changed(bottom=fabric), tail=soil)
    assert measured("fabric_opening_share", found) == pytest.approx(0.80)
    assert measured("fabric_permittivity_share", found) == pytest.approx(2.5)
    assert measured("fabric_lap_share", found) == pytest.approx(0.75)
    silty = make(changed(bottom=fabric), tail=soil.replace("fines: 20 %", "fines: 85 %"))
    with pytest.raises(NotMeasured, match="a fabric alone is no filter"):
        measured("fabric_opening_share", silty)


def test_a_step_that_may_stay() -> None:
    """Up to 1/4 in upright, up to 1/2 in bevelled 1 in 2."""
    for walk, stays in (
        ("step: 1/4 in", True), ("step: 3/8 in", False),
        ("step: 3/8 in, bevel: 50 %", True), ("step: 5/8 in, bevel: 50 %", False),
    ):  # fmt: skip
        survey = make(more=f"    walk: {{{walk}}}\n")
        assert measured("step_may_stay", survey) is stays, walk
