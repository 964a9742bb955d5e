"""The report as blocks: which part stands where, and the words around the figures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.blocks import (
    Bullets,
    Column,
    Columns,
    Fold,
    Page,
    Pairs,
    Picture,
    Section,
    Strong,
    Table,
    Text,
    numbers,
    texts_of,
)
from checker.papers.answer import answer_blocks, group_sections, verdict_text
from checker.papers.glossary import glossary_section
from checker.papers.ledger import ledger_section
from checker.papers.worksheet import coverage_section
from checker.words.view import VERIFY_ROUNDING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.pages.blocks import Block
    from checker.words.view import View

INVENTED = "Invented: this lot and its place exist nowhere; they are there to show the program."
NOT_LAW = "These rules are no law of a real place."


def page_of(
    view: View,
    svg: str,
    plan_file: str,
    parts: tuple[Section, ...] = (),
    phases: tuple[Picture, ...] = (),
) -> Page:
    """The whole report.

    Args:
        view: Its texts.
        svg: The plan.
        plan_file: The name of the file that holds the plan too.
        parts: What other subjects add, after the ledger of areas.
        phases: Plans of the lot before and after the work, and of what comes out.
    """
    folded = (
        *_phases(phases),
        _key(view),
        coverage_section(view.brief),
        ledger_section(view.ledgers),
        *parts,
        _drawing(view),
        _given(view),
        _sources(view),
    )
    rules = group_sections(view.answer)
    words = glossary_section(view.brief.checked, (*rules, *folded))
    return Page(
        title=view.header.title,
        above=(*_above(view), *answer_blocks(view, _picture(svg, plan_file))),
        sections=(
            *rules,
            *_results(view),
            Section("cautions", "Cautions", (Bullets(view.cautions),)),
            *(Fold(part.id, part.title, part.blocks, part.status) for part in (*folded, words)),
        ),
        below=(Text((VERIFY_ROUNDING,), "fine"),),
    )


def _above(view: View) -> Iterator[Block]:
    header = view.header
    if header.is_invented:
        yield Text((Strong(INVENTED),), "note")
    yield verdict_text(view)
    yield Text(
        (
            "Checked against ",
            Strong(header.place),
            f": {header.place_kind}; {header.force}; {header.day}. ",
            "" if header.is_law else f"{NOT_LAW} ",
            Strong(header.verify),
            f" {header.checked}" if header.checked else "",
            f" {header.note}" if header.note else "",
        ),
        "lead",
    )


def _results(view: View) -> Iterator[Section]:
    """What is owed and what is shown without a limit; nothing where the rule set has no such."""
    if not view.results:
        return
    columns = (*texts_of("What", "Answer", "How it follows"), Column("Source"))
    rows = tuple(
        (
            item.title,
            item.answer,
            " ".join(part for part in (item.says, item.why) if part),
            item.source,
        )
        for item in view.results
    )
    table = Table("What each comes to, and why", columns, rows)
    yield Section("results", "Fees, permits and figures", (table,))


def _picture(svg: str, plan_file: str) -> Picture:
    says = "Plan of the lot to scale, with existing, removed and new surfaces. The key lists them."
    caption = "Letters match the tables. To scale when printed at 100 %: check it against the bar."
    return Picture(svg, plan_file, says, caption)


def _phases(pictures: tuple[Picture, ...]) -> Iterator[Section]:
    """Before and after side by side, what comes out below; nothing where no work is drawn."""
    if pictures:
        pair = Columns(tuple((picture,) for picture in pictures[:2]))
        yield Section("phases", "Before and after", (pair, *pictures[2:]))


def _key(view: View) -> Section:
    has_method = any(item.measured_by for item in view.plan)
    columns = [Column(name) for name in ("Key", "Surface", "Material", "Stage")]
    columns += [*numbers("Area as drawn", "Extent"), *texts_of("Where")]
    if has_method:
        columns.append(Column("How measured"))
    rows = tuple(item if has_method else item[:-1] for item in view.plan)
    blocks: list[Block] = [
        Table("Key to the plan: every surface by its letter", tuple(columns), rows, header=1),
    ]
    if view.others:
        heads = (Column("What"), Column("Kind, size and place"))
        blocks.append(Table("Features and regions", heads, view.others))
    return Section("key", "Key to the plan", tuple(blocks))


def _drawing(view: View) -> Section:
    blocks: list[Block] = [Pairs(view.lot)]
    columns = (
        *texts_of("Line", "Side", "Bearing and distance, or curve"),
        *numbers("Length"),
    )
    blocks.append(Table("The lot line by line", columns, view.lot_lines))
    if view.repairs:
        rows = tuple((item.text, item.what) for item in view.repairs)
        where = (Column("What was mended or is in doubt"), Column("Where"))
        blocks.append(Table("Repairs and doubts of the drawing", where, rows))
    else:
        blocks.append(Text(("Nothing in the drawing was mended, and nothing in it is in doubt.",)))
    return Section("drawing", "The drawing", tuple(blocks))


def _given(view: View) -> Section:
    nothing = Text(("The rules ask for no facts, and none were given.",))
    columns = (Column("Asked"), Column("Answer"))
    table = Table("Facts, readings and documents", columns, view.facts)
    return Section("given", "Facts given", (table if view.facts else nothing,))


def _sources(view: View) -> Section:
    names = ("Document", "Edition", "Reading", "Compared with the text")
    columns = [Column(name) for name in names]
    has_note = any(source.note or source.url for source in view.sources)
    if has_note:
        columns.append(Column("Note"))
    rows = []
    for source in view.sources:
        note = ((" ".join(part for part in (source.note, source.url) if part)),) if has_note else ()
        rows.append((*source[:4], *note))
    blocks: list[Block] = [
        Table("Documents that the rules cite", tuple(columns), tuple(rows)),
    ]
    if view.left_out:
        label = "The rule set leaves these parts of the text out; check them by hand:"
        blocks.append(Bullets(view.left_out, label))
    else:
        blocks.append(Text(("The rule set names nothing of the text that it leaves out.",)))
    return Section("sources", "Sources", tuple(blocks))
