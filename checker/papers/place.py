"""A rule set as a page for the planner who checks and signs it.

Every rule in English with its number, section and examples, what was left out, and what nobody
has confirmed; the sentences are those of `soakline rules show`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.findings.examples import try_examples
from checker.pages.blocks import (
    Bullets,
    Column,
    Page,
    Section,
    Sign,
    Table,
    para,
    part,
    texts_of,
)
from checker.papers.page_file import write_page
from checker.rulesets.english import English
from checker.rulesets.handing_in import submission_sentences
from checker.words.amounts import clean
from checker.words.view import checked_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from checker.algebra.tables import CountTable
    from checker.findings.examples import Tried
    from checker.pages.blocks import Block
    from checker.rulesets.rules import RuleSet

_FOOTER: Final = "A rule set in English, to be checked against the text of the law"
_SIGN: Final = Sign(
    "Checked against the text",
    "I laid every rule, number and example of this page beside the text that it cites. They say "
    "what the text says, except as listed here:",
    ("Exceptions", "Checked by (name and office)", "Signature", "Date"),
)
_OPEN: Final = ("Not answered: ", "Not confirmed by anybody: ")
"""How entries of `left_out` begin that say what somebody still has to do."""


def write_place(ruleset: RuleSet, file: Path) -> Path:
    """Write the page into a file; its ending says of what kind.

    Raises:
        BadInput: The ending is of no page, or something is there that is not ours.
        MissingLibrary: An optional library is not installed.
    """
    return write_page(place_page(ruleset), file, _FOOTER)


def place_page(ruleset: RuleSet) -> Page:
    """The whole page."""
    said = _Place(ruleset)
    sections = [
        said.open_ends(),
        part("What it asks about the lot", *said.asked()),
        part("Parts of the land", *said.regions()),
        *said.tables(),
        part("Amounts", *said.amounts()),
        part("Rules", *said.rules()),
        part("Fees, permits and figures", *said.results()),
        part("Unclear clauses", *said.readings()),
        part("To be handed in", *said.handed_in()),
        part("Left out of the text", *said.left_out()),
        part("Documents cited", *said.sources()),
        part("Signature", _SIGN),
    ]
    kept = tuple(section for section in sections if section.blocks)
    return Page(clean(ruleset.title), tuple(said.opening()), kept, ())


class _Place:
    def __init__(self, ruleset: RuleSet) -> None:
        self.ruleset = ruleset
        self.english = English(ruleset)
        self.tried = try_examples(ruleset)

    def opening(self) -> Iterator[Block]:
        ruleset = self.ruleset
        until = f" until {ruleset.until}" if ruleset.until else ""
        kinds = {"published": "Published law", "invented": "Invented", "model": "A model"}
        said = f"{kinds[ruleset.kind]}, in force since {ruleset.since}{until}."
        yield para(f"{said} {checked_text(ruleset) or 'Nobody has signed it as checked.'}", "lead")
        for text in (ruleset.verify, ruleset.note):
            if text:
                yield para(clean(text))
        wrong = [tried for tried in self.tried if not tried.holds]
        count = len(self.tried)
        yield para(
            f"{count - len(wrong)} of {count} worked examples come out as written; they were run "
            "when this page was made."
        )
        if wrong:
            failing = tuple(clean(f"{t.of}: {t.example.name}") for t in wrong)
            yield Bullets(
                failing, "These do not, so that the rule set must not be used:", "caution"
            )

    def open_ends(self) -> Section:
        """What nobody has confirmed."""
        items = [text for text in self.ruleset.left_out if text.startswith(_OPEN)]
        for source in self.ruleset.sources.values():
            if source.is_remembered or source.reading in {"second-hand", "read in part"}:
                items.append(f"{source.document}: {source.reading}")
            if not source.compared and source.reading != "invented":
                items.append(f"{source.document}: never laid beside the text by a second person")
        by_hand = sum(not tried.example.is_printed for tried in self.tried)
        if by_hand:
            items.append(f"{by_hand} of {len(self.tried)} examples are printed in no source")
        items += [f"The office has not said: {r.question}" for r in self.ruleset.readings.values()]
        return part("What nobody has confirmed", *_bullets(items))

    def asked(self) -> Iterator[Block]:
        words = (*self.ruleset.facts.values(), *self.ruleset.attributes.values())
        yield from _bullets([self.english.fact(word) for word in words])

    def regions(self) -> Iterator[Block]:
        made = self.ruleset.regions.values()
        yield from _bullets([f"{item.title}: {self.english.region(item)}" for item in made])

    def tables(self) -> Iterator[Section]:
        for table in self.ruleset.counts.values():
            clause = self.english.clause(table.clause)
            blocks = (*self._counting(table), *self._examples(table.name))
            yield part(f"What counts: {clean(table.title)}{clean(clause)}", *blocks)

    def _counting(self, table: CountTable) -> Iterator[Block]:
        rows = [(str(i), clean(self.english.row(row))) for i, row in enumerate(table.rows, 1)]
        rows.append(("", clean(self.english.rest(table))))
        columns = (Column("No.", width=0.1), Column("Surface, and how much of it counts"))
        yield Table("The first line that fits a surface decides", columns, tuple(rows))

    def amounts(self) -> Iterator[Block]:
        speaker = self.english.speaker
        made = self.ruleset.amounts.items()
        yield from _bullets(
            [f"{speaker.name(name)}: {speaker.number(node)}" for name, node in made]
        )

    def rules(self) -> Iterator[Block]:
        for number, rule in enumerate(self.ruleset.rules, start=1):
            lines = _bullets(list(self.english.rule_lines(rule)))
            yield part(f"{number}. {clean(rule.title)}", *lines, *self._examples(rule.id))

    def results(self) -> Iterator[Block]:
        for result in self.ruleset.results:
            lines = _bullets(list(self.english.result_lines(result)))
            yield part(clean(result.title), *lines, *self._examples(result.id))

    def readings(self) -> Iterator[Block]:
        for reading in self.ruleset.readings.values():
            options = tuple(clean(title) for title in reading.options.values())
            yield Bullets(options, clean(reading.question))

    def handed_in(self) -> Iterator[Block]:
        said = submission_sentences(self.ruleset, self.english.speaker)
        yield from _bullets(list(said))

    def left_out(self) -> Iterator[Block]:
        items = [text for text in self.ruleset.left_out if not text.startswith(_OPEN)]
        yield from _bullets(items) if items else (para("The file names nothing of it."),)

    def sources(self) -> Iterator[Block]:
        rows = tuple(
            tuple(
                map(
                    clean,
                    (s.document, s.edition, s.reading, s.compared or "never", s.note, s.url),
                )
            )
            for s in self.ruleset.sources.values()
        )
        names = ("Document", "Edition", "Reading", "Compared", "Note", "Address")
        yield Table("Documents that the rules cite", texts_of(*names), rows)

    def _examples(self, of: str) -> Iterator[Block]:
        rows = tuple(_example(tried) for tried in self.tried if tried.of == of)
        if rows:
            yield Table("Worked examples", texts_of("Example", "Given", "Comes out", "From"), rows)


def _bullets(items: Sequence[str]) -> tuple[Block, ...]:
    return (Bullets(tuple(map(clean, items))),) if items else ()


def _example(tried: Tried) -> tuple[str, ...]:
    example = tried.example
    note = f" ({example.note})" if example.note else ""
    origin = f"printed: {example.citation}" if example.is_printed else "worked by hand"
    expect = f"{_said(example.expect)}{note}"
    out = expect if tried.holds else f"{expect}; it does not come out so"
    return tuple(map(clean, (example.name, _said(example.given), out, origin)))


def _said(value: Any) -> str:  # noqa: ANN401 - plain data of a file
    """Plain data of an example in words."""
    if isinstance(value, dict):
        return "; ".join(
            _said(item) if key == "surfaces" else f"{str(key).replace('_', ' ')} {_said(item)}"
            for key, item in value.items()
            if key != "site"
        ) + ("; on the lot that the file draws" if "site" in value else "")
    if isinstance(value, list | tuple):
        return " + ".join(
            f"[{_said(item)}]" if isinstance(item, dict) else _said(item) for item in value
        )
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)
