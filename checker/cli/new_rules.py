"""The command that begins a rule set by asking what an applicant can read off an office's page."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from checker.cli.speaking import say

if TYPE_CHECKING:
    from checker.rulesets.form import Question
    from checker.rulesets.form_draft import Draft

_HOW = """\
{count} questions, in the words of an application form. Enter leaves one open: it
stays "cannot tell" in the rule set until somebody knows. A bar | stands between
examples. What a surface counts: full, none, half, 25 %, or like
  25 % if infiltration rate at least 50 in/h and run-on at most 1 else full
  full each over 120 sq ft
A condition may also be the text's own words: it is then asked of each surface.
"""


def new(
    ruleset: Annotated[
        str, typer.Argument(metavar="FILE", help="The file to write.", show_default=False)
    ],
    *,
    answers: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Take the answers from this file; ask nothing."),
    ] = None,
) -> None:
    """Begin a rule set: answer a form, then confirm in plain English what was understood."""
    from checker import api
    from checker.files.editor_line import schema_hint

    path = Path(ruleset)
    if answers is not None:
        made = api.begin_ruleset(api.form_answers(Path(answers)), path.stem)
        unconfirmed = [sentence.says for sentence in made.sentences]
    else:
        made, unconfirmed = _asked(path)
    api.new_ruleset(path, made)
    name = path.as_posix()
    say(f"Written: {name}")
    if unconfirmed:
        say("It says this, which nobody has confirmed; lay each beside the text:")
        say("\n".join(_filled(f"- {says}", "  ") for says in unconfirmed))
    if made.open_questions:
        asks = {asked.key: asked.ask for asked in api.form_questions()}
        opens = "; ".join(asks[key] for key in made.open_questions)
        say(_filled(f"Left open, and cannot tell: {opens}", "  "))
    say(schema_hint("ruleset"))
    say(f"Next: soakline rules test {name}; soakline rules show {name}")


def _asked(path: Path) -> tuple[Draft, list[str]]:
    """A draft from a person at the keyboard, with what the person would not confirm."""
    from checker import api
    from checker.files.saving import refuse_taken

    refuse_taken(path)
    questions = {asked.key: asked for asked in api.form_questions()}
    say(_HOW.format(count=len(questions)))
    given: dict[str, str] = {}
    for number, asked in enumerate(questions.values(), start=1):
        given[asked.key] = _answer(asked, f"{number}/{len(questions)} ")
    said: dict[str, bool] = {}
    while True:
        yes = frozenset(says for says, is_so in said.items() if is_so)
        made = api.begin_ruleset(given, path.stem, yes)
        sentence = next((s for s in made.sentences if s.says not in said), None)
        if sentence is None:
            return made, [s.says for s in made.sentences if s.says not in yes]
        answer = _confirmed(sentence.says)
        if answer == "no":
            given[sentence.of] = _answer(questions[sentence.of], "")
            # The same answer again makes the same sentence, which is then left unconfirmed.
        said[sentence.says] = answer == "yes"


def _answer(asked: Question, number: str) -> str:
    """An answer that can be read; the question is put again until it can."""
    from checker import api
    from checker.core.problems import CheckerError

    ask = f"How much counts: {asked.ask}?" if asked.materials else asked.ask
    say(_filled(f"{number}{ask}", "   "))
    say(_filled(f"   like: {asked.like}", "   "))
    while True:
        text: str = typer.prompt(">", default="", show_default=False, prompt_suffix=" ")
        try:
            api.understand_answer(asked.key, text)
        except CheckerError as wrong:
            say(f"   {wrong}")
        else:
            return text


def _confirmed(says: str) -> str:
    """Whether a sentence is what the text says: yes, no, or empty where nobody knows."""
    say(_filled(says, "  "))
    words = {"y": "yes", "yes": "yes", "n": "no", "no": "no", "": "", "?": ""}
    while True:
        text: str = typer.prompt(
            "Is that what the text says? yes, no, or Enter if you cannot tell",
            default="",
            show_default=False,
        )
        if text.strip().lower() in words:
            return words[text.strip().lower()]


def _filled(text: str, indent: str) -> str:
    return textwrap.fill(text, 78, subsequent_indent=indent, break_on_hyphens=False)
