"""Every faulty rule set against the whole message it must give, and mutated ones."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from random import Random
from typing import Any, Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.files.library import library_document
from checker.files.source import read_text
from checker.findings.examples import try_examples
from checker.measure.words import built_in
from checker.rulesets.english import describe
from checker.rulesets.read import read_ruleset
from tests.findings.rulesets import refuse_model

FOLDER: Final = Path(__file__).parent / "bad" / "rules"
FILES: Final = sorted(path.name for path in FOLDER.glob("*.yaml"))


@pytest.mark.parametrize("name", FILES)
def test_message_is_whole(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    expected = (FOLDER / name).with_suffix(".expected.txt").read_text(encoding="utf-8")
    assert said_of(name) + "\n" == expected


def said_of(name: str) -> str:
    """The message of a file that cannot be read, or those of its examples."""
    try:
        tried = api.try_examples(api.load_ruleset(name))
    except BadInput as bad:
        return str(bad)
    told = [problem for item in tried for problem in item.problems]
    return "\n".join([f"{name}: examples cannot be read", *sorted({f"  {one}" for one in told})])


def test_every_expectation_has_its_file() -> None:
    expected = {path.name.removesuffix(".expected.txt") for path in FOLDER.glob("*.expected.txt")}
    assert expected == {name.removesuffix(".yaml") for name in FILES}
    assert len(FILES) >= 25


VALUES: Final[tuple[Any, ...]] = (
    None, True, -1, 0, 1e308, "", "x", "lot_area", "5 sq ft", "5 ft", "cannot tell", "yes", "%",
    "1985-12-01", [], {}, ["a"], {"measure": "lot_area"}, {"sum": []}, {"percent": "x", "of": 1},
    {"by_reading": "zz"}, {"tiers": []}, {"choose": []}, {"all": []}, {"at_least": "1 in"},
    {"surfaces": [{"material": "roof", "size": [1, 2]}]}, 12345678901234567890, "\u00e9", "a" * 100,
)  # fmt: skip
KEYS: Final = ("is", "value", "sum", "percent", "of", "at_mots", "where", "measure", "not", "x_y")
MUTATED: Final = (
    "alder-ferry", "beverly-hills-california", "mill-weir", "okeechobee-county-florida",
    "reed-shire", "sallow-cove", "south-weber-utah", "tarn-end",
)  # fmt: skip


def paths(data: Any, above: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = data.items() if isinstance(data, dict) else enumerate(data)
    found: list[tuple[Any, ...]] = []
    for key, value in items:
        found.append((*above, key))
        if isinstance(value, dict | list):
            found += paths(value, (*above, key))
    return found


def mutate(data: Any, chance: Random) -> None:
    """Put something else, nothing, another part or another key somewhere."""
    path = chance.choice(paths(data))
    holder = data
    for key in path[:-1]:
        holder = holder[key]
    way = chance.random()
    if way < 0.5:
        holder[path[-1]] = copy.deepcopy(chance.choice(VALUES))
    elif way < 0.7:
        del holder[path[-1]]
    elif way < 0.85 and isinstance(holder, dict):
        holder[chance.choice(KEYS)] = holder.pop(path[-1])
    else:
        other = data
        for key in chance.choice(paths(data)):
            other = other[key]
        holder[path[-1]] = copy.deepcopy(other)


@pytest.mark.parametrize("name", MUTATED)
def test_mutated_rule_sets_give_messages_and_no_traceback(name: str) -> None:
    whole = library_document(api.places()[name]).data
    chance = Random(name)
    refused: list[BadInput] = []
    for _ in range(60):
        data = copy.deepcopy(whole)
        for _ in range(chance.choice((1, 1, 2))):
            mutate(data, chance)
        try:
            document = read_text(json.dumps(data), "mutated.json")
            found = read_ruleset(document, refuse_model, built_in())
            try_examples(found)
            describe(found)
        except BadInput as wrong:
            refused.append(wrong)
    assert all(problem.place.line for wrong in refused for problem in wrong.problems)
    assert len(refused) > 30
