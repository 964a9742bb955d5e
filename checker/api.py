"""Everything that the command line does, as calls: load, check, and what is made of a check.

What is done by one function of another module is handed on from there; the others put several
together. Each is loaded when it is first asked for.

Example:
    >>> from pathlib import Path
    >>> site = load_site(Path("samples/fernhollow-before/site.yaml"))  # doctest: +SKIP
    >>> checked = check(site, load_ruleset_for(site))  # doctest: +SKIP
    >>> checked.verdict.status  # doctest: +SKIP
    'fails'
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from checker.core import lazily

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from checker.files.listing import listing as listing
    from checker.files.listing import titles
    from checker.files.source import Document
    from checker.findings.checked import Checked
    from checker.findings.drafts import begun_site as begun_site
    from checker.findings.drafts import site_of_drawing as site_of_drawing
    from checker.findings.editor_names import schema_of
    from checker.findings.examples import try_examples as try_examples
    from checker.findings.new_place import answers_in
    from checker.findings.shelf import load_ruleset as load_ruleset
    from checker.findings.shelf import load_ruleset_for as load_ruleset_for
    from checker.findings.shelf import models as models
    from checker.findings.shelf import places as places
    from checker.findings.shelf import remarks as remarks
    from checker.findings.shelf import samples as samples
    from checker.findings.shelf import saves_of as saves_of
    from checker.packet.writing import write_packet
    from checker.papers.change import change_pages as change_pages
    from checker.papers.comparison import comparison_pages as comparison_pages
    from checker.papers.comparison import comparison_text as comparison_text
    from checker.papers.place import write_place as write_place
    from checker.papers.section import drawings
    from checker.papers.sensitivity import sensitivity_pages as sensitivity_pages
    from checker.papers.sensitivity import sensitivity_text as sensitivity_text
    from checker.papers.takeoff import take_off as take_off
    from checker.papers.takeoff_book import take_off_workbook as take_off_workbook
    from checker.papers.writing import write_client as write_client
    from checker.papers.writing import write_pages as write_pages
    from checker.papers.writing import write_report as write_report
    from checker.rulesets.english import describe
    from checker.rulesets.form import Question
    from checker.rulesets.form_draft import Draft, understand
    from checker.rulesets.rules import RuleSet
    from checker.screen.report import report_pages, report_text
    from checker.screen.run import screen as screen
    from checker.site.materials import materials_listing as materials_listing
    from checker.site.model import Site
    from checker.site.read import read_site
    from checker.solve.compare import compare_designs as compare_designs
    from checker.solve.options import Options
    from checker.solve.redraw import applied
    from checker.solve.search import least_change as least_change
    from checker.solve.sensitivity import sensitivity as sensitivity

    load_site = read_site
    place_titles = titles
    understand_answer = understand
    form_answers = answers_in
    describe_ruleset = describe
    json_schema = schema_of
    section_drawings = drawings
    packet = write_packet
    apply_option = applied
    screening_text = report_text
    screening_pages = report_pages

HANDED_ON: Final = {
    "load_site": "checker.site.read.read_site",
    "begun_site": "checker.findings.drafts.begun_site",
    "site_of_drawing": "checker.findings.drafts.site_of_drawing",
    "materials_listing": "checker.site.materials.materials_listing",
    "samples": "checker.findings.shelf.samples",
    "places": "checker.findings.shelf.places",
    "models": "checker.findings.shelf.models",
    "load_ruleset": "checker.findings.shelf.load_ruleset",
    "load_ruleset_for": "checker.findings.shelf.load_ruleset_for",
    "saves_of": "checker.findings.shelf.saves_of",
    "remarks": "checker.findings.shelf.remarks",
    "listing": "checker.files.listing.listing",
    "place_titles": "checker.files.listing.titles",
    "understand_answer": "checker.rulesets.form_draft.understand",
    "form_answers": "checker.findings.new_place.answers_in",
    "describe_ruleset": "checker.rulesets.english.describe",
    "write_place": "checker.papers.place.write_place",
    "json_schema": "checker.findings.editor_names.schema_of",
    "try_examples": "checker.findings.examples.try_examples",
    "write_report": "checker.papers.writing.write_report",
    "write_client": "checker.papers.writing.write_client",
    "write_pages": "checker.papers.writing.write_pages",
    "section_drawings": "checker.papers.section.drawings",
    "take_off": "checker.papers.takeoff.take_off",
    "take_off_workbook": "checker.papers.takeoff_book.take_off_workbook",
    "packet": "checker.packet.writing.write_packet",
    "least_change": "checker.solve.search.least_change",
    "apply_option": "checker.solve.redraw.applied",
    "change_pages": "checker.papers.change.change_pages",
    "compare_designs": "checker.solve.compare.compare_designs",
    "comparison_text": "checker.papers.comparison.comparison_text",
    "comparison_pages": "checker.papers.comparison.comparison_pages",
    "sensitivity": "checker.solve.sensitivity.sensitivity",
    "sensitivity_text": "checker.papers.sensitivity.sensitivity_text",
    "sensitivity_pages": "checker.papers.sensitivity.sensitivity_pages",
    "screen": "checker.screen.run.screen",
    "screening_text": "checker.screen.report.report_text",
    "screening_pages": "checker.screen.report.report_pages",
}
"""What is handed on as it is: by the name here, the name at home."""

if not TYPE_CHECKING:
    __getattr__ = lazily.names(HANDED_ON)


def __dir__() -> list[str]:
    """What is offered to who explores: the names handed on, too."""
    return sorted({*globals(), *HANDED_ON})


def reckon(name: str | None = None, given: Sequence[str] = ()) -> str:
    """All published formulas; with a name what one asks, with amounts its result.

    Raises:
        BadInput: There is no such formula, or an amount lacks, cannot be read or is out of range.
        OutOfRange: The formula has no answer for these amounts together.
    """
    from checker.words.reckoning import calculations_text, reckoned_text

    return calculations_text() if name is None else reckoned_text(name, given)


def reference_tables(name: str | None = None) -> str:
    """All reference tables; with a name the rows of one and its source.

    Raises:
        BadInput: There is no such table.
    """
    from checker.words.reference import table_text, tables_text

    return tables_text() if name is None else table_text(name)


def new_site(
    path: Path,
    *,
    title: str = "My lot",
    place: str = "alder-ferry",
    units: str = "ft",
    drawing: Path | None = None,
    parts: Sequence[str] = (),
) -> tuple[Path, tuple[str, ...]]:
    """Write a commented site file, and give what a person should read at once.

    Args:
        path: The file to write.
        title: The name of the project.
        place: Id or path of the rule set.
        units: The unit of coordinates, e.g. ft or m.
        drawing: A DXF, GeoJSON, GeoPackage or Shapefile to refer to.
        parts: What else to start with: section, drain-line, dry-well.

    Raises:
        BadInput: The file exists, the rule set, unit or part is unknown, or the drawing is
            unreadable.
    """
    from checker.files.saving import refuse_taken, save
    from checker.findings.drafts import begun_site

    refuse_taken(path)
    started = begun_site(path, title=title, place=place, units=units, drawing=drawing, parts=parts)
    return save(path, started.text), started.told


def empty_site(path: Path) -> Path:
    """Write a site file on which nothing is drawn yet.

    Raises:
        BadInput: The file exists, or the disk refuses.
    """
    from checker.files.saving import save
    from checker.site import scaffold

    return save(path, scaffold.empty_site("My lot", "alder-ferry", "ft"))


def check(site: Site, ruleset: RuleSet) -> Checked:
    """Judge a site under a rule set.

    Raises:
        BadInput: A fact or reading of the site does not fit the rule set, or one of its optional
            parts cannot be used.
    """
    from checker.findings.checked import judged

    result = judged(site, ruleset)
    if "sections" in site.parts or "ground" in site.parts:
        from checker.measure.section.bed import check_sections

        check_sections(result.survey)
    if {"panels", "ways_out", "storms"} & set(site.parts):
        from checker.measure.drainage.drawn import check_drainage

        check_drainage(result.survey)
    if "project" in site.parts:
        from checker.site.project import read_project

        read_project(site)
    if "goal" in site.parts:
        from checker.solve.goal import goal_of

        goal_of(site, ruleset, must_be_open=False)
    return result


def drainage_text(result: Checked) -> str:
    """The drainage of a site as Markdown: areas, drains, stores, blocked cases, sizes, steps.

    Raises:
        BadInput: The drainage as drawn cannot work, or the rain table cannot be read.
    """
    from checker.pages.markdown_writer import markdown_of
    from checker.papers.drainage import drainage_page

    return markdown_of(drainage_page(result))


def sections_text(result: Checked) -> str:
    """The pavement sections of a site as Markdown: courses, filters, departures, take-off."""
    from checker.pages.markdown_writer import markdown_of
    from checker.papers.section import sections_page

    return markdown_of(sections_page(result))


def form_questions() -> tuple[Question, ...]:
    """What the form for a new place asks, in order."""
    from checker.rulesets.form import QUESTIONS

    return QUESTIONS


def begin_ruleset(
    answers: Mapping[str, object] | Document, name: str, confirmed: frozenset[str] = frozenset()
) -> Draft:
    """A rule set from answers of the form, of which every worked example holds.

    Args:
        answers: By the keys of `form_questions()`; what is absent stays "cannot tell".
        name: Its id: the name of its file without the ending.
        confirmed: The sentences of the draft that a person said are what the text says.

    Raises:
        BadInput: An answer cannot be read.
    """
    from checker.findings.new_place import begin, begin_from

    if isinstance(answers, Mapping):
        return begin(answers, name, confirmed)
    return begin_from(answers, name, confirmed)


def new_ruleset(path: Path, draft: Draft) -> Path:
    """Write a rule set that was begun; nothing that is there is written over.

    Raises:
        BadInput: Something is there, or the disk refuses.
    """
    from checker.files.saving import save

    return save(path, draft.text)


def compare_rulesets(old: RuleSet, new: RuleSet) -> str:
    """What differs between two versions of a rule set, rule by rule."""
    from checker.pages.terminal_writer import terminal_of
    from checker.papers.rule_changes import rule_changes

    return terminal_of(rule_changes(old, new))


def rescore(site: Site, old: RuleSet, new: RuleSet) -> str:
    """A site judged under two versions of a rule set, rule by rule.

    Raises:
        BadInput: The site does not fit one of them.
    """
    from checker.pages.terminal_writer import terminal_of
    from checker.papers.rule_changes import rescored_lot

    return terminal_of(rescored_lot(site, old, new))


def write_schema(kind: str, file: Path, ruleset: RuleSet | None = None) -> Path:
    """Write the JSON Schema of a kind of file, over an earlier one of ours at most.

    Raises:
        BadInput: There is no such kind, something else is there, or the disk refuses.
    """
    from checker.files.editor_schema import MARK
    from checker.files.saving import save
    from checker.findings.editor_names import schema_text

    return save(file, schema_text(kind, ruleset), MARK)


def option_text(options: Options, key: str = "") -> str:
    """The site file with an option written into it: only the changed surfaces are rewritten.

    The text is the one that was read back and judged.

    Raises:
        NoOption: There is no such option, or none that meets the rules.
    """
    from checker.solve.redraw import chosen

    return chosen(options, key).text
