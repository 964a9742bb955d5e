"""Everything that the command line does, as calls: load, check, and what is made of a check.

Example:
    >>> from pathlib import Path
    >>> site = load_site(Path("samples/fernhollow-before/site.yaml"))  # doctest: +SKIP
    >>> checked = check(site, load_ruleset_for(site))  # doctest: +SKIP
    >>> checked.verdict.status  # doctest: +SKIP
    'fails'
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from checker import api_designs, api_rules, api_screen
from checker.findings import shelf

if TYPE_CHECKING:
    import datetime
    from collections.abc import Callable, Mapping, Sequence

    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.measure.section.orders import Purchase
    from checker.measure.section.takeoff import TakeOff
    from checker.packet.writing import Packet
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site
    from checker.site.scaffold import NewSite


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


def load_site(path: Path, shown: str | None = None) -> Site:
    """Read a site file.

    Args:
        path: The file.
        shown: How messages name it; the path as given when None.

    Raises:
        BadInput: With every problem found.
    """
    from checker.site.read import read_site

    return read_site(path, shown)


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
    from checker.files.saving import save

    started = begun_site(path, title=title, place=place, units=units, drawing=drawing, parts=parts)
    return save(path, started.text), started.told


def begun_site(
    path: Path,
    *,
    title: str = "My lot",
    place: str = "alder-ferry",
    units: str = "ft",
    drawing: Path | None = None,
    parts: Sequence[str] = (),
) -> NewSite:
    """The site file that `new_site` would write, as a text; `path` is where it is to lie.

    Raises:
        BadInput: As `new_site`.
    """
    from checker.site import scaffold

    facts = {fact.name: fact.ask for fact in load_ruleset(place, path).facts.values()}
    return scaffold.new_site(
        title, place, units, drawing, folder=path.parent, facts=facts, parts=parts
    )


def empty_site(path: Path) -> Path:
    """Write a site file on which nothing is drawn yet.

    Raises:
        BadInput: The file exists, or the disk refuses.
    """
    from checker.files.saving import save
    from checker.site import scaffold

    return save(path, scaffold.empty_site("My lot", "alder-ferry", "ft"))


samples = shelf.samples
places = shelf.places
models = shelf.models
load_ruleset = shelf.load_ruleset
saves_of = shelf.saves_of


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


def write_report(result: Checked, file: Path) -> Path:
    """Write the report into one file, whose ending says of what kind: .html, .md, .pdf, .docx.

    Raises:
        BadInput: The ending is of no page, or something is there that is not ours.
        MissingLibrary: An optional library is not installed.
    """
    from checker.papers.writing import write_report as write

    return write(result, file)


def write_client(result: Checked, file: Path, order_sizes: Path | None = None) -> Path:
    """Write one page for the client; see `write_report`.

    Args:
        result: The check.
        file: Where to.
        order_sizes: A table of sizes, prices and hours, for what the work costs.
    """
    from checker.papers.writing import write_client as write

    costs: tuple[str, ...] = ()
    if order_sizes is not None:
        from checker.papers.takeoff import cost_sentences

        costs = cost_sentences(_job_of(result, order_sizes, result.system)[1])
    return write(result, file, costs)


def sections_text(result: Checked) -> str:
    """The pavement sections of a site as Markdown: courses, filters, departures, take-off."""
    from checker.pages.markdown_writer import markdown_of
    from checker.papers.section import sections_page

    return markdown_of(sections_page(result))


def write_pages(pages: Mapping[str, str], folder: Path) -> list[Path]:
    """Write pages of ours, by file name, into a folder: together or not at all.

    Raises:
        BadInput: A file of another's is there under one of the names, or the disk refuses.
    """
    from checker.papers.writing import write_pages as write

    return write(pages, folder)


def section_drawings(result: Checked) -> dict[str, str]:
    """The drawing of each pavement section to scale, SVG by file name."""
    from checker.papers.section import drawings

    return drawings(result)


def take_off(
    result: Checked, order_sizes: Path | None = None, system: System | None = None
) -> tuple[str, str]:
    """The order of the whole job: demolition to restored ground, and what to buy in all.

    Args:
        result: The check.
        order_sizes: A table like `rules/tables/order-sizes.yaml`, with one's own sizes, prices and
            hours; that one, or its metric neighbour, when None.
        system: The units of the order; those of the site's pages when None.

    Returns:
        Tables for reading, and the same as comma-separated values.

    Raises:
        BadInput: The sections, the drainage or the order sizes cannot be used.
    """
    from checker.pages.terminal_writer import terminal_of
    from checker.papers.takeoff import takeoff_blocks, takeoff_csv

    units = system or result.system
    taken, ordered = _job_of(result, order_sizes, units)
    return (
        terminal_of(takeoff_blocks(taken, ordered, result, units)),
        takeoff_csv(taken, ordered, units),
    )


def take_off_workbook(
    result: Checked, order_sizes: Path | None = None, system: System | None = None
) -> bytes:
    """The same as a workbook (.xlsx); see `take_off`.

    Raises:
        MissingLibrary: XlsxWriter is not installed.
    """
    from checker.papers.takeoff_book import takeoff_xlsx

    units = system or result.system
    return takeoff_xlsx(*_job_of(result, order_sizes, units), units)


def _job_of(
    result: Checked, order_sizes: Path | None, system: System
) -> tuple[TakeOff, tuple[Purchase, ...]]:
    from checker.files.source import read_document
    from checker.files.tables import table, table_of
    from checker.measure.section.orders import orders
    from checker.measure.whole_job import whole_job

    taken = whole_job(result.survey)
    own = "order-sizes" if system == "us" else "order-sizes-metric"
    sizes = table(own) if order_sizes is None else table_of(read_document(order_sizes))
    return taken, orders(taken.items, sizes)


materials_listing = api_rules.materials_listing
listing = api_rules.listing
place_titles = api_rules.place_titles
load_ruleset_for = api_rules.load_ruleset_for
form_questions = api_rules.form_questions
understand_answer = api_rules.understand_answer
form_answers = api_rules.form_answers
begin_ruleset = api_rules.begin_ruleset
new_ruleset = api_rules.new_ruleset
describe_ruleset = api_rules.describe_ruleset
write_place = api_rules.write_place
compare_rulesets = api_rules.compare_rulesets
rescore = api_rules.rescore
json_schema = api_rules.json_schema
write_schema = api_rules.write_schema
try_examples = api_rules.try_examples
remarks = shelf.remarks
least_change = api_designs.least_change
apply_option = api_designs.apply_option
option_text = api_designs.option_text
with_remedies = api_designs.with_remedies
change_pages = api_designs.change_pages
compare_designs = api_designs.compare_designs
comparison_text = api_designs.comparison_text
comparison_pages = api_designs.comparison_pages
sensitivity_pages = api_designs.sensitivity_pages
sensitivity_text = api_designs.sensitivity_text
sensitivity = api_designs.sensitivity

screen = api_screen.screen
screening_text = api_screen.screening_text
screening_pages = api_screen.screening_pages


def packet(  # noqa: PLR0913 - what a person may choose, each by name
    checked: Checked,
    folder: Path,
    *,
    date: datetime.date | None = None,
    sheet_size: str = "",
    previous: Checked | None = None,
    built: Checked | None = None,
    overwrite: bool = False,
    split: bool | None = None,
    only_when_ready: bool = False,
    fonts: Path | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> Packet:
    """Write the permit packet of a checked site; see `checker.packet.writing`.

    Raises:
        BadInput: The folder must not be touched, or the project or submission part is wrong.
        NotReady: Something that the office asks for is missing, with `only_when_ready`.
        MissingLibrary: An optional library is not installed.
    """
    from checker.packet.writing import write_packet

    return write_packet(
        checked,
        folder,
        date=date,
        sheet_size=sheet_size,
        previous=previous,
        built=built,
        overwrite=overwrite,
        split=split,
        only_when_ready=only_when_ready,
        fonts=fonts,
        progress=progress,
    )
