"""Every file of the project is plain YAML: other readers understand it as ours does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml  # noqa: TID251 - another reader is what this tries
from ruamel.yaml import YAML

from checker.files.source import read_document

FILES = sorted(
    path
    for folder in ("jurisdictions", "rules", "samples")
    for path in Path(folder).rglob("*.yaml")
)


def leaves(data: object, path: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], Any]:
    if isinstance(data, dict):
        items: Any = [(str(key), value) for key, value in data.items()]
    elif isinstance(data, list):
        items = list(enumerate(data))
    else:
        return {path: data}
    return {at: leaf for key, value in items for at, leaf in leaves(value, (*path, key)).items()}


@pytest.mark.parametrize("path", FILES, ids=str)
def test_the_parser_of_pyyaml_reads_the_same_texts(path: Path) -> None:
    # In Python alone, not libyaml; the loader that leaves every scalar the text that it is.
    theirs = leaves(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader))
    ours = leaves(read_document(path).data)
    assert theirs.keys() == ours.keys()
    texts = {at: text for at, text in ours.items() if isinstance(text, str)}
    assert texts
    assert {at: theirs[at] for at in texts} == texts


@pytest.mark.parametrize("path", FILES, ids=str)
def test_a_reader_of_yaml_1_2_reads_it(path: Path) -> None:
    theirs = YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))
    assert leaves(theirs).keys() == leaves(read_document(path).data).keys()
