"""The calls of `checker.api` for those who write the law down: begin, say, try and compare it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from checker.findings import shelf

if TYPE_CHECKING:
    from pathlib import Path

    from checker.files.source import Document
    from checker.findings.examples import Tried
    from checker.rulesets.form import Question
    from checker.rulesets.form_draft import Draft
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


def form_questions() -> tuple[Question, ...]:
    """What the form for a new place asks, in order."""
    from checker.rulesets.form import QUESTIONS

    return QUESTIONS


def understand_answer(key: str, answer: str) -> object:
    """One answer of the form for a new place, read; None when it leaves the question open.

    Raises:
        CheckerError: It cannot be read; the message says what to write.
    """
    from checker.rulesets.form_draft import understand

    return understand(key, answer)


def form_answers(path: Path) -> Document:
    """A file of answers of the form for a new place.

    Raises:
        BadInput: It is none.
    """
    from checker.findings.new_place import answers_in

    return answers_in(path)


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


def describe_ruleset(ruleset: RuleSet) -> str:
    """What a rule set asks, in plain English."""
    from checker.rulesets.english import describe

    return describe(ruleset)


def write_place(ruleset: RuleSet, file: Path) -> Path:
    """Write a rule set as a page for the planner who checks and signs it.

    Args:
        ruleset: The rule set.
        file: Its ending says of what kind: .html, .md, .pdf or .docx.

    Raises:
        BadInput: The ending is of no page, or something is there that is not ours.
        MissingLibrary: An optional library is not installed.
    """
    from checker.papers.place import write_place as write

    return write(ruleset, file)


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


def json_schema(kind: str, ruleset: RuleSet | None = None) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a kind of file, for editors that complete and check.

    Args:
        kind: "site", "ruleset", "table", "sources" or another kind of the format.
        ruleset: Whose names are all there are: its facts, attributes, measures and regions.

    Raises:
        BadInput: There is no such kind.
    """
    from checker.findings.editor_names import schema_of

    return schema_of(kind, ruleset)


def write_schema(kind: str, file: Path, ruleset: RuleSet | None = None) -> Path:
    """Write the JSON Schema of a kind of file, over an earlier one of ours at most.

    Raises:
        BadInput: There is no such kind, something else is there, or the disk refuses.
    """
    from checker.files.editor_schema import MARK
    from checker.files.saving import save
    from checker.findings.editor_names import schema_text

    return save(file, schema_text(kind, ruleset), MARK)


def try_examples(ruleset: RuleSet) -> tuple[Tried, ...]:
    """Run the worked examples of a rule set; one that cannot be read says so and hides no other."""
    from checker.findings.examples import try_examples as run

    return run(ruleset)


def listing() -> str:
    """The places and models that come with the program, by kind, each with its id and title."""
    from checker.files.listing import listing as listed

    return listed()


def place_titles() -> tuple[tuple[str, str, str], ...]:
    """Id, title and kind (published, invented, model) of each place and model that come along."""
    from checker.files.listing import titles

    return titles()


def load_ruleset_for(site: Site) -> RuleSet:
    """Read the rule set that a site file names.

    Raises:
        BadInput: There is no such rule set, or it has problems.
    """
    return shelf.load_ruleset(site.place_id, site.file, site.document.place("place"))


def materials_listing() -> str:
    """Every material that a site file may name, with what each means."""
    from checker.site.materials import materials_listing as listed

    return listed()
