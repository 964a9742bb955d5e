"""The report of a screening, as a page of tables with a picture beside each."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Final

from checker.core.showing import show
from checker.core.units import Amount, Dimension
from checker.pages.blocks import (
    Column,
    Page,
    Picture,
    Table,
    caution,
    numbers,
    para,
    part,
    texts_of,
)
from checker.pages.written import pages_of
from checker.screen.changed import MET_WORDS
from checker.screen.pictures import (
    GROUPS,
    bin_name,
    change_map,
    counted,
    grouped,
    room_chart,
    verdict_map,
)
from checker.screen.results import WORDS
from checker.words.amounts import capital, clean, margin_text, pair_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from checker.core.units import System
    from checker.pages.blocks import Block
    from checker.rulesets.rules import Rule, RuleSet
    from checker.screen.changed import ChangedLot
    from checker.screen.run import Screening
    from checker.screen.summary import RuleCounts, VariantCounts

MAP: Final = "map.svg"
_MOST_ASKS: Final = 12
_MOST_REASONS: Final = 3
_NO_FINDING: Final = (
    "A screening is no finding: layers of a town are seldom a survey. Check a lot with its own "
    "drawing before anybody relies on its verdict."
)


def report_pages(screening: Screening, templates: Path | None = None) -> dict[str, str]:
    """The report by file name: screening.html, screening.md, map.svg and a chart for each rule.

    Raises:
        BadInput: The template cannot be used.
    """
    page, pictures = _page(screening)
    return {**pages_of("screening", page, templates), **pictures}


def report_text(screening: Screening) -> str:
    """The verdicts in short, for a terminal."""
    summary = screening.summary
    lines = [f"{counted(summary.lots)} lots screened: {screening.file.title}"]
    for variant, own in zip(screening.variants, summary.variants, strict=True):
        counts = grouped(own.verdicts)
        told = ", ".join(
            f"{counted(count)} {name}"
            for (name, _), count in zip(GROUPS, counts, strict=True)
            if count
        )
        lines += [f"  {variant.title}", f"    {told}"]
        if variant is not screening.variants[0]:
            lines.append(
                f"    beside the first: {counted(own.changed[0])} no longer pass, "
                f"{counted(own.changed[1])} now do"
            )
    reasons = sorted(summary.problems.items(), key=lambda item: -item[1])[:_MOST_REASONS]
    lines += ["  lots that are not judged, and why"] if reasons else []
    for reason, count in reasons:
        says = f"{counted(count)}: {clean(reason)}"
        lines += wrap(says, 80, initial_indent="    ", subsequent_indent="      ")
    return "\n".join(lines)


def _page(screening: Screening) -> tuple[Page, dict[str, str]]:
    summary = screening.summary
    pictures: dict[str, str] = {}
    above: list[Block] = [para(line, "lead") for line in report_text(screening).split("\n")[:1]]
    if screening.file.is_invented:
        above.append(para("An invented town."))
    above.append(caution(_NO_FINDING))
    above.append(_overview(screening))
    sections: list[Block] = []
    first = summary.variants[0]
    says = _map_says(first)
    drawn = verdict_map(screening, first, says)
    pictures[MAP] = f"{drawn}\n"
    sections.append(
        part(
            "Map",
            Picture(drawn, MAP, says, "Cells of the town", "Map of the town"),
            _groups_table(first),
        )
    )
    if len(screening.variants) > 1:
        sections.append(part("What changes", *_changes(screening, pictures)))
    for rules, own in zip(screening.rulesets[:1], summary.variants[:1], strict=True):
        for place, rule in enumerate(rules.rules):
            sections.append(_rule(rules, rule, own.rules[rule.id], place, pictures))
    if summary.problems:
        sections.append(part("Not judged", *_problems(screening)))
    return Page(
        f"Screening of {clean(screening.file.title)}", tuple(above), tuple(sections), ()
    ), pictures


def _overview(screening: Screening) -> Table:
    names = [name for name, _ in GROUPS]
    rows = tuple(
        (clean(variant.title), *map(counted, grouped(own.verdicts)))
        for variant, own in zip(screening.variants, screening.summary.variants, strict=True)
    )
    return Table("Lots by verdict", (Column("Rules", width=2.0), *numbers(*names)), rows)


def _map_says(variant: VariantCounts) -> str:
    counts = grouped(variant.verdicts)
    return "; ".join(
        f"{counted(count)} lots: {name}" for (name, _), count in zip(GROUPS, counts, strict=True)
    )


def _groups_table(variant: VariantCounts) -> Table:
    cells = len(variant.cells)
    first = [0] * len(GROUPS)
    for counts in variant.cells.values():
        first[next(i for i, count in enumerate(grouped(counts)) if count)] += 1
    rows = tuple(
        (name, counted(count), counted(places))
        for (name, _), count, places in zip(GROUPS, grouped(variant.verdicts), first, strict=True)
    )
    title = f"The same as numbers; the map has {counted(cells)} cells with lots"
    return Table(title, (*texts_of("Verdict"), *numbers("Lots", "Cells that show it")), rows)


def _changes(screening: Screening, pictures: dict[str, str]) -> list[Block]:
    found: list[Block] = []
    base = screening.variants[0]
    rows = tuple(
        (clean(variant.title), counted(own.changed[0]), counted(own.changed[1]))
        for variant, own in zip(screening.variants[1:], screening.summary.variants[1:], strict=True)
    )
    heads = (Column("Rules", width=2.0), *numbers("No longer pass", "Now pass"))
    found.append(Table(f"Beside {clean(base.title)}", heads, rows))
    for number, (variant, own) in enumerate(
        zip(screening.variants[1:], screening.summary.variants[1:], strict=True), 1
    ):
        if own.changed_lots:
            file = f"change-{number}.svg"
            worse, better = map(counted, own.changed)
            says = f"{worse} lots no longer pass, {better} now do"
            drawn = change_map(screening, own, says, f"change-{number}")
            pictures[file] = f"{drawn}\n"
            found.append(Picture(drawn, file, says, clean(variant.title), "Map of what changes"))
            found.append(_changed_table(clean(variant.title), own, screening.rulesets[0].system))
    found.append(para("The table that was written has the verdicts of all lots under each."))
    return found


def _changed_table(title: str, own: VariantCounts, system: System) -> Table:
    rows = tuple(
        (
            clean(lot.lot), lot.before, lot.here, clean(lot.rule),
            *(_both(lot, word, system) for word in (0, 1)),
            _beyond(lot, system),
        )
        for lot in own.changed_lots
    )  # fmt: skip
    shown = f"{counted(len(rows))} of {counted(sum(own.changed))} lots that change"
    heads = (
        *texts_of("Lot", "Before", "Here"), Column("Rule", width=2.0),
        *numbers("Measured", "Limit", "Beyond it by"),
    )  # fmt: skip
    return Table(f"{title}: {shown}, the farthest beyond the limit first", heads, rows)


def _both(lot: ChangedLot, which: int, system: System) -> str:
    """Measured or limit of the rule that a lot hangs on, with what it was before."""
    was, now = (
        ""
        if side is None
        else _compared((side.measured, side.limit, side.margin), side.powers, system)[which]
        for side in (lot.was, lot.now)
    )
    return f"{now}, before {was}" if was and now and was != now else now or was


def _beyond(lot: ChangedLot, system: System) -> str:
    """How far a lot lies beyond the limit where it does not comply; empty where no number tells."""
    side = lot.was if lot.here in MET_WORDS else lot.now
    if side is None or lot.beyond < 0:
        return ""
    far = margin_text(_amount(side.margin, side.powers), system).removeprefix("−")
    return f"{far} ({show(Amount(lot.beyond, Dimension(), '%'), system)} of it)"


def _compared(
    numbers_si: tuple[float, float, float], powers: Sequence[int], system: System
) -> tuple[str, str]:
    """A measured number and its limit, by the room between them."""
    measured_si, limit_si, room = numbers_si
    # Room where there is less than the limit is room under it.
    order = "at most" if (measured_si <= limit_si) == (room >= 0) else "at least"
    measured, limit = _amount(measured_si, powers), _amount(limit_si, powers)
    return pair_text(measured, limit, system, None, order)


def _amount(value_si: float, powers: Sequence[int]) -> Amount:
    kind = Dimension(*powers)
    return Amount(value_si, kind, "%" if kind == Dimension() else "")


def _rule(
    rules: RuleSet, rule: Rule, own: RuleCounts, place: int, pictures: dict[str, str]
) -> Block:  # fmt: skip
    statuses = tuple(
        (word, counted(count)) for word, count in zip(WORDS, own.statuses, strict=True) if count
    )
    blocks: list[Block] = [
        Table("Lots by status", (*texts_of("Status"), *numbers("Lots")), statuses)
    ]
    if own.asks:
        asks = sorted(own.asks.items(), key=lambda item: (-item[1], item[0]))[:_MOST_ASKS]
        rows = tuple((clean(capital(ask)), counted(count)) for ask, count in asks)
        heads = (Column("What is missing", width=3.0), *numbers("Lots"))
        blocks.append(Table("Why it is open", heads, rows))
    if sum(own.rooms):
        file = f"room-{place + 1}.svg"
        over = sum(own.rooms[: len(own.rooms) // 2])
        says = f"{counted(sum(own.rooms))} lots by room left; {counted(over)} are over the limit"
        chart = room_chart(own, clean(rule.title), says, f"room-{place + 1}")
        pictures[file] = f"{chart}\n"
        blocks.append(Picture(chart, file, says, "Room left, as a share of the limit", "Room left"))
        bars = tuple((bin_name(i), counted(count)) for i, count in enumerate(own.rooms) if count)
        blocks.append(Table("The same as numbers", (*texts_of("Room"), *numbers("Lots")), bars))
    if own.nearest:
        blocks.append(_nearest(rules, own))
    return part(clean(rule.title), *blocks)


def _nearest(rules: RuleSet, own: RuleCounts) -> Table:
    rows = []
    for room, lot, status, measured, limit, powers in own.nearest:
        found, asked = _compared((measured, limit, room), powers, rules.system)
        rows.append((clean(lot), status, found, asked))
    heads = (*texts_of("Lot", "Status"), *numbers("Measured", "Limit"))
    return Table("Lots nearest to the limit", heads, tuple(rows))


def _problems(screening: Screening) -> list[Block]:
    summary = screening.summary
    reasons = tuple(
        (clean(reason), counted(count))
        for reason, count in sorted(summary.problems.items(), key=lambda item: -item[1])
    )
    lots = tuple((clean(name), clean(reason)) for name, reason in summary.problem_lots)
    return [
        para("Nothing is mended silently: these lots were left out until their layers are."),
        Table("Why", (Column("Reason", width=3.0), *numbers("Lots")), reasons),
        Table("The first of them", (Column("Lot"), Column("Reason", width=3.0)), lots),
    ]
