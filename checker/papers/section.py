"""Pavement sections as blocks: drawing, courses, filters, departures, take-off, upkeep."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.formula import OutOfRange, lack_text
from checker.core.showing import show, show_number
from checker.core.units import LENGTH, Amount, System
from checker.drawing.section import WIDTH_MM, section_svg
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.regions import dwelling_shape
from checker.measure.section.bed import beds
from checker.measure.section.filters import Contact, contacts
from checker.measure.section.orders import orders
from checker.measure.section.standard import STRENGTH, compare, departures
from checker.measure.section.takeoff import take_off
from checker.pages.blocks import (
    Bullets,
    Column,
    Page,
    Picture,
    Section,
    Table,
    Text,
    caution,
    numbers,
    part,
    texts_of,
)
from checker.pages.paper import Paper
from checker.papers.glossary import trade_words
from checker.papers.takeoff import TOTAL, takeoff_rows
from checker.papers.upkeep_calendar import calendar
from checker.words.amounts import clean, small
from checker.words.cautions import SHORT
from checker.words.letters import Keys
from checker.words.sections import course_lines, section_notes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.findings.checked import Checked
    from checker.measure.section.bed import Bed
    from checker.measure.section.standard import Performance
    from checker.pages.blocks import Block
    from checker.papers.takeoff import TakeOffRow
    from checker.site.model import Shape
    from checker.words.brief import Brief

NEVER_GRANTS = (
    "This compares and never grants: a section that departs from the adopted one is not valid "
    "until the engineer of record and the reviewing office have signed."
)
HOW_READ = (
    "Grain sizes are read on the logarithm of the opening. Worst is at the edges of the bands, "
    "unless a sieve test is given."
)
WHAT_TO_GIVE = (
    "No section is drawn in the site file. Give one under 'sections' (courses from the top down, "
    "each with its thickness and stone size), and name it with 'section' at the surfaces that lie "
    "on it. For permeable paving add the pipe, the observation well and the edge."
)
ORDER_SIZES = "Order sizes are those of the table 'order-sizes'; put in what your suppliers sell."


def drawing_file(section_id: str) -> str:
    """The name of the file that holds the drawing of a section."""
    return f"section-{section_id}.svg"


def drawings(checked: Checked) -> dict[str, str]:
    """The drawing of every section by the name of its file.

    Raises:
        BadInput: The sections of the site have problems.
    """
    keys, known = Keys(checked.site), beds(checked.survey).values()
    pictures = [_picture(bed, checked, _under(bed, checked, keys)) for bed in known]
    return {picture.file: picture.svg for picture in pictures}


def _under(bed: Bed, checked: Checked, keys: Keys) -> list[str]:
    """The surfaces that lie on a section, by letter and name."""
    own = (item for item in checked.site.surfaces if item.section == bed.section.id)
    return [keys.named(item.id) for item in own]


def _picture(bed: Bed, checked: Checked, under: list[str]) -> Picture:
    title = clean(bed.section.title)
    rows = (", ".join(filter(None, row)) for row in _courses(bed, checked.system))
    return Picture(
        svg=section_svg(bed, checked.system, under),
        file=drawing_file(bed.section.id),
        says=f"{title} from the top down: {'; '.join(rows)}",
        caption=f"{title}, to the scale written on it: check it against the bar.",
        name=f"Section {title}",
        width_in=WIDTH_MM / 25.4,
    )


def _courses(bed: Bed, system: System) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            clean(layer.course.title),
            layer.course.kind.replace("-", " "),
            "" if layer.course.thickness_m is None else small(layer.course.thickness_m, system),
            clean(", ".join(course_lines(layer, system)[1:])),
        )
        for layer in bed.layers
    )


def shown(bed: Bed, checked: Checked, keys: Keys, *, has_notes: bool = True) -> tuple[Block, ...]:
    """A section: where it lies, its courses, its notes and its drawing, which has them too."""
    under = _under(bed, checked, keys)
    columns = (
        *texts_of("Course", "Kind"),
        Column("Thickness", is_number=True, width=0.8),
        Column("Made of", width=2.4),
    )
    title = f"Courses of {clean(bed.section.title)}, from the top down"
    notes = Bullets(tuple(map(clean, section_notes(bed, checked.system))))
    where = Text((f"Under: {', '.join(under) or 'no surface'}.",))
    return (
        *([where] if has_notes else []),
        Table(title, columns, _courses(bed, checked.system)),
        *([notes] if has_notes else []),
        _picture(bed, checked, under),
    )


def section_sheet(brief: Brief, number: str) -> Paper:
    """The document of a packet; it says what to give where no section is drawn."""
    found = beds(brief.survey).values()
    blocks: tuple[Block, ...] = tuple(
        part(
            clean(bed.section.title),
            *shown(bed, brief.checked, brief.keys, has_notes=False),
            *_beside(bed, brief),
        )
        for bed in found
    )
    return Paper(
        id="pavement-section",
        number=number,
        title="Pavement section",
        blocks=blocks or (caution(WHAT_TO_GIVE),),
        is_empty=not found,
    )


def _beside(bed: Bed, brief: Brief) -> Iterator[Table]:
    """How far the stone lies from footing, pool wall and lot line."""
    site = brief.checked.site
    footings = [f.shape for f in site.features if f.kind == "foundation"]
    house = dwelling_shape(site)
    things = {
        "house": ("House or footing", [*footings, *([house] if house is not None else [])]),
        "pool": (
            "Pool wall",
            [s.shape for s in site.surfaces if s.material.group == "Pool" and s.stage != "removed"
             and s.material.nature == "water"],
        ),
        "lot": ("Lot line", [site.lot.edge]),
    }  # fmt: skip
    visible = brief.survey.partition("proposed").visible
    rows = tuple(
        (
            brief.keys.named(surface.id),
            *(
                _apart(brief, f"bed.{surface.id}.{key}", visible[surface.id], shapes)
                for key, (_, shapes) in things.items()
            ),
        )
        for surface in site.surfaces
        if surface.section == bed.section.id and surface.id in visible
    )
    if rows:
        columns = (
            Column("Stone under", width=1.6),
            *numbers(*(title for title, _ in things.values())),
        )
        yield Table("Distance of the stone from what stands beside it", columns, rows)


def _apart(brief: Brief, key: str, shape: Shape, others: list[Shape]) -> str:
    if not others:
        return "none drawn"
    apart_m = min(float(shape.distance(other)) for other in others)
    return brief.figures.add(key, key.replace(".", " "), Amount(apart_m, LENGTH))


def sections_page(checked: Checked) -> Page:
    """All sections of a site as a page of its own.

    Raises:
        BadInput: The sections of the site have problems.
    """
    found = sections_part(checked)
    nothing = Text(("The site file has no sections.",))
    return Page(
        title=f"Pavement sections: {clean(checked.site.title)}",
        above=() if found else (nothing,),
        sections=found,
        below=(*trade_words(found), caution(SHORT)),
    )


def sections_part(checked: Checked) -> tuple[Section, ...]:
    """The sections of a report about pavement sections; empty when the site has none.

    Raises:
        BadInput: The sections of the site have problems.
    """
    known = beds(checked.survey)
    if not known:
        return ()
    keys = Keys(checked.site)
    inner = tuple(
        Section(
            f"section-{name}",
            clean(bed.section.title),
            (*shown(bed, checked, keys), *_filters(bed), *_standard(bed, checked.system)),
        )
        for name, bed in known.items()
    )
    return (
        Section("sections", "Pavement sections", inner),
        Section("take-off", "Take-off", tuple(_take_off(checked))),
        Section("upkeep", "Upkeep of the permeable paving", (calendar(),)),
    )


def _filters(bed: Bed) -> Iterator[Block]:
    touching = contacts(bed)
    if not touching:
        return
    columns = (
        *texts_of("Layers that touch"),
        *numbers("Worst D15/D85", "Worst D15/D50", "D50/D50, half way"),
    )
    rows = tuple((item.name, *_ratios(item)) for item in touching)
    yield Table("Do neighbouring courses hold each other", columns, rows)
    yield Text((HOW_READ,), "fine")


def _ratios(contact: Contact) -> tuple[str, str, str]:
    found = contact.ratios
    if found is None:
        return ("cannot tell", "cannot tell", "cannot tell")
    return (
        _shown(found.retention_worst_ratio),
        _shown(found.choke_worst_ratio),
        _shown(found.spread_mid_ratio),
    )


def _shown(ratio: float | None) -> str:
    return "cannot tell" if ratio is None else show_number(ratio, 2)


def _standard(bed: Bed, system: System) -> Iterator[Block]:
    try:
        found, performed = departures(bed), compare(bed, system)
    except (NotMeasured, OutOfRange) as lacks:
        yield Text((f"It is not compared with an adopted section: {lack_text(lacks, system)}.",))
        return
    if not found:
        yield Text((f"It is the adopted section '{bed.section.standard}', clause by clause.",))
        return
    columns = (*texts_of("Clause", "Difference", "Adopted"), Column("Drawn"))
    rows = tuple(
        (
            item.clause or "none",
            item.says,
            _side(item.standard, system),
            _side(item.drawn, system),
        )
        for item in found
    )
    yield Table(f"Departures from the adopted section '{bed.section.standard}'", columns, rows)
    names = (
        *texts_of("What it does"),
        *numbers("Adopted", "Drawn"),
    )
    yield Table(
        "Both sections by numbers", names, tuple(_performance(n, system) for n in performed)
    )
    yield Text((STRENGTH, " ", NEVER_GRANTS), "caution")


def _side(value: Amount | str, system: System) -> str:
    return value if isinstance(value, str) else small(value.value_si, system)


def _performance(item: Performance, system: System) -> tuple[str, ...]:
    texts = [
        f"cannot tell: {item.because}" if side is None else show(side, system)
        for side in (item.standard, item.drawn)
    ]
    return (item.name, *texts)


def _take_off(checked: Checked) -> Iterator[Block]:
    taken = take_off(checked.survey)
    ordered = orders(taken.items, table("order-sizes"))
    rows = takeoff_rows(taken, ordered, checked.system)
    columns = (
        *texts_of("Item", "Surface"),
        *numbers("In place", "Bring"),
        *texts_of("Least to most", "How"),
    )
    lines = tuple(_brought(row) for row in rows if row.surface != TOTAL)
    yield Table("What to bring, surface by surface", columns, lines)
    has_cost = any(row.cost for row in rows)
    heads = (*texts_of("Item"), *numbers("In all"), Column("Order"))
    costs = (*numbers("Cost"),) if has_cost else ()
    yield Table(
        "What to order in all, rounded up to what is sold",
        (*heads, *costs),
        tuple(_ordered(row, has_cost=has_cost) for row in rows if row.surface == TOTAL),
    )
    yield Text((ORDER_SIZES,), "fine")


def _brought(row: TakeOffRow) -> tuple[str, ...]:
    span = "" if row.least == row.most else f"{row.least} to {row.most}"
    in_place = f"{row.in_place} {row.in_place_unit}".strip()
    return (row.item, row.surface, in_place, f"{row.usual} {row.unit}".strip(), span, row.note)


def _ordered(row: TakeOffRow, *, has_cost: bool) -> tuple[str, ...]:
    order = f"{row.order} x {row.order_of}" if row.order else "no size in the table"
    cells = (row.item, f"{row.usual} {row.unit}".strip(), order)
    return (*cells, row.cost) if has_cost else cells
