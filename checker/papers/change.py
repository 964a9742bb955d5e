"""Options as pages: for a terminal, as Markdown, and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import show
from checker.drawing.plan import phase_svg
from checker.drawing.trade_off import trade_off_svg
from checker.findings.model import MET, OPEN
from checker.pages.blocks import (
    Bullets,
    Columns,
    Page,
    Picture,
    Section,
    Table,
    numbers,
    para,
    texts_of,
)
from checker.pages.terminal_writer import terminal_of
from checker.pages.written import pages_of
from checker.papers.change_records import json_of
from checker.papers.names import paper_id
from checker.solve.conversion import conversion_rows
from checker.solve.measures import is_met
from checker.solve.ranking import AIMS, find_of
from checker.solve.trade_off import NoTradeOff, trade_off
from checker.words import changes as wording
from checker.words.amounts import capital, clean
from checker.words.findings import finding_views
from checker.words.letters import Keys

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from checker.findings.model import Finding
    from checker.solve.options import Option, Options

CHART: Final = "change.svg"
_PLAN_IN: Final = 3.4
_HAIR_M2: Final = 1e-6
_APART: Final = "Fails with or without a change"


def text_of(options: Options) -> str:
    """The options for a terminal: as on the page, without its tables and its chart."""
    checked, told, failing = options.checked, _told(options), _failing(options)
    said = [f"{conflict.title}: not possible: {conflict.says}." for conflict in options.conflicts]
    lines = (_headline(options), checked.site.title, checked.ruleset.title)
    return terminal_of(
        (
            *map(para, map(clean, (*lines, f"Asked for: {_asked(options)}"))),
            *_bullets([*_today(options), *_stuck(options)]),
            *((_listed(_APART, failing),) if failing else ()),
            *(_option(x, options, f"{number}. ") for number, x in enumerate(told, 1)),
            *_bullets(said),
            *_bullets(_notes(options)),
        )
    )


def _bullets(lines: Sequence[str]) -> tuple[Bullets, ...]:
    return (Bullets(tuple(map(clean, lines))),) if lines else ()


def _today(options: Options) -> list[str]:
    system = options.checked.system
    lines = [f"{f.title}: {wording.standing(f, system)}" for f in _open_rules(options)]
    best, reserve = options.best, options.goal.reserve
    is_kept = reserve is None or best is None or not best.pieces
    if not (lines or options.apart or is_kept):
        assert reserve is not None
        lines.append(f"Every rule is met, but not with {show(reserve, system)} in reserve")
    return lines


def _told(options: Options) -> tuple[Option, ...]:
    """The options worth telling, each change once.

    Where nothing needs to change, those that assume more.
    """
    best = options.best
    return tuple(
        option
        for option in options.options
        if not option.same_as and (best is None or best.pieces or option.pieces)
    )


def _alike(option: Option, options: Options) -> list[Option]:
    """An option and those that change the same."""
    return [other for other in options.options if option.key in {other.key, other.same_as}]


def _title(option: Option, options: Options) -> str:
    titles = [other.title for other in _alike(option, options)]
    return "; ".join([titles[0], *(title[0].lower() + title[1:] for title in titles[1:])])


def _headline(options: Options) -> str:
    best = options.best
    if best is None:
        return "NO CHANGE THAT IS ALLOWED MEETS THE RULES"
    if best.pieces:
        does = wording.instructions(best, options.checked.system)
        if not best.still_fails:
            return f"LEAST CHANGE: {does}"
        return f"{still_text(best).upper()}. LEAST CHANGE FOR THE OTHER RULES: {does}"
    if options.failing_apart:
        titles = "; ".join(finding.title for finding in options.failing_apart)
        return f"NO SURFACE THAT MAY CHANGE CAN MOVE WHAT FAILS: {titles}"
    if options.stuck:
        return "NO SURFACE NEEDS TO CHANGE: WHAT IS OPEN LACKS FACTS OR ROOM, NOT A CHANGE"
    return "NOTHING NEEDS TO CHANGE"


def still_text(option: Option) -> str:
    """How many rules fail with a change as without it, as a clause."""
    count = len(option.still_fails)
    return f"the design still fails {count} rule{'s' if count > 1 else ''}, named apart"


def _asked(options: Options) -> str:
    goal, system = options.goal, options.checked.system
    text: str = goal.find
    if goal.reserve is not None:
        text += f", keeping {show(goal.reserve, system)} in reserve at each limit"
    if goal.to_be_on_file:
        text += f", with {', '.join(goal.to_be_on_file)} to be handed in"
    built = [name for name in goal.as_built if goal.as_built[name].attributes]
    if built:
        text += f"; what is said of new {', '.join(built)} must be proven when it is built"
    return text


def _stuck(options: Options) -> list[str]:
    """The rules that are open, do not fail, and stay so whatever surfaces do, and why.

    Rules that wait for the same answer are told in one line.
    """
    alike: dict[str, list[str]] = {}
    findings = {f.rule: f for f in options.checked.verdict.findings}
    for rule, why in options.stuck:
        finding = findings[rule]
        what = "no surface that may change can move this"
        if finding.status in OPEN:
            what = "left out of the search, because it cannot be told"
        elif finding.status not in MET:
            continue
        alike.setdefault(f"{what}: {why}", []).append(finding.title)
    return [
        f"Apart from this, {titles[0]}: {why}"
        if len(titles) == 1
        else f"Apart from this, {len(titles)} rules: {why}. They are: {'; '.join(titles)}"
        for why, titles in alike.items()
    ]


def _failing(options: Options) -> list[str]:
    """The rules that fail with or without a change, why, and what to do."""
    if not options.failing_apart:
        return []
    apart = {finding.rule: finding for finding in options.failing_apart}
    beyond = {conflict.rules[0]: conflict for conflict in options.beyond}
    unsaid = dict(options.unsaid)
    found: list[str] = []
    for view in finding_views(options.checked, Keys(options.checked.site)):
        if view.id not in apart:
            continue
        why = "no surface that may change can move this"
        if view.id in beyond:
            why = "no change that is allowed can mend this"
            ruleset = options.checked.ruleset
            others = [f"'{ruleset.rule(r).title}'" for r in beyond[view.id].rules[1:]]
            if others:
                why += f" without breaking {' and '.join(others)}"
            if beyond[view.id].short is not None:
                why = f"{beyond[view.id].says}; let more surfaces change, if they may"
        elif view.id in unsaid:
            why = "it cannot be searched for, and no change that was found mends it"
        finding = apart[view.id]
        standing = wording.standing(finding, options.checked.system)
        found.append(f"{finding.title}: {standing}: {why}. {view.do}")
    return found


def _open_rules(options: Options) -> list[Finding]:
    asked = set(options.goal.rules)
    apart = options.apart | {finding.rule for finding in options.failing_apart}
    return [
        finding
        for finding in options.checked.verdict.findings
        if not is_met(finding) and finding.rule not in apart
        if not asked or finding.rule in asked
    ]


def _sum(option: Option, options: Options) -> str:
    system = options.checked.system
    if not option.pieces:
        return "nothing needs to change"
    text = f"{wording.cost(option.cents)}, {wording.area(option.changed_m2, system)} changed"
    if option.lost_deck_m2:
        text += f", {wording.area(option.lost_deck_m2, system)} of deck given up"
    return text


def _remarks(option: Option, options: Options) -> Iterator[str]:
    system = options.checked.system
    alike = _alike(option, options)
    assumed = dict.fromkeys(other.assumes for other in alike)
    if "" not in assumed:
        yield from (f"Assumes: {text}." for text in assumed)
    aimed = [(other, AIMS[find_of(other.key, options.goal)][0]) for other in alike]
    yield from wording.proofs(aimed, options)
    yield from _beside_cheapest(option, options)
    for finding in option.after.verdict.findings:
        before = next(f for f in options.checked.verdict.findings if f.rule == finding.rule)
        if finding.rule in option.unmet or before.status != finding.status:
            yield f"Then: {finding.title}: {wording.standing(finding, system)}."
        if finding.documents and finding.is_met:
            yield f"Then owed: {', '.join(finding.documents)} ({finding.title})."
    if option.still_fails:
        yield f"Then: {still_text(option)}."
    yield from (f"To settle: {text}." for text in option.to_settle)
    if option.is_on_edge:
        yield (
            "It stands where a count or a limit jumps, since nothing else is left: build not a "
            "tenth of a square foot over."
        )
    for title in option.fails_if:
        yield f"Once drawn it does not pass if {title}."
    for fault in option.faults:
        yield f"It is not offered, for a mistake of this program: {fault}."


def _beside_cheapest(option: Option, options: Options) -> Iterator[str]:
    """What is paid for the deck that an option keeps, beside the one that costs least."""
    other = min(_offered(options), key=lambda own: own.cents, default=None)
    if other is None or not option.is_offered or not other.pieces:
        return
    kept_m2, dearer = other.lost_deck_m2 - option.lost_deck_m2, option.cents - other.cents
    if kept_m2 > _HAIR_M2 and dearer > 0:
        kept = wording.area(kept_m2, options.checked.system)
        titles = {own.key: own.title for own in _alike(other, options)}
        name, more = titles.get("least-cost", other.title), wording.money(dearer)
        yield f"Beside '{name}' it keeps {kept} more of deck, walk or drive and costs {more} more."


def _offered(options: Options) -> list[Option]:
    return [option for option in options.options if option.is_offered and not option.same_as]


def _notes(options: Options) -> list[str]:
    notes = list(wording.judged_afterwards(options))
    notes += [f"{capital(hint)}." for hint in options.hints]
    source = f"Costs: {options.costs.title}."
    if options.costs.is_invented:
        source += " They are invented: put your own beside the site file and name them in 'costs'."
    return [*notes, source, wording.CAUTION, options.checked.ruleset.verify]


def change_pages(options: Options, templates: Path | None = None) -> dict[str, str]:
    """The pages by file name: change.html, change.md, change.json and, where it tells, the chart.

    Args:
        options: What a search found.
        templates: A folder with a page.html or page.md of one's own.
    """
    try:
        drawn = {CHART: trade_off_svg(trade_off(options), options.checked.system)}
    except NoTradeOff:
        drawn = {}
    plans = plans_of(options)
    page = change_page(options, drawn.get(CHART, ""), plans)
    drawn |= {picture.file: picture.svg for picture in plans}
    return pages_of("change", page, templates) | {"change.json": json_of(options)} | drawn


def plans_of(options: Options) -> tuple[Picture, ...]:
    """The design as it is and with the best change, side by side; none where nothing changes."""
    best = options.best
    if best is None or not best.pieces:
        return ()
    keys = Keys(options.checked.site)
    designs = (
        ("designed", "As designed", options.checked, keys),
        ("changed", "With the change", best.after, Keys(best.after.site, keys)),
    )
    return tuple(
        Picture(
            phase_svg(checked, own, "after", title, name=name), f"plan-{name}.svg",
            f"The lot {title[0].lower()}{title[1:]}.", title, f"Plan {title.lower()}", _PLAN_IN,
        )
        for name, title, checked, own in designs
    )  # fmt: skip


def change_page(options: Options, svg: str = "", plans: Sequence[Picture] = ()) -> Page:
    """The options as a page.

    Args:
        options: What was found.
        svg: The chart of the trade-off; empty when there is none.
        plans: The design before and after the best change.
    """
    checked = options.checked
    today = _today(options) or ["Every rule that surfaces can move is met."]
    told = _told(options)
    parts = [_listed("Today", [*today, *_stuck(options)])]
    failing = _failing(options)
    if failing:
        parts.append(_listed(_APART, failing))
    if plans:
        pair = Columns(tuple((picture,) for picture in plans))
        parts.append(Section("plans", "Before and after", (pair,)))
    if told:
        ways = tuple(_option(option, options) for option in told)
        parts.append(Section("options", "Options", (_table(options), *ways)))
    if svg:
        says = "Counted cover against new permeable paving and against cost."
        is_marked = any(option.pieces for option in told)
        marks = "each option by its mark" if is_marked else "how far the cover alone can come down"
        picture = Picture(svg, CHART, says, f"Trade-off: {marks}.", "Trade-off")
        parts.append(Section("trade-off", "Trade-off", (picture,)))
    if options.conflicts:
        said = [f"{conflict.title}: {conflict.says}." for conflict in options.conflicts]
        parts.append(_listed("Not possible", said))
    rows = tuple(_conversion(options, *row) for row in conversion_rows(options))
    if rows:
        columns = (*texts_of("Share that counts"), *numbers("Area to convert"))
        title = "If permeable paving counts differently"
        parts.append(Section("shares", title, (Table("What to convert", columns, rows),)))
    return Page(
        title=clean(f"Least change: {checked.site.title}"),
        above=(
            para(clean(_headline(options)), "verdict"),
            para(clean(f"{checked.ruleset.title}.")),
            para(clean(f"Asked for: {_asked(options)}.")),
        ),
        sections=(*parts, _listed("Notes", _notes(options))),
        below=(),
    )


def _listed(title: str, lines: Iterable[str]) -> Section:
    return Section(paper_id(title), title, _bullets(tuple(lines)))


def _option(option: Option, options: Options, number: str = "") -> Section:
    pieces = [
        f"{capital(wording.instruction(piece, options.checked.system))}: "
        f"{wording.cost(piece.cents)}."
        for piece in option.pieces
    ]
    lines = Bullets(tuple(map(clean, (*pieces, *_remarks(option, options)))))
    title = clean(f"{number}{_title(option, options)}")
    total = para(clean(f"{capital(_sum(option, options))}."))
    return Section(f"option-{option.key}", title, (total, lines))


def _conversion(options: Options, share: float, wanted_m2: float | None) -> tuple[str, str]:
    text = "not possible by converting"
    if wanted_m2 is not None:
        text = wording.area(wanted_m2, options.checked.system)
    return f"{share * 100:g} %", text


def _rules_cell(option: Option) -> str:
    if not option.is_offered:
        return f"not met: {', '.join((*option.unmet, *option.fails_if, *option.faults))}"
    failing = len(option.still_fails)
    if failing:
        return f"the others met; {failing} still fail{'s' if failing == 1 else ''}"
    return "met" if option.is_met else "met, as far as they can be told"


def _table(options: Options) -> Table:
    system = options.checked.system
    rows = []
    for option in _told(options):
        areas = (option.changed_m2, option.lost_deck_m2, option.permeable_m2)
        cells = (
            _title(option, options),
            wording.cost(option.cents),
            *(wording.area(area_m2, system) for area_m2 in areas),
            "proven least" if option.proof.is_proven else "not proven",
            _rules_cell(option),
        )
        rows.append(tuple(map(clean, cells)))
    heads = numbers("Beyond the design", "Changed", "Deck given up", "Permeable")
    columns = (*texts_of("Option"), *heads, *texts_of("Proof", "Rules"))
    return Table("Every option", columns, tuple(rows))
