"""What editors check of a value: the units of its kind, its choices, yes or no, a day."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.units import LENGTH, MONEY, RATIO, UNITS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.core.units import Dimension
    from checker.core.words import Word

Schema = dict[str, Any]

YES_OR_NO: Final[Schema] = {"enum": ["yes", "no", True, False]}
DAY: Final[Schema] = {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"}
SILENT: Final[Schema] = {"const": "cannot tell"}

_PLAIN: Final = r"(?:\d[\d,]*(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
_NUMBER: Final = rf"(?:(?:\d+[ -])?\d+/\d+|{_PLAIN})"
_FEET_AND_INCHES: Final = (
    rf"{_PLAIN}\s*(?:ft|feet|foot|'|′)\s*-?\s*{_NUMBER}\s*(?:in|inches|inch|\"|″)"
)
_SPECIAL: Final = re.compile(r"([.^$*+?()\[\]{}|/\\])")


def amount_schema(dimension: Dimension | None = None) -> Schema:
    """An amount as people write it, in a unit of its kind; of any kind when none is named."""
    spelled = sorted(
        {
            spelling
            for unit in UNITS
            if dimension is None or unit.dimension == dimension
            for spelling in (unit.name, *unit.spellings)
            if spelling
        },
        key=lambda text: (-len(text), text),
    )
    units = "|".join(_any_case(spelling) for spelling in spelled)
    is_bare = dimension is None or dimension == RATIO
    forms = [rf"{_NUMBER}\s*(?:{units}){'?' if is_bare else ''}"]
    if dimension is None or dimension == MONEY:
        forms.append(rf"\$\s*{_NUMBER}")
    if dimension is None or dimension.money:
        forms.append(rf"\$\s*{_NUMBER}\s*/\s*(?:sq ft|sf|m2|ft|m)")
    if dimension is None or dimension == LENGTH:
        forms.append(_FEET_AND_INCHES)
    if is_bare:
        forms.append(rf"{_PLAIN}\s*:\s*{_PLAIN}")
    text = {"type": "string", "pattern": rf"^\s*[-+−]?\s*(?:{'|'.join(forms)})\s*$"}
    says = "a number with its unit, e.g. 5,000 sq ft"
    if dimension is not None:
        named = [unit.name for unit in UNITS if unit.dimension == dimension and unit.name]
        says = f"{dimension.name}: a number with one of {', '.join(named)}"
    return {"anyOf": [{"type": "number"}, text] if is_bare else [text], "description": says}


def _any_case(spelling: str) -> str:
    """A unit in whatever case and with whatever spaces it is written, for a pattern."""
    found = ""
    for letter in spelling:
        both = letter.lower() + letter.upper()
        if letter.isascii() and letter.isalpha():
            found += f"[{both}]"
        else:
            found += r"\s+" if letter == " " else _SPECIAL.sub(r"\\\1", letter)
    return found.replace("/", r"(?:/|\s+per\s+)").replace(r"\(?:", "(?:")


def amount_definitions() -> dict[str, Schema]:
    """Amounts of any kind and of each, by the names that `amount_of` refers to."""
    kinds = {unit.dimension for unit in UNITS}
    found = {_amount_name(kind): amount_schema(kind) for kind in sorted(kinds, key=_amount_name)}
    return {"amount": amount_schema(), **found}


def amount_of(dimension: Dimension) -> Schema:
    """A reference to the amounts of a kind."""
    return {"$ref": f"#/$defs/{_amount_name(dimension)}"}


def _amount_name(dimension: Dimension) -> str:
    return f"amount-{dimension.name.replace(' ', '-')}"


def given_schema(word: Word) -> Schema:
    """A value of a word as a site file or an example gives it; null takes it away."""
    if word.kind == "yes or no":
        values = YES_OR_NO
    elif word.kind == "date":
        values = DAY
    elif word.kind == "amount":
        values = amount_of(word.dimension)
    else:
        values = {"enum": list(word.choices)} if word.choices else {"type": "string"}
    return {"description": word.title, "anyOf": [values, {"type": "null"}]}


def tested_schema(word: Word, orders: Iterable[str], days: Iterable[str]) -> Schema:
    """What a selection asks of a word: a value, a list of them, or orders."""
    if word.kind == "amount":
        limit = {"anyOf": [amount_of(word.dimension), {"$ref": "#/$defs/reckoned"}]}
        asked: Schema = _orders(dict.fromkeys(orders, limit))
    elif word.kind == "date":
        asked = _orders(dict.fromkeys(days, DAY))
    elif word.kind == "yes or no":
        asked = YES_OR_NO
    else:
        one: Schema = {"enum": list(word.choices)} if word.choices else {"type": "string"}
        asked = {"anyOf": [one, {"type": "array", "items": one, "minItems": 1}]}
    return {"description": word.title, **asked}


def _orders(keys: Mapping[str, Schema]) -> Schema:
    return {
        "type": "object",
        "properties": dict(keys),
        "minProperties": 1,
        "additionalProperties": False,
    }
