"""Every faulty goal and cost table against the whole message it must give."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.core.problems import BadInput

FOLDER: Final = Path(__file__).resolve().parents[1] / "bad" / "solve"
FILES: Final = sorted(path.name for path in FOLDER.glob("*.yaml"))


def search(name: str) -> None:
    site = api.load_site(Path(name))
    api.least_change(api.check(site, api.load_ruleset_for(site)))


@pytest.mark.parametrize("name", FILES)
def test_message_is_whole(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    with pytest.raises(BadInput) as raised:
        search(name)
    expected = (FOLDER / name).with_suffix(".expected.txt").read_text(encoding="utf-8")
    assert str(raised.value) + "\n" == expected


def test_every_expectation_has_its_file() -> None:
    expected = {path.name.removesuffix(".expected.txt") for path in FOLDER.glob("*.expected.txt")}
    assert expected == {name.removesuffix(".yaml") for name in FILES}
    assert len(FILES) >= 30
