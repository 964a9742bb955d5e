"""The published formulas as calculations by hand: what each asks, and its result in both systems.

Everything here is read off the register of formulas: names and units from the arguments, words from
the description of each, source and range from its entry. A formula is left out only when it takes
what cannot be typed in a line, such as a whole rain table.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import textwrap
from functools import cache
from types import UnionType
from typing import TYPE_CHECKING, Any, Final, Literal, Union, get_args, get_origin

import checker.courses
import checker.water
from checker.core.formula import FORMULAS, Formula, Range
from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.records import Record, replace
from checker.core.units import (
    AREA,
    DENSITY,
    FLOW,
    LENGTH,
    MASS,
    PER_TIME,
    RATIO,
    SPEED,
    TIME,
    UNIT,
    VOLUME,
    Amount,
    Dimension,
    UnreadableAmount,
    read_amount,
)
from checker.files.sources import source

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_SUFFIXES: Final[tuple[tuple[str, Dimension, str], ...]] = (
    ("_kg_per_m3", DENSITY, ""), ("_m3_per_s", FLOW, ""), ("_m_per_s", SPEED, ""),
    ("_in_per_h", SPEED, "in/h"), ("_per_s", PER_TIME, ""), ("_degrees", RATIO, "degrees"),
    ("_years", RATIO, "years"), ("_coefficient_si", RATIO, "metric"),
    ("_coefficient", RATIO, ""), ("_fraction", RATIO, ""), ("_ratio", RATIO, ""),
    ("_number", RATIO, ""), ("_count", RATIO, ""), ("_factor", RATIO, ""), ("_share", RATIO, ""),
    ("_run", RATIO, ""), ("_kg", MASS, ""), ("_m3", VOLUME, ""), ("_m2", AREA, ""),
    ("_m", LENGTH, ""), ("_s", TIME, ""),
)  # fmt: skip
"""Ends of names with the dimension they stand for; the longer end first."""

_SHOWN: Final[dict[Dimension, tuple[str, ...]]] = {
    LENGTH: ("ft", "in", "m", "mm"),
    AREA: ("sq ft", "m2"),
    VOLUME: ("cu ft", "gal", "m3"),
    TIME: ("min", "h"),
    SPEED: ("in/h", "ft/s", "mm/h", "m/s"),
    FLOW: ("gal/min", "cu ft/s", "L/s"),
    MASS: ("lb", "kg"),
    DENSITY: ("lb/cu ft", "kg/m3"),
    PER_TIME: ("1/s",),
}
_NOT_WORDS: Final = {"checked", "title"}


class AskedAmount(Record, kw_only=True):
    """One thing that a formula asks.

    Attributes:
        name: As typed on the command line.
        key: The argument, or the field of the record that the argument is.
        of: The argument whose record it belongs to; empty for an argument itself.
        dimension: Its dimension.
        unit: Its own unit, where it is no amount of its dimension in SI.
        choices: For what is chosen by name.
        or_amount: An amount does as well as one of the choices.
        is_list: Several amounts, with commas between.
        is_whole: A whole number.
        default: What holds when nothing is typed; None where something must be.
        says: What it is.
        within: The range it must lie in.
    """

    name: str
    key: str
    of: str = ""
    dimension: Dimension = RATIO
    unit: str = ""
    choices: tuple[str, ...] = ()
    or_amount: bool = False
    is_list: bool = False
    is_whole: bool = False
    default: object = None
    has_default: bool = False
    says: str = ""
    within: str = ""


class Calculation(Record, kw_only=True):
    """A formula that can be reckoned by hand.

    Attributes:
        name: As typed on the command line.
        formula: Its entry in the register.
        says: What it gives, in a line.
        asked: What it asks, in order.
        records: The kind of record of each argument that is one.
    """

    name: str
    formula: Formula
    says: str
    asked: tuple[AskedAmount, ...]
    records: dict[str, Any]


def _import_all() -> None:
    for package in (checker.water, checker.courses):
        for module in pkgutil.iter_modules(package.__path__):
            importlib.import_module(f"{package.__name__}.{module.name}")


@cache
def calculations() -> dict[str, Calculation]:
    """Every formula that can be typed in a line, by the name it is typed by."""
    _import_all()
    found = {}
    for entry in FORMULAS.values():
        calculation = _calculation(entry)
        if calculation is not None:
            found[calculation.name] = calculation
    return dict(sorted(found.items()))


def plain_name(name: str) -> str:
    """The name of a function or argument without its unit, as typed: `flow_m3_per_s` is flow."""
    for end, dimension, unit in (("slope_fraction", RATIO, "slope"), *_SUFFIXES):
        if name.endswith(end) and len(name) > len(end) and (unit or dimension != RATIO):
            kept = "slope" if end == "slope_fraction" else ""
            return (name.removesuffix(end) + kept).strip("_").replace("_", "-")
    return {"slope_fraction": "slope"}.get(name, name).replace("_", "-")


def _dimension(name: str) -> tuple[Dimension, str]:
    return next(((dim, unit) for end, dim, unit in _SUFFIXES if name.endswith(end)), (RATIO, ""))


def _calculation(entry: Formula) -> Calculation | None:
    function = inspect.unwrap(entry.function)
    text = inspect.getdoc(function) or ""
    asked: list[AskedAmount] = []
    records: dict[str, Any] = {}
    for parameter in inspect.signature(function).parameters.values():
        if parameter.name in _NOT_WORDS:
            continue
        kind = _kind(str(parameter.annotation), function.__globals__)
        several = re.fullmatch(r"Sequence\[(\w+)\]", str(parameter.annotation))
        if several is not None and several[1] != "float":
            kind = function.__globals__.get(several[1])
        if inspect.isclass(kind) and issubclass(kind, Record):
            fields = _fields(kind, parameter.name, are_many=several is not None)
            if fields is None:
                return None
            records[parameter.name] = kind
            taken = {one.name for one in asked}
            asked += [
                replace(one, name=f"{parameter.name}-{one.name}") if one.name in taken else one
                for one in fields
            ]
            continue
        one = _asked(parameter.name, kind, text, parameter.default)
        if one is None:
            return None
        within = entry.valid.get(parameter.name)
        asked.append(one if within is None else replace(one, within=_range_words(one, within)))
    return Calculation(
        name=plain_name(entry.name),
        formula=entry,
        says=" ".join(text.partition("\n\n")[0].split()),
        asked=tuple(asked),
        records=records,
    )


def _range_words(one: AskedAmount, within: Range) -> str:
    """The range in the unit in which the amount is asked."""
    unit = one.unit or next(iter(_SHOWN.get(one.dimension, ("",))))
    size = UNIT[unit].size_si if unit in UNIT and not one.unit else 1.0
    shown = replace(within, low=within.low / size, high=within.high / size)
    return f"{shown} {unit}".strip()


def _kind(annotation: str, known: dict[str, Any]) -> Any:  # noqa: ANN401 - a type, or its text
    if annotation in {"float", "int", "bool", "float | None", "Sequence[float]"}:
        return annotation
    if annotation.startswith("Literal"):
        return tuple(re.findall(r"""["']([^"']+)["']""", annotation))
    return known.get(annotation)


def _asked(name: str, kind: Any, text: str, default: object) -> AskedAmount | None:  # noqa: ANN401
    has_default = default is not inspect.Parameter.empty
    choices: tuple[str, ...] = ()
    if isinstance(kind, tuple):
        choices = kind
    elif get_origin(kind) is Literal:
        choices = tuple(str(choice) for choice in get_args(kind))
    elif get_origin(kind) in {Union, UnionType}:
        choices = tuple(str(choice) for part in get_args(kind) for choice in get_args(part))
    elif kind == "bool":
        choices = ("yes", "no")
    elif not isinstance(kind, str):
        return None
    dimension, unit = _dimension(name)
    or_amount = get_origin(kind) in {Union, UnionType}
    if or_amount and dimension == RATIO:
        dimension = LENGTH
    return AskedAmount(
        name=plain_name(name),
        key=name,
        dimension=dimension,
        unit=unit,
        choices=choices,
        or_amount=or_amount,
        is_list=kind == "Sequence[float]",
        is_whole=kind == "int",
        default=default if has_default else None,
        has_default=has_default,
        says=_described(name, text),
    )


def _fields(kind: type[Record], of: str, *, are_many: bool) -> list[AskedAmount] | None:
    text = inspect.getdoc(kind) or ""
    found = []
    for parameter in inspect.signature(kind).parameters.values():
        one = _asked(parameter.name, str(parameter.annotation), text, parameter.default)
        if one is None or str(parameter.annotation) not in {"float", "<class 'float'>"}:
            return None
        found.append(replace(one, of=of, is_list=are_many))
    return found


def _described(name: str, text: str) -> str:
    match = re.search(rf"^ {{4}}{name}: (.*(?:\n {{8}}.*)*)", text, re.MULTILINE)
    return " ".join(match[1].split()) if match else ""


def calculations_text() -> str:
    """Every calculation with what it gives."""
    lines = ["What can be reckoned; 'soakline reckon NAME' says what it asks:", ""]
    for each in calculations().values():
        lines += textwrap.wrap(
            f"{each.name:28} {each.says}", 79, subsequent_indent=" " * 29, break_on_hyphens=False
        )
    return "\n".join(lines)


def reckoned_text(name: str, given: Sequence[str]) -> str:
    """What a calculation asks, when nothing is given; else its result, with source and range.

    Args:
        name: Of the calculation.
        given: Texts like `length=40 ft`.

    Raises:
        BadInput: There is no such calculation, or an amount is missing or cannot be read.
        OutOfRange: The formula has no answer for these amounts together.
    """
    known = calculations()
    if name not in known:
        problem = Problem(Place("soakline reckon"), f"no '{name}'", did_you_mean(name, known))
        raise BadInput("there is no such calculation", [problem])
    calculation = known[name]
    if not given:
        return _question(calculation)
    result = calculation.formula.function(**_arguments(calculation, given))
    lines = [*textwrap.wrap(calculation.says, 79), *(f"  {line}" for line in given), "", "gives"]
    for line in _results(calculation.formula.name, result):
        lines += textwrap.wrap(line, 79, initial_indent="  ", subsequent_indent="      ")
    return "\n".join([*lines, "", *_cited(calculation.formula)])


def _cited(formula: Formula) -> list[str]:
    found = source(formula.source)
    text = f"Source: {found.document}, {formula.section}. Reading: {found.reading}."
    return [*textwrap.wrap(text, 79), "To be confirmed by a licensed engineer where it decides."]


def _question(calculation: Calculation) -> str:
    lines = [*textwrap.wrap(calculation.says, 79), ""]
    for one in calculation.asked:
        what = "/".join((*one.choices, *([_unit_words(one)] if one.or_amount else ())))
        what = what or _unit_words(one)
        usual = f", {one.default} when not said" if one.has_default else ""
        within = f", {one.within}" if one.within else ""
        text = f"{one.name}={what}{usual}{within}. {one.says}".rstrip()
        lines += textwrap.wrap(text, 79, initial_indent="  ", subsequent_indent="      ")
    return "\n".join([*lines, "", *_cited(calculation.formula)])


def _unit_words(one: AskedAmount) -> str:
    unit = one.unit or next(iter(_SHOWN.get(one.dimension, ("",))))
    words = f"NUMBER {unit}".strip() if unit else "NUMBER"
    return f"{words}, {words}, ..." if one.is_list else words


def _arguments(calculation: Calculation, given: Sequence[str]) -> dict[str, Any]:
    asked = {one.name: one for one in calculation.asked}
    place = Place(f"soakline reckon {calculation.name}")
    problems = []
    values: dict[str, Any] = {}
    for text in given:
        name, sign, typed = text.partition("=")
        one = asked.get(name.strip())
        if one is None or not sign:
            says = f"'{text}' is none of what it asks"
            problems.append(Problem(place, says, did_you_mean(name.strip(), asked)))
            continue
        try:
            values[one.name] = _value(one, typed.strip())
            within = calculation.formula.valid.get(one.key)
            if not one.of and within is not None and not within.holds(values[one.name]):
                says = f"{name.strip()} is {typed.strip()}, outside {one.within}"
                problems.append(Problem(place, says, "keep to the range that its source gives"))
        except (UnreadableAmount, ValueError) as error:
            problems.append(Problem(place, f"{name.strip()}: {error}"))
    problems += [
        Problem(place, f"'{one.name}' is not given", f"write {one.name}={_unit_words(one)}")
        for one in asked.values()
        if not one.has_default
        and one.name not in {text.partition("=")[0].strip() for text in given}
    ]
    counts = {len(value) for value in values.values() if isinstance(value, list)}
    if len(counts) > 1:
        problems.append(Problem(place, "its lists differ in length", "give each as many values"))
    if problems:
        raise BadInput("this cannot be reckoned", problems)
    found: dict[str, Any] = {
        one.key: values[name] for name, one in asked.items() if name in values and not one.of
    }
    for argument, kind in calculation.records.items():
        parts = {o.key: values[n] for n, o in asked.items() if o.of == argument and n in values}
        if any(isinstance(part, list) for part in parts.values()):
            found[argument] = [
                kind(**dict(zip(parts, row, strict=True)))
                for row in zip(*parts.values(), strict=True)
            ]
        else:
            found[argument] = kind(**parts)
    return found


def _value(one: AskedAmount, typed: str) -> object:
    if one.choices and (typed in one.choices or not one.or_amount):
        if typed not in one.choices:
            raise ValueError(f"'{typed}' is none of {', '.join(one.choices)}")
        return typed == "yes" if one.choices == ("yes", "no") else typed
    if one.is_list:
        return [_number(one, part.strip()) for part in typed.split(",")]
    number = _number(one, typed)
    return round(number) if one.is_whole else number


def _number(one: AskedAmount, typed: str) -> float:
    if one.unit and one.unit not in UNIT and typed.endswith(one.unit):
        typed = typed.removesuffix(one.unit).strip()
    read = read_amount(typed, one.dimension)
    is_own = one.unit != "" and one.unit in UNIT
    return read.to(one.unit) if is_own else read.value_si


def _results(name: str, result: object) -> Iterator[str]:
    if isinstance(result, Record):
        names = [key for key in dir(result) if _has_unit(key)]
        for key in names:
            value = getattr(result, key)
            yield f"{plain_name(key)}: {'; '.join(_results(key, value))}"
    elif isinstance(result, tuple | list):
        for each in result:
            yield ", ".join(_results(name, each))
    else:
        assert isinstance(result, int | float)
        dimension, _ = _dimension(name)
        units = _SHOWN.get(dimension, ())
        found = Amount(float(result), dimension)
        yield " = ".join(f"{found.to(unit):.4g} {unit}" for unit in units) or f"{result:.4g}"


def _has_unit(name: str) -> bool:
    return not name.startswith("_") and any(name.endswith(end) for end, _, _ in _SUFFIXES)
