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
from checker.core.units import UNITS, UnreadableAmount, read_amount
from checker.files import grammar
from checker.files.compile import SHAPES
from checker.files.editor_line import schema_name
from checker.files.editor_schema import editor_schema
from checker.files.editor_words import amount_definitions, amount_schema
from checker.files.library import library_document, rules_folder
from checker.files.source import read_document
from checker.findings.editor_names import SHIPPED, schema_text
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


SLIPS: Final[dict[str, tuple[str, tuple[str | int, ...], Any]]] = {
    "a unit": ("ruleset", ("rules", 0, "require", "at_most"), "4500 sq feets"),
    "a material": ("ruleset", ("counts", "cover", "rows", 0, "where"), {"material": "wood-dek"}),
    "one material of two": (
        "ruleset",
        ("counts", "cover", "rows", 0, "where"),
        {"material": ["lawn", "wod"]},
    ),
    "a nature": ("ruleset", ("counts", "cover", "rows", 0, "where"), {"nature": "hard"}),
    "a purpose": ("ruleset", ("counts", "cover", "rows", 0, "where"), {"purpose": "pooldeck"}),
    "a length by its unit": (
        "ruleset",
        ("counts", "cover", "rows", 0, "where"),
        {"gap": {"at_least": "1/4 sq ft"}},
    ),
    "yes or no": ("ruleset", ("counts", "cover", "rows", 0, "where"), {"covered": "maybe"}),
    "a material of an example": (
        "ruleset",
        ("rules", 0, "examples", 0, "given"),
        {"surfaces": [{"material": "rof"}]},
    ),
}


@pytest.mark.parametrize("what", list(SLIPS))
def test_a_slip_of_a_word_or_unit_does_not_fit(what: str) -> None:
    kind, path, value = SLIPS[what]
    town = copy.deepcopy(TOWN)
    here: Any = town
    for part in path[:-1]:
        here = here[part]
    here[path[-1]] = value
    assert faults(kind, town)


SITE: Final[dict[str, Any]] = {
    "format": "site/1", "title": "Lot", "place": "osier-bend", "units": "ft",
    "facts": {"zone": "R-1"}, "readings": {"lot-area-of": "whole"},
    "surfaces": [
        {
            "id": "deck", "material": "wood-deck",
            "shape": {"rectangle": {"corner": [0, 0], "size": [1, 2]}},
            "attributes": {"gap": "1/4 in", "purpose": "patio", "sanded": "no"},
        }
    ],
}  # fmt: skip
SITE_SLIPS: Final[dict[str, tuple[tuple[str | int, ...], Any, bool]]] = {
    "a material": (("surfaces", 0, "material"), "wood-dek", False),
    "a purpose": (("surfaces", 0, "attributes", "purpose"), "terrace", False),
    "a unit": (("surfaces", 0, "attributes", "gap"), "1/4 inchs", False),
    "a unit of another kind": (("surfaces", 0, "attributes", "gap"), "1/4 sq ft", False),
    "a key of a part": (("ways_out",), {"inlet": []}, False),
    "a fact of the place": (("facts", "zoning"), "R-1", True),
    "an answer of a fact": (("facts", "zone"), "R-9", True),
    "a reading": (("readings", "lot-area-of"), "all", True),
    "an attribute of the place": (("surfaces", 0, "attributes", "sandy"), "no", True),
}


@pytest.mark.parametrize("what", list(SITE_SLIPS))
def test_a_slip_in_a_site_does_not_fit(what: str) -> None:
    path, value, needs_place = SITE_SLIPS[what]
    site = copy.deepcopy(SITE)
    here: Any = site
    for part in path[:-1]:
        here = here[part]
    here[path[-1]] = value
    of_place = of("site", "osier-bend")
    assert list(of_place.iter_errors(SITE)) == []
    assert faults("site", SITE) == []
    assert list(of_place.iter_errors(site))
    assert bool(faults("site", site)) is not needs_place


@cache
def of(kind: str, place: str) -> Any:
    schema = api.json_schema(kind, api.load_ruleset(place))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("name", ["alder-ferry", "osier-bend", "reed-mere", "weston-florida"])
