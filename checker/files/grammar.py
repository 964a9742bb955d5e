"""JSON Schema of the rule language, for editors that complete and check while a person types.

The parser of the algebra stays the judge of what a condition or number means, and gives better
messages; these definitions say the same heads and keys in the form that editors read. A test holds
the two together.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record, field
from checker.files.editor_words import (
    DAY,
    SILENT,
    YES_OR_NO,
    Schema,
    given_schema,
    tested_schema,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.core.words import Word

ORDERS: Final = ("at_most", "at_least", "less_than", "more_than", "equal_to")
DAYS: Final = ("before", "on_or_before", "after", "on_or_after")
STATUSES: Final = (
    "passes",
    "passes with conditions",
    "relief possible",
    "fails",
    "cannot tell",
    "unanswered",
    "does not apply",
    "not in force",
)

_ID: Final = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
_NAME: Final = r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$"


class Known(Record, kw_only=True):
    """The names that editors offer, and whether there can be others.

    Attributes:
        lot: Measures, facts, counts and amounts, by name.
        surface: What rules may ask of surfaces, by name.
        given: Of these, the attributes that a site file may give; the drawing tells the others.
        regions: Ids of regions.
        readings: Ids of unclear clauses with their options.
        rules: Ids of rules.
        is_whole: These are all the names of one rule set, so that another one is a mistake; a
            schema for any rule set cannot know what the file itself names.
    """

    lot: Mapping[str, Word] = field(default_factory=dict)
    surface: Mapping[str, Word] = field(default_factory=dict)
    given: Mapping[str, Word] = field(default_factory=dict)
    regions: tuple[str, ...] = ()
    readings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    rules: tuple[str, ...] = ()
    is_whole: bool = False


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _group(needed: Schema, also: Schema | None = None, says: str = "") -> Schema:
    found: Schema = {
        "type": "object",
        "properties": {**needed, **(also or {})},
        "required": list(needed),
        "additionalProperties": False,
    }
    return {"description": says, **found} if says else found


def _list(items: Schema, least: int = 1) -> Schema:
    return {"type": "array", "items": items, "minItems": least}


def _one_of_keys(keys: tuple[str, ...]) -> list[Schema]:
    return [{"required": [key]} for key in keys]


_ORDERED: Final[Schema] = {key: _ref("number") for key in ORDERS}


def number_heads() -> dict[str, Schema]:
    """The group of keys of each head of a number."""
    number, amount = _ref("number"), _ref("amount")
    numbers = _list(number)
    tier = _group({"value": number}, dict.fromkeys(ORDERS[:4], amount))
    return {
        "amount": _group({"amount": amount}, says="an amount"),
        "measure": _group(
            {"measure": _ref("name")},
            {"state": {"enum": ["existing", "proposed"]}, "in": _ref("region")},
            "a measure, in one state of the lot or in a region",
        ),
        "percent": _group({"percent": amount}, {"of": number}, "a share of another number"),
        "sum": _group({"sum": numbers}, says="all added"),
        "difference": _group(
            {
                "difference": _group(
                    {"take": number, "less": numbers}, {"stops_at_zero": _ref("yes_or_no")}
                )
            },
            says="one number less others",
        ),
        "product": _group({"product": numbers}, says="all multiplied"),
        "ratio": _group({"ratio": {**numbers, "minItems": 2, "maxItems": 2}}, says="one divided"),
        "least": _group({"least": numbers}, says="whichever is less"),
        "greatest": _group({"greatest": numbers}, says="whichever is greater"),
        "tiers": _group(
            {"tiers": _list(tier), "by": number}, says="the row that a number falls in decides"
        ),
        "brackets": _group(
            {"brackets": _list(_group({"percent": amount}, {"up_to": amount})), "of": number},
            says="each share counts for its own part only",
        ),
        "points": _group(
            {"points": _list({**_list(amount, 2), "maxItems": 2}), "by": number},
            {"between": {"enum": ["straight line", "lower point", "higher point"]}},
            "a table of points",
        ),
        "limit_of": _group({"limit_of": _ref("rule")}, says="the limit that another rule sets"),
        "choose": _group(
            {"choose": _list(_group({"when": _ref("condition"), "value": number}))},
            {"otherwise": number},
            "the first case that holds",
        ),
        "by_reading": _group(
            {
                "by_reading": _ref("reading"),
                "options": {"type": "object", "additionalProperties": number},
            },
            says="by how an unclear clause is read",
        ),
        "by_date": _group(
            {"by_date": _list(_group({"since": _ref("day"), "value": number}))},
            says="a number that the law changed",
        ),
        "rounded": _group(
            {"rounded": number, "to": amount, "way": {"enum": ["nearest", "up", "down"]}},
            says="a number that the rule rounds",
        ),
    }


def condition_heads() -> dict[str, Schema]:
    """The group of keys of each head of a condition."""
    condition = _ref("condition")
    text = {"type": "string"}
    ordered = {"anyOf": _one_of_keys(ORDERS)}
    return {
        "value": {**_group({"value": _ref("number")}, _ORDERED), **ordered},
        "measure": {
            **_group(
                {"measure": _ref("name")},
                {"state": {"enum": ["existing", "proposed"]}, "in": _ref("region"), **_ORDERED},
            ),
            **ordered,
        },
        "fact": {
            **_group(
                {"fact": _ref("name")},
                {
                    "is": _ref("answer"),
                    "one_of": _list(text),
                    **{key: _ref("day") for key in DAYS},
                },
            ),
            "oneOf": _one_of_keys(("is", "one_of", *DAYS)),
        },
        "all": _group({"all": _list(condition)}, says="every part holds"),
        "any": _group({"any": _list(condition)}, says="at least one part holds"),
        "not": _group({"not": condition}, says="the part does not hold"),
        "on_file": _group({"on_file": text}, says="a document exists"),
        "passes": _group({"passes": _ref("rule")}, says="another rule of the set passes"),
        "for_each": _group(
            {"for_each": _ref("where"), "require": condition},
            says="every surface that fits meets a condition",
        ),
        "by_reading": _group(
            {
                "by_reading": _ref("reading"),
                "options": {"type": "object", "additionalProperties": condition},
            },
            says="by how an unclear clause is read",
        ),
    }


def _one_of(known: Iterable[str], pattern: str, *, is_whole: bool) -> Schema:
    """A name that is offered; where not all are known, any other that looks like one."""
    listed = {"enum": sorted(known)}
    open_: Schema = {"type": "string", "pattern": pattern}
    if is_whole:
        return listed
    return {"anyOf": [listed, open_]} if listed["enum"] else open_


def _selection(known: Known) -> Schema:
    """What `where` may hold: known attributes with values of their kind, and groups."""
    asked = {
        name: tested_schema(word, ORDERS, DAYS)
        for name, word in known.surface.items()
        if name != "inside" or known.is_whole
    }
    groups = {"any_of": _ref("wheres"), "none_of": _ref("wheres")}
    found: Schema = {
        "type": "object",
        "properties": {**asked, **groups},
        "additionalProperties": False,
    }
    if not known.is_whole:
        # A place may declare attributes of its own, which no list here can know.
        taken = "|".join(f"{name}$" for name in sorted({*asked, *groups}))
        found["patternProperties"] = {f"^(?!{taken}){_NAME[1:]}": _ref("tested")}
    return found


def _example_surface(known: Known) -> Schema:
    """A surface of an example: attributes with values of their kind."""
    values = {name: given_schema(word) for name, word in known.surface.items()}
    values |= {"inside": {"type": ["string", "array"]}, "was": values.get("material", {})}
    return {"type": "object", "properties": values}


def definitions(known: Known) -> dict[str, Schema]:
    """The definitions of the rule language, with the names that editors offer."""
    whole = known.is_whole
    names = {*known.lot, *known.surface}
    heads = list(number_heads().values())
    return {
        "id": {"type": "string", "pattern": _ID},
        "region": _one_of(known.regions, _ID, is_whole=whole),
        "reading": _one_of(known.readings, _ID, is_whole=whole),
        "rule": _one_of(known.rules, _ID, is_whole=whole),
        "name": _one_of(names, _NAME, is_whole=whole),
        "day": DAY,
        "yes_or_no": YES_OR_NO,
        "answer": {"type": ["string", "boolean", "array"], "items": {"type": "string"}},
        "reckoned": {"anyOf": [SILENT, _ref("name"), *heads]},
        "number": {"anyOf": [_ref("amount"), _ref("reckoned")]},
        "condition": {"anyOf": list(condition_heads().values())},
        "tested": {
            "anyOf": [
                _ref("answer"),
                {
                    "type": "object",
                    "properties": {**_ORDERED, **{key: _ref("day") for key in DAYS}},
                    "minProperties": 1,
                    "additionalProperties": False,
                },
            ]
        },
        "where": _selection(known),
        "wheres": {"anyOf": [_ref("where"), _list(_ref("where"))]},
        "weight_or_silence": {"anyOf": [_ref("number"), {"const": "cannot tell"}]},
        "expected": {
            "anyOf": [
                _ref("amount"),
                _group(
                    {"amount": _ref("amount")},
                    {
                        "digits": {"const": "as printed"},
                        "rounded": {"enum": ["nearest", "up", "down"]},
                        "within": _ref("amount"),
                    },
                ),
            ]
        },
        "given": {
            "type": "object",
            "properties": {
                "surfaces": {"type": "array", "items": _example_surface(known)},
                "site": {"type": "object"},
                "readings": {"type": ["object", "null"]},
                "on_file": {"type": ["array", "null"], "items": {"type": "string"}},
                "date": _ref("day"),
            },
        },
        "expect": {
            "type": "object",
            "minProperties": 1,
            "properties": {
                "status": {"enum": list(STATUSES)},
                "if_unfavourable": {"enum": list(STATUSES)},
                **{
                    key: _ref("expected")
                    for key in ("measured", "limit", "margin", "counted", "least", "most", "amount")
                },
                "amounts": {"type": "object", "additionalProperties": _ref("expected")},
                "readings": {"type": "object"},
                "owed": {"enum": ["yes", "no", "cannot tell", True, False]},
                "because": {"type": ["string", "array"]},
                "documents": {"type": "array", "items": {"type": "string"}},
            },
            "additionalProperties": False,
        },
    }


POSITIONS: Final[dict[str, dict[str, str]]] = {
    "RuleShape": {"require": "condition", "applies": "condition", "all_given": "given"},
    "ResultShape": {"when": "condition", "is": "number", "all_given": "given"},
    "BandShape": {"require": "condition"},
    "CountRowShape": {
        "where": "where",
        "weight": "weight_or_silence",
        "otherwise": "number",
        "exempt_up_to": "number",
    },
    "CountShape": {"otherwise": "weight_or_silence", "all_given": "given"},
    "AmountRuleShape": {"is": "number"},
    "RegionRuleShape": {"depth": "number"},
    "ExampleShape": {"given": "given", "expect": "expect"},
}
"""Where in the shapes a definition stands that the shape itself leaves open."""

LISTS: Final[dict[str, dict[str, str]]] = {"CountRowShape": {"needs": "condition"}}
"""Likewise for lists: what their items are."""
