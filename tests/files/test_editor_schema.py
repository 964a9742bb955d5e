"""The JSON Schema that editors use: shipped files fit it, broken ones do not, no head is lost."""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any, Final

import jsonschema
import pytest

from checker import api
from checker.algebra.parse import CONDITION_HEADS
from checker.algebra.parse_keys import DATE_ORDERS, ORDERS
from checker.algebra.parse_numbers import NUMBER_HEADS
from checker.core.problems import BadInput
from checker.files import grammar
from checker.files.compile import SHAPES
from checker.files.editor_schema import editor_schema
from checker.files.library import library_document, rules_folder
from checker.files.source import read_document
from checker.findings.model import STATUSES

RULESETS: Final = {**api.models(), **api.places()}
SAMPLES: Final = sorted((Path(__file__).parents[2] / "samples").glob("*/site.yaml"))
TABLES: Final = sorted((rules_folder() / "tables").glob("*.yaml"))
SOURCES: Final = sorted((rules_folder() / "sources").glob("*.yaml"))


@cache
def validator(kind: str) -> Any:
    schema = api.json_schema(kind)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def faults(kind: str, data: Any) -> list[str]:
    return [f"{list(e.absolute_path)}: {e.message}" for e in validator(kind).iter_errors(data)]


@pytest.mark.parametrize("name", list(RULESETS))
def test_shipped_rule_set_fits(name: str) -> None:
    assert faults("ruleset", library_document(RULESETS[name]).data) == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.parent.name)
def test_sample_fits(path: Path) -> None:
    assert faults("site", read_document(path).data) == []


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_table_fits(path: Path) -> None:
    assert faults("table", read_document(path).data) == []


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.stem)
def test_sources_fit(path: Path) -> None:
    assert faults("sources", read_document(path).data) == []


TOWN: Final[dict[str, Any]] = {
    "format": "ruleset/1",
    "id": "town",
    "title": "Town",
    "kind": "invented",
    "in_force": {"since": "2024-01-01"},
    "sources": [{"key": "code", "document": "Code", "edition": "1", "reading": "invented"}],
    "counts": {
        "cover": {
            "title": "cover",
            "otherwise": "cannot tell",
            "rows": [
                {"where": {"nature": "sealed", "gap": {"at_least": "1/4 in"}}, "weight": 1},
                {"where": {"none_of": [{"covered": "yes"}]}, "weight": "50 %"},
            ],
        }
    },
    "rules": [
        {
            "id": "limit",
            "title": "Limit",
            "cite": {"source": "code", "section": "1"},
            "applies": {"fact": "zone", "is": "R-1"},
            "require": {"measure": "cover", "at_most": {"percent": 45, "of": "lot_area"}},
            "examples": [
                {
                    "name": "one",
                    "source": "hand",
                    "given": {"lot_area": "1 m2"},
                    "expect": {"status": "passes"},
                }
            ],
        }
    ],
}

BROKEN: Final[dict[str, tuple[tuple[str | int, ...], Any]]] = {
    "a rule without what it requires": (("rules", 0, "require"), None),
    "a misspelt order": (("rules", 0, "require"), {"measure": "cover", "at_mots": 1}),
    "nothing to compare with": (("rules", 0, "require"), {"measure": "cover"}),
    "two heads": (("rules", 0, "require"), {"measure": "cover", "value": 1, "at_most": 1}),
    "a condition as text": (("rules", 0, "applies"), "R-1 only"),
    "two things said of a fact": (("rules", 0, "applies"), {"fact": "z", "is": "a", "one_of": []}),
    "an empty list of parts": (("rules", 0, "require"), {"all": []}),
    "a misspelt key of a number": (
        ("rules", 0, "require", "at_most"),
        {"percent": 45, "off": "lot_area"},
    ),
    "brackets without their number": (
        ("rules", 0, "require", "at_most"),
        {"brackets": [{"percent": 30}]},
    ),
    "a ratio of three": (("rules", 0, "require", "at_most"), {"ratio": [1, 2, 3]}),
    "a way to round": (
        ("rules", 0, "require", "at_most"),
        {"rounded": 1, "to": 1, "way": "upwards"},
    ),
    "a name with a hyphen": (("rules", 0, "require", "measure"), "lot-area"),
    "an id with an underscore": (("id",), "bad_town"),
    "an attribute with a hyphen": (("counts", "cover", "rows", 0, "where"), {"cov-ered": "yes"}),
    "a misspelt order of an attribute": (
        ("counts", "cover", "rows", 0, "where"),
        {"gap": {"atleast": "1/4 in"}},
    ),
    "a row without a weight": (("counts", "cover", "rows", 0), {"where": {"nature": "open"}}),
    "a row with weight and rows": (
        ("counts", "cover", "rows", 0),
        {"weight": 1, "rows_of": "other"},
    ),
    "an unknown status": (("rules", 0, "examples", 0, "expect"), {"status": "pass"}),
    "an example that expects nothing": (("rules", 0, "examples", 0, "expect"), {}),
    "an unknown key of a rule": (("rules", 0, "requires"), {}),
    "an unknown kind": (("kind",), "draft"),
}


def test_the_town_fits_before_it_is_broken() -> None:
    assert faults("ruleset", TOWN) == []


@pytest.mark.parametrize("what", list(BROKEN))
def test_broken_rule_set_does_not_fit(what: str) -> None:
    path, value = BROKEN[what]
    town = copy.deepcopy(TOWN)
    here: Any = town
    for part in path[:-1]:
        here = here[part]
    if value is None:
        del here[path[-1]]
    else:
        here[path[-1]] = value
    assert faults("ruleset", town)


def test_heads_are_those_of_the_parser() -> None:
    assert set(grammar.number_heads()) == set(NUMBER_HEADS)
    assert set(grammar.condition_heads()) == set(CONDITION_HEADS)
    for heads, known in (
        (grammar.number_heads(), NUMBER_HEADS),
        (grammar.condition_heads(), CONDITION_HEADS),
    ):
        for head, group in heads.items():
            assert set(group["properties"]) == {head, *known[head]}, head


def test_words_are_those_of_the_program() -> None:
    assert set(grammar.ORDERS) == set(ORDERS)
    assert set(grammar.DAYS) == set(DATE_ORDERS)
    assert set(grammar.STATUSES) == set(STATUSES)


def test_every_kind_has_a_schema() -> None:
    for kind in SHAPES:
        jsonschema.Draft202012Validator.check_schema(editor_schema(kind))


def test_unknown_kind_is_told() -> None:
    with pytest.raises(BadInput, match="there is no kind of file 'rules'"):
        api.json_schema("rules")
