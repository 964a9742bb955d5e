"""What a site file says for a rule set's questions, read by the kinds the rule set declares."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.answers import day_hint, day_of, yes_or_no
from checker.core.problems import Place, Problems, did_you_mean, one_of_these
from checker.core.units import UnreadableAmount, read_amount

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from checker.core.units import Amount
    from checker.core.words import Word


def read_fact(
    word: Word, value: object, place: Place, problems: Problems
) -> str | bool | date | Amount | None:
    """One fact as its kind says; None with a problem when it cannot be read so."""
    name = word.name
    if word.kind == "yes or no":
        answer = yes_or_no(value)
        if answer is not None:
            return answer
        problems.add(place, f"'{name}' is '{value}'", "give yes or no")
        return None
    if word.kind == "date":
        day = day_of(value)
        if day is None:
            problems.add(place, f"'{name}' is '{value}'", day_hint(value))
        return day
    if word.kind == "amount":
        try:
            return read_amount(value, word.dimension)
        except UnreadableAmount as error:
            problems.add(place, f"'{name}': {error}")
            return None
    if not isinstance(value, str):
        problems.add(place, f"'{name}' is '{value}', which is no text", "put it in quotes")
        return None
    if word.choices and value not in word.choices:
        problems.add(place, f"'{name}' is '{value}'", one_of_these(value, word.choices))
        return None
    return value


def check_answers(facts: Mapping[str, Word], given: Mapping[str, str]) -> None:
    """Hold answers that are given by name, outside of a file, against what is asked.

    Raises:
        BadInput: A name is not asked for, or an answer is none.
    """
    problems = Problems()
    for name, value in given.items():
        place = Place(f"fact {name}")
        if name not in facts:
            says = f"'{name}' is not asked for here"
            problems.add(place, says, did_you_mean(name, facts) if facts else "leave it out")
        else:
            read_fact(facts[name], value, place, problems)
    problems.stop_if_any("the answers cannot be used")


def read_facts(
    facts: Mapping[str, Word],
    given: Mapping[str, object],
    place: Callable[[str], Place],
    problems: Problems,
) -> dict[str, str | bool | date | Amount]:
    """All facts of a site that a rule set asks for.

    A fact that the rule set does not know is refused when it looks misspelt, and passed over
    otherwise, so that one site file can be held against several places.
    """
    read: dict[str, str | bool | date | Amount] = {}
    for name, value in given.items():
        word = facts.get(name)
        if word is None:
            hint = did_you_mean(name, facts)
            if hint.startswith("did you mean"):
                problems.add(place(name), f"'{name}' is no fact that this place asks for", hint)
            continue
        found = read_fact(word, value, place(name), problems)
        if found is not None:
            read[name] = found
    return read
