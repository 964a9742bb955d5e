"""The take-off of a terrace of 40 x 24 ft = 960 sq ft, every amount worked by hand."""

from __future__ import annotations

import pytest
from msgspec.structs import force_setattr

from checker.core.problems import BadInput
from checker.core.units import MONEY, Amount, System
from checker.files.source import read_text
from checker.files.tables import ReferenceTable, table, table_of
from checker.measure.section.orders import orders
from checker.measure.section.takeoff import TakeOff, TakeOffItem, take_off
from checker.papers.takeoff import cost_sentences, takeoff_csv, takeoff_rows
from tests.measure.section.made import changed, make

SHEET = "{course: fabric, weave: woven, lap: 2 ft, roll_width: 12.5 ft}"
TON_KG = 907.18474


def taken(**courses: str | None) -> TakeOff:
    return take_off(make(changed(**courses), more="    edge: {kind: concrete}\n"))


def item(key: str, **courses: str | None) -> TakeOffItem:
    return next(one for one in taken(**courses).items if one.key == key)


def spans(found: TakeOffItem, unit: str) -> list[float]:
    needed = found.needed
    return [
        Amount(value, found.dimension).to(unit)
        for value in (needed.least, needed.usual, needed.most)
    ]


def test_base_in_place_and_by_the_ton() -> None:
    # 960 sq ft x 1 ft = 960 cu ft = 27.184 m3. Usual: 27.184 x 0.60 x 2650 = 43,223 kg, with 10 %
    # 47,545 kg = 52.41 ton. Least: x 0.57 x 2550 x 1.05; most: x 0.63 x 2750 x 1.15.
    found = item("stone 57")
    assert found.in_place.to("cu ft") == pytest.approx(960)
    volume_m3 = 960 * 0.3048**3
    assert spans(found, "ton") == pytest.approx(
        [
            volume_m3 * 0.57 * 2550 * 1.05 / TON_KG,
            volume_m3 * 0.60 * 2650 * 1.10 / TON_KG,
            volume_m3 * 0.63 * 2750 * 1.15 / TON_KG,
        ]
    )
    assert spans(found, "ton")[1] == pytest.approx(52.41, abs=0.01)


def test_a_stated_specific_gravity_has_no_span() -> None:
    # 27.184 x 0.60 x 2700 x 1.1 / 907.18 = 53.40 ton.
    base = '{course: base, stone: "57", thickness: 12 in, porosity: 40 %, specific_gravity: 2.7}'
    assert spans(item("stone 57", base=base), "ton")[1] == pytest.approx(53.40, abs=0.01)


def test_joint_stone() -> None:
    # 960 x 10 % x 2.375 / 12 = 19 cu ft.
    assert item("joint stone 89").in_place.to("cu ft") == pytest.approx(19)


def test_units_with_waste_and_their_number() -> None:
    # 960 x 1.05, 1.10, 1.15 sq ft. One unit with its joints is 9.375 x 6.375 in = 0.41504 sq ft:
    # 1,056 / 0.41504 = 2,544.3, so 2,545.
    found = item("units 60 mm")
    assert spans(found, "sq ft") == pytest.approx([1008, 1056, 1104])
    assert found.note.startswith("about 2,545 units")


def test_fabric_in_strips_over_a_rectangle() -> None:
    # Strips along 40 ft: 3 x 12.5 x 40 = 1,500; along 24 ft: 1 + 27.5/10.5 rounded up = 4,
    # 4 x 12.5 x 24 = 1,200 sq ft.
    found = item("fabric woven fabric", bottom=SHEET)
    assert spans(found, "sq ft") == pytest.approx([1200, 1200, 1200])


def test_excavation_swells() -> None:
    # 960 x 16.375 / 12 = 1,310 cu ft = 48.519 cu yd; common earth swells by 20, 25, 30 %.
    found = item("spoil")
    assert found.in_place.to("cu yd") == pytest.approx(48.5185, abs=1e-3)
    assert spans(found, "cu yd") == pytest.approx([58.222, 60.648, 63.074], abs=1e-3)


def test_a_tee_to_each_observation_well() -> None:
    """An end cap and two tees are three fittings, beside two wells; without a well the cap."""
    pipe = "    pipe: {diameter: 4 in, length: 40 ft}\n"
    for wells, fittings in (("    well: {count: 2}\n", 3), ("", 1)):
        found = take_off(make(changed(), more=pipe + wells))
        titles = {one.title: one.needed.usual for one in found.items}
        assert titles["Pipe fittings"] == fittings
        assert titles.get("Observation well with cap", 0) == fittings - 1


def test_the_edge_goes_all_round_where_no_length_is_given() -> None:
    assert spans(item("edge concrete"), "ft")[1] == pytest.approx(128)


