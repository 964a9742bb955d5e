"""From a drawing to a site file: what the options say, and what a person at a terminal is asked."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from checker.core.problems import BadInput
from checker.site.beside import file_beside, place_from

if TYPE_CHECKING:
    from collections.abc import Mapping


def begun(
    drawing: str, place: str, units: str, layers: list[str], facts: list[str]
) -> tuple[str, tuple[str, ...]]:
    """The site file beside a drawing, written where there is none, and what to read at once.

    Who sits at a terminal is asked for the place, for what the place asks of the lot and for the
    layers that say nothing; an empty answer leaves it open.
    """
    from checker import api

    said, given = _pairs(layers, "--layer"), _pairs(facts, "--fact")
    path = Path(drawing)
    if _is_attended():
        place = _place(path, place)
        if place and not file_beside(path, place, is_said=bool(said or given))[1]:
            _ask_open(path, place, units, said, given)
    site, told = api.site_of_drawing(path, place=place, units=units, layers=said, facts=given)
    return site.as_posix(), (f"Site file: {site.as_posix()}", *told)


def _pairs(given: list[str], option: str) -> dict[str, str]:
    found = {}
    for text in given:
        name, is_pair, value = text.rpartition("=")
        if not is_pair or not name.strip() or not value.strip():
            raise typer.BadParameter(f"'{text}': write it as NAME=..., such as {option} A=b")
        found[name.strip()] = value.strip()
    return found


def _is_attended() -> bool:
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def _place(drawing: Path, place: str) -> str:
    if place or drawing.with_suffix(".yaml").exists():
        return place
    return str(_prompt("Under which rules ('soakline rules list' lists them)"))


def _ask_open(
    drawing: Path, place: str, units: str, said: dict[str, str], given: dict[str, str]
) -> None:
    """Ask what the file would leave open, and add the answers to what was said."""
    from checker import api

    path = drawing.with_suffix(".yaml")
    own = place_from(place, drawing.parent)

    def tried(layers: Mapping[str, str], facts: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
        return api.begun_site(
            path, place=own, units=units, drawing=drawing, layers=layers, facts=facts
        ).asks

    asks = tried(said, given)
    for fact in api.load_ruleset(own, path).facts.values():
        if fact.name not in given:
            _ask(f"{fact.name}: {fact.ask}", fact.name, given, lambda: tried(said, given))
    for name, holds in asks:
        question = f"Layer {name} ({holds}): a material, ignore, or a kind of feature"
        _ask(question, name, said, lambda: tried(said, given))


def _ask(question: str, name: str, answers: dict[str, str], tried: object) -> None:
    """Ask until the answer can be used or is empty."""
    assert callable(tried)
    while answer := _prompt(f"{question}; Enter leaves it open"):
        answers[name] = answer
        try:
            tried()
        except BadInput as error:
            del answers[name]
            typer.echo(str(error), err=True)
        else:
            return


def _prompt(question: str) -> str:
    return str(typer.prompt(question, default="", show_default=False)).strip()
