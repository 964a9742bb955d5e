"""A rule set begun from the answers of a form: drafted, read back, and its examples run."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem
from checker.files.source import read_document, read_text
from checker.findings.examples import try_examples
from checker.measure.words import built_in
from checker.rulesets.form_draft import Draft, draft, read_answers
from checker.rulesets.read import read_ruleset

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from checker.files.source import Document

FORMAT: Final = "answers/1"


def begin(
    answers: Mapping[str, object],
    name: str,
    confirmed: frozenset[str] = frozenset(),
    place: Callable[[str], Place] = Place,
) -> Draft:
    """A rule set from answers, of which every example holds.

    Args:
        answers: By the keys of the questions; what is absent is left open.
        name: Its id.
        confirmed: The sentences that a person said are what the text says.
        place: Where the answer to a key stands, for messages.

    Raises:
        BadInput: An answer cannot be read, or what was written does not do what was answered.
    """
    made = draft(read_answers(answers, place), name, confirmed)
    ruleset = read_ruleset(read_text(made.text, f"{name}.yaml"), _no_model, built_in())
    problems = [
        Problem(
            Place(f"{name}.yaml"),
            f"the example '{tried.example.name}' does not come out as it was answered: "
            + "; ".join(map(str, (*tried.differences, *tried.problems))),
            "put the answer in simpler words, or write the file by hand",
        )
        for tried in try_examples(ruleset)
        if not tried.holds
    ]
    if problems:
        raise BadInput("no rule set can be begun from these answers", problems)
    return made


def begin_from(document: Document, name: str, confirmed: frozenset[str] = frozenset()) -> Draft:
    """The same from a file of answers, whose lines messages name.

    Raises:
        BadInput: As `begin`.
    """
    return begin(document.data, name, confirmed, document.place)


def answers_in(path: Path) -> Document:
    """A file of answers: the keys of the questions, each with a text.

    Raises:
        BadInput: It cannot be read, or is of another kind.
    """
    document = read_document(path)
    data = document.data
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        says, do = "this is no file of answers", f"begin it with 'format: {FORMAT}'"
        raise BadInput("the answers cannot be used", [Problem(document.place(), says, do)])
    return document


def _no_model(name: str) -> Document:
    """The form adopts nothing."""
    raise BadInput("no models", [Problem(Place(name), f"there is no model rule set '{name}'")])