def test_a_file_fits_the_schema_of_its_own_names(name: str) -> None:
    data = copy.deepcopy(library_document(RULESETS[name]).data)
    assert [error.message for error in of("ruleset", name).iter_errors(data)] == []
    data["rules"][0]["require"] = {"measure": "lot_aria", "at_most": "1 sq ft"}
    assert list(of("ruleset", name).iter_errors(data))


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        ("5,000 sq ft", True), ("1/4 in", True), ("2-3/8 in", True), ("3 ft 6 in", True),
        ("3'-6\"", True), ("1:48", True), ("45 %", True), ("$1,200.50", True), (".5 m2", True),
        ("0.5 $/sq ft", True), ("12 CAD", True), ("1.2 in/h", True), ("1/4 in per ft", True),
        ("7 SQ FT", True),
        ("5 sqq ft", False), ("ft 5", False), ("5 ft ft", False), ("4x", False), ("$", False),
    ],
)  # fmt: skip
def test_amounts_that_editors_take_are_those_that_the_program_reads(text: str, fits: bool) -> None:
    schema = {"$ref": "#/$defs/amount", "$defs": amount_definitions()}
    assert jsonschema.Draft202012Validator(schema).is_valid(text) is fits
    assert reads(text) is fits


def reads(text: str) -> bool:
    try:
        read_amount(text)
    except UnreadableAmount:
        return False
    return True


def test_every_spelling_of_a_unit_is_taken() -> None:
    validator_ = jsonschema.Draft202012Validator(
        {"$ref": "#/$defs/amount", "$defs": amount_definitions()}
    )
    for unit in UNITS:
        for spelling in (unit.name, *unit.spellings):
            assert validator_.is_valid(f"12 {spelling}"), spelling
            own = jsonschema.Draft202012Validator(amount_schema(unit.dimension))
            assert own.is_valid(f"1/2 {spelling}".strip()), spelling


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


@pytest.mark.parametrize("kind", SHIPPED)
def test_schemas_that_come_along_are_current(kind: str) -> None:
    """After a change of a shape or word: `python -m checker.findings.handbook`."""
    path = rules_folder() / "schemas" / schema_name(kind)
    assert path.read_text(encoding="utf-8") == schema_text(kind)


ROOT: Final = Path(__file__).parents[2]
FILES: Final = sorted(
    path
    for folder in ("jurisdictions", "rules", "samples")
    for path in (ROOT / folder).rglob("*.yaml")
    if any(f"\nformat: {kind}/1" in path.read_text(encoding="utf-8") for kind in SHIPPED)
)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_each_file_names_the_schema_of_its_kind(path: Path) -> None:
    line, rest = path.read_text(encoding="utf-8").split("\n", 1)
    assert line.startswith("# yaml-language-server: $schema=")
    schema = (path.parent / line.partition("=")[2]).resolve()
    assert schema.parent == (rules_folder() / "schemas").resolve()
    kind = schema.name.removesuffix(".schema.json")
    assert schema.is_file()
    assert f"format: {kind}/1" in rest


def test_a_schema_is_written_over_its_own_kind_alone(tmp_path: Path) -> None:
    file = tmp_path / "site.schema.json"
    api.write_schema("site", file)
    api.write_schema("site", file, api.load_ruleset("osier-bend"))
    assert "lot-area-of" in file.read_text(encoding="utf-8")
    file.write_text("{}", encoding="utf-8")
    with pytest.raises(BadInput, match="is there already"):
        api.write_schema("site", file)


def test_files_that_are_begun_name_the_schema_beside_them(tmp_path: Path) -> None:
    site, _ = api.new_site(tmp_path / "lot.yaml")
    answers = {
        "title": "Town", "document": "Code", "edition": "1", "section": "1",
        "since": "2024-01-01", "reading": "invented", "units": "us",
    }  # fmt: skip
    made = api.begin_ruleset(answers, "town")
    line = "# yaml-language-server: $schema={}.schema.json\n"
    assert site.read_text(encoding="utf-8").startswith(line.format("site"))
    assert made.text.startswith(line.format("ruleset"))


def test_saves_are_seen(tmp_path: Path) -> None:
    file = tmp_path / "town.yaml"
    file.write_text("a: 1\n", encoding="utf-8")
    looks: list[int] = []

    def pause() -> None:
        looks.append(1)
        if len(looks) == 3:
            file.write_text("a: 22\n", encoding="utf-8")

    saves = api.saves_of([str(file)], pause)
    next(saves)
    next(saves)
    assert len(looks) == 3
