"""Values that a site file gives: amounts, lengths, dates, yes or no, and surface attributes."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, Final

from checker.core.answers import day_hint, day_of, yes_or_no
from checker.core.problems import Place, Problems, did_you_mean, nearly
from checker.core.units import LENGTH, UNIT, Amount, Dimension, UnreadableAmount, read_amount
from checker.core.words import Word
from checker.files.vocabulary import ATTRIBUTES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.files.source import Document
    from checker.site.model import Value

FARTHEST_M: Final = 1e8
"""No coordinate or length on Earth is longer; what is larger was typed wrongly."""


def read_yes_or_no(given: object, what: str, place: Place, problems: Problems) -> bool:
    """Yes or no, False and a problem when it is neither."""
    answer = yes_or_no(given)
    if answer is None:
        problems.add(place, f"{what} is {_shown(given)}", "say yes or no")
    return bool(answer)


def read_day(given: object, what: str, place: Place, problems: Problems) -> date | None:
    """A day, None and a problem when it is none."""
    found = day_of(given)
    if found is None:
        problems.add(place, f"{what} is {_shown(given)}", day_hint(given))
    return found


def read_size(
    given: object, dimension: Dimension, what: str, place: Place, problems: Problems
) -> Amount | None:
    """An amount of one kind that is not negative; None and a problem when it is not.

    Args:
        given: What the file gives: a text such as "12 in", or a bare number.
        dimension: What kind of amount is asked for; a bare number is refused but for a ratio.
        what: What it is called in a message, with whose it is.
        place: Where it stands.
        problems: Where a problem goes.
    """
    try:
        found = read_amount(given, dimension)
    except UnreadableAmount as error:
        problems.add(place, f"{what}: {error}")
        return None
    if found.value_si < 0:
        problems.add(place, f"{what} is {_shown(given)}", "give it without a minus sign")
        return None
    return found


def read_length_m(
    given: object, unit: str, what: str, place: Place, problems: Problems
) -> float | None:
    """A length > 0 in metres; a bare number is in the unit of the file."""
    if isinstance(given, int | float) and not isinstance(given, bool):
        length_m = given * UNIT[unit].size_si
    else:
        read = read_size(given, LENGTH, what, place, problems)
        if read is None:
            return None
        length_m = read.value_si
    if not 0 < length_m < FARTHEST_M:
        problems.add(place, f"{what} is {_shown(given)}", "give a length larger than 0")
        return None
    return length_m


_BESIDE: Final = {
    **dict.fromkeys(
        ("fixed", "id", "material", "may_become", "section", "shape", "stage", "title", "was"),
        "move it out, beside 'attributes'",
    ),
    "area": "remove it: the area is that of its shape",
}
"""What belongs to a surface and is no attribute that a file gives."""


def read_attributes(
    given: Mapping[str, Any],
    document: Document,
    at: tuple[str | int, ...],
    owner: str,
    problems: Problems,
    others: dict[str, Any] | None = None,
) -> dict[str, Value]:
    """The attributes of a surface, by name, each of the kind that the vocabulary says.

    Args:
        given: As the file writes them.
        document: The file.
        at: Where they stand in it.
        owner: The surface, for messages.
        problems: Collects what is wrong.
        others: Takes those that every place does not know, for the rule set to read; they are
            refused when it is None.
    """
    found: dict[str, Value] = {}
    for name, raw in given.items():
        if name in _BESIDE:
            says = f"'{name}' of {owner} stands under 'attributes', where nothing reads it"
            problems.add(document.key_place(*at, name), says, _BESIDE[name])
            continue
        term = ATTRIBUTES.get(name)
        if term is None and others is not None and not nearly(name, ATTRIBUTES):
            others[name] = raw
            continue
        if term is None:
            says = f"'{name}' is not an attribute of a surface"
            problems.add(document.key_place(*at, name), says, did_you_mean(name, ATTRIBUTES))
            continue
        place = document.place(*at, name)
        value = _attribute(term, raw, f"'{name}' of {owner}", place, problems)
        if value is not None:
            found[name] = value
    return found


def _attribute(
    term: Word, raw: object, what: str, place: Place, problems: Problems
) -> Value | None:
    if term.kind == "yes or no":
        before = len(problems.items)
        answer = read_yes_or_no(raw, what, place, problems)
        return answer if len(problems.items) == before else None
    if term.kind == "date":
        return read_day(raw, what, place, problems)
    if term.kind == "amount":
        found = read_size(raw, term.dimension, what, place, problems)
        if found is not None and term.name.endswith("_share") and found.value_si > 1:
            problems.add(
                place, f"{what} is {_shown(raw)}", "give a share from 0 to 1, or a per cent"
            )
            return None
        return found
    if not isinstance(raw, str):
        problems.add(place, f"{what} is {_shown(raw)}", "give a text")
        return None
    if term.choices and raw not in term.choices:
        problems.add(place, f"{what} is {_shown(raw)}", did_you_mean(raw, term.choices))
        return None
    return raw


def _shown(given: object) -> str:
    if isinstance(given, bool):
        return "yes" if given else "no"
    text = str(given)
    return f"'{text[:60]}'" + ("..." if len(text) > 60 else "")
