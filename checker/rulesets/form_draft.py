"""A rule set from the answers of the form, each answer with worked examples and a sentence.

The examples are reckoned here in fractions from the answers, not from the rules that are written,
so that a slip of either shows when the examples are run.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.answers import day_hint, day_of
from checker.core.problems import BadInput, Place, Problem, Problems, did_you_mean
from checker.core.records import Record
from checker.files.editor_line import schema_line
from checker.files.plain import plain_text
from checker.rulesets import form
from checker.rulesets.form_answers import (
    Unclear,
    base_of,
    count_of,
    share_of,
    slug,
    steps_of,
    text_of,
    yards_of,
)
from checker.rulesets.form_limits import FormParts

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.rulesets.form_answers import CapBySize, Portion, Yard
    from checker.rulesets.form_parts import Sentence

READINGS: Final = ("read", "read in part", "second-hand", "invented")
HEAD: Final = "# Written from the answers of a form; every example was reckoned from an answer.\n"


class Answers(Record, kw_only=True):
    """Answers that were understood; what is left open is None or absent."""

    text: Mapping[str, str]
    steps: tuple[CapBySize, ...] | None = None
    base: str | None = None
    shares: Mapping[str, Portion]
    yards: tuple[Yard, ...] | None = None
    ways_out_count: int | None = None
    papers: tuple[str, ...] | None = None


class Draft(Record, kw_only=True):
    """A rule set that was begun.

    Attributes:
        text: The file.
        sentences: What its examples say, each to be confirmed by the person who read the law.
        open_questions: Keys of the questions that were left open.
    """

    text: str
    sentences: tuple[Sentence, ...]
    open_questions: tuple[str, ...]


def understand(key: str, answer: object) -> Any:  # noqa: ANN401 - each question has its own kind
    """One answer, read; None when it leaves the question open.

    Raises:
        Unclear: It cannot be read; the message says what to write.
    """
    text = text_of(answer)
    if text.lower() in form.CANNOT_TELL:
        if form.question(key).is_needed:
            raise Unclear("this is needed")
        return None
    if form.question(key).materials:
        return share_of(text)
    return _READERS.get(key, str)(text)


def _reading(text: str) -> str:
    if text.lower() not in READINGS:
        raise Unclear(f"'{text}': write {', '.join(READINGS)}")
    return text.lower()


def _units(text: str) -> str:
    if text.lower() not in {"us", "metric"}:
        raise Unclear(f"'{text}': write us or metric")
    return text.lower()


def _since(text: str) -> str:
    if day_of(text) is None:
        raise Unclear(f"'{text}' is no day: {day_hint(text)}")
    return text


def _papers(text: str) -> tuple[str, ...]:
    named = () if text.lower() == "none" else text.split(";")
    papers = tuple(part.strip() for part in named if part.strip())
    slugs = [slug(paper) for paper in papers]
    if not all(slugs) or len(set(slugs)) < len(slugs):
        raise Unclear("name each paper once, in words, with ';' between them")
    return papers


_READERS: Final[dict[str, Callable[[str], Any]]] = {
    "reading": _reading,
    "units": _units,
    "since": _since,
    "most": steps_of,
    "of": base_of,
    "yards": yards_of,
    "ways_out": count_of,
    "papers": _papers,
}


def read_answers(answers: Mapping[str, object], place: Callable[[str], Place]) -> Answers:
    """All answers, read.

    Args:
        answers: By the keys of the questions; what is absent is left open.
        place: Where the answer to a key stands, for messages.

    Raises:
        BadInput: With every answer that cannot be read.
    """
    problems = Problems()
    known = {asked.key for asked in form.QUESTIONS}
    for key in answers.keys() - known - {"format"}:
        problems.add(place(key), f"'{key}' is no question of the form", did_you_mean(key, known))
    found: dict[str, Any] = {}
    for asked in form.QUESTIONS:
        try:
            read = understand(asked.key, answers.get(asked.key))
        except Unclear as wrong:
            problems.add(place(asked.key), f"{asked.key}: {wrong}", f"for example: {asked.like}")
            continue
        if read is not None:
            found[asked.key] = read
    problems.stop_if_any("the answers cannot be used")
    texts = {asked.key for asked in form.TEXT}
    return Answers(
        text={key: value for key, value in found.items() if key in texts},
        steps=found.get("most"),
        base=found.get("of"),
        shares={a.key: found[a.key] for a in form.SURFACES if a.key in found},
        yards=found.get("yards"),
        ways_out_count=found.get("ways_out"),
        papers=found.get("papers"),
    )


def draft(answers: Answers, name: str, confirmed: frozenset[str] = frozenset()) -> Draft:
    """A rule set from answers.

    Args:
        answers: What was understood.
        name: Its id: the name of its file without the ending.
        confirmed: The sentences that a person said are what the text says.
    """
    if slug(name) != name:
        says = f"'{name}' is no id: lower-case words with dashes"
        do = "name the file like plover-bank.yaml"
        raise BadInput("no rule set can be begun", [Problem(Place(name), says, do)])
    parts = FormParts(answers.text["units"], answers.text["section"])
    for asked in form.SURFACES:
        parts.surface(asked, answers.shares.get(asked.key))
    parts.limit(answers.steps, answers.base)
    parts.yards(answers.yards)
    parts.ways_out(answers.ways_out_count)
    parts.papers(answers.papers)
    sentences = tuple(parts.sentences)
    left = [f"Not confirmed by anybody: {s.says}" for s in sentences if s.says not in confirmed]
    data = _head(answers, name) | parts.data()
    data["left_out"] = [*_LEFT_OUT, *(f"Not answered: {ask}" for ask in parts.left_open), *left]
    return Draft(
        text=schema_line("ruleset") + HEAD + plain_text(data),
        sentences=sentences,
        open_questions=tuple(parts.open_keys),
    )


_LEFT_OUT: Final = (
    "Whatever the form does not ask: setbacks, building cover, slopes, lawful excess, fees.",
)


def _head(answers: Answers, name: str) -> dict[str, Any]:
    text = answers.text
    invented = text["reading"] == "invented"
    head: dict[str, Any] = {
        "format": "ruleset/1",
        "id": name,
        "title": text["title"],
        "kind": "invented" if invented else "published",
        "in_force": {"since": text["since"]},
        "shown_in": text["units"],
    }
    if "office" in text:
        head["verify"] = f"Verify with {text['office']}; the official's reading decides."
    source = {
        "key": "code",
        "document": text["document"],
        "edition": text["edition"],
        "reading": text["reading"],
    }
    return head | {"sources": [source]}