def test_what_is_missing_is_a_gap_and_no_zero() -> None:
    found = taken(base='{course: base, stone: "57"}')
    assert [(gap.title, gap.ask) for gap in found.gaps] == [
        ("Base", "give 'thickness' of the base of terrace"),
        ("Excavation", "give 'thickness' of the base of terrace"),
    ]
    shown = [row for row in takeoff_rows(found, (), "us") if not row.usual]
    assert [(row.item, row.note) for row in shown] == [(gap.title, gap.ask) for gap in found.gaps]


def sizes(rows: str) -> ReferenceTable:
    text = (
        "format: table/1\nid: mine\ntitle: mine\nsource: mine\n"
        "columns: {item: text, holds: number, unit: text, called: text, price: $, "
        "price_high: $, hours: h}\n"
        f"rows:\n{rows}"
    )
    return table_of(read_text(text, "sizes.yaml"))


def test_orders_are_whole_trucks_of_the_usual_amount() -> None:
    # 52.41 ton in trucks of 18 are 3; at 500 dollars each 1,500.
    found = orders(
        taken().items,
        sizes("  - {item: stone, holds: 18, unit: ton, called: truck, price: 500}\n"),
    )
    base = next(order for order in found if order.key == "stone 57")
    assert (base.packs_count, base.called) == (3, "truck")
    assert base.cost == Amount(1500.0, MONEY)
    units = next(order for order in found if order.key == "units 60 mm")
    assert units.packs_count is None


def test_a_low_and_a_high_price_and_hours_of_labour() -> None:
    # 3 trucks at 500 to 600 dollars: 1,500 to 1,800. 52.41 ton at 0.5 h: 26.2 h.
    sold = "{item: stone, holds: 18, unit: ton, called: truck, "
    row = f"{sold}price: 500, price_high: 600, hours: 0.5}}"
    base = next(o for o in orders(taken().items, sizes(f"  - {row}\n")) if o.key == "stone 57")
    assert (base.cost, base.cost_high) == (Amount(1500.0, MONEY), Amount(1800.0, MONEY))
    assert base.hours == pytest.approx(26.2, abs=0.01)
    assert cost_sentences([base]) == (
        "Material and haulage by your table: $1,500.00 to $1,800.00.",
        "Labour by your table: 26.2 hours.",
    )


def test_a_row_for_one_thing_goes_before_the_row_for_its_kind() -> None:
    found = orders(
        taken().items,
        sizes(
            "  - {item: stone, holds: 18, unit: ton, called: truck}\n"
            '  - {item: "Base, No. 57", holds: 20, unit: ton, called: large truck}\n'
        ),
    )
    assert {o.key: o.called for o in found if o.key.startswith("stone")} == {
        "stone 8": "truck", "stone 57": "large truck",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("{item: stone, holds: 0, unit: ton}", "needs 'holds' above zero"),
        ("{item: stone, holds: 18, unit: wagon}", "needs 'holds' above zero and a known 'unit'"),
        ("{item: stone, holds: 18, unit: sq ft}", "'stone' is sold by area"),
        ("{item: stone, holds: 18, unit: ton, price: -5}", "is no amount of money"),
        ("{item: stone, holds: 18, unit: ton, hours: -5}", "is no time"),
        ("{item: stone, holds: 18, unit: ton, price: 5, price_high: 4}", "is not above its price"),
        ("{item: stone, holds: 18, unit: ton, price_high: 4}", "is not above its price"),
    ],
)
def test_order_sizes_that_cannot_be_used(row: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        orders(taken().items, sizes(f"  - {row}\n"))


def test_csv_has_every_line_and_is_inert() -> None:
    found = taken(bedding='{course: bedding, title: "=1+2", stone: "8", thickness: 2 in}')
    lines = takeoff_csv(found, orders(found.items, table("order-sizes")), "us").splitlines()
    assert lines[0].startswith("surface,section,item,in place,in place unit,least,usual,most,unit")
    # A head, each line for its surface and in all, and the caution.
    assert len(lines) == 1 + 2 * len(found.items) + 1
    assert "no offer" in lines[-1]
    assert all(not cell.startswith("=") for line in lines for cell in line.split(","))


def test_in_place_amounts_do_not_depend_on_the_system() -> None:
    found = taken()
    ordered = orders(found.items, table("order-sizes"))
    systems: tuple[System, ...] = ("us", "metric")
    us, metric = (takeoff_csv(found, ordered, system) for system in systems)
    # 35.56 cu yd are 27.18 m3.
    assert "35.56,cu yd" in us
    assert "27.18,m3" in metric


def test_existing_paving_is_not_taken_off() -> None:
    survey = make()
    force_setattr(survey.site.surfaces[0], "stage", "existing")
    assert take_off(survey) == TakeOff(items=(), gaps=())
