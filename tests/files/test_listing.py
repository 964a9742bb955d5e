"""The list of rule sets, read from the heads of their files alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files.library import jurisdictions_folder, listed, rules_folder
from checker.files.listing import listing
from checker.files.source import head_of, read_document

FILES = {**listed(jurisdictions_folder()), **listed(rules_folder() / "models")}
KEYS = frozenset({"title", "kind"})


@pytest.mark.parametrize("name", FILES)
def test_a_head_says_what_the_whole_file_says(name: str) -> None:
    whole = read_document(FILES[name]).data
    assert head_of(FILES[name], KEYS) == {key: whole[key] for key in KEYS}


def test_every_rule_set_is_listed_once_within_eighty_columns() -> None:
    lines = listing().splitlines()
    names = [line.split()[0] for line in lines if line.startswith("  ") and line[2] != " "]
    assert sorted(names) == sorted(FILES)
    assert max(map(len, lines)) <= 80


def test_keys_below_the_top_and_lists_are_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: {title: no}\nb: [title, kind]\ntitle: yes it is\nkind: [x]\nc: kind\n")
    assert head_of(path, KEYS) == {"title": "yes it is"}


def test_a_damaged_file_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: [\n")
    with pytest.raises(BadInput, match=r"a\.yaml"):
        head_of(path, KEYS)
