"""The blocks of the guide for site files: the file grows, and checks after each of them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.files.plain import plain_text
from checker.files.site_shape import SiteShape
from checker.files.source import read_text
from checker.site.read import site_of

GUIDE = Path("samples/SITE-FILES.md")
BLOCKS = re.findall(r"^```yaml\n(.*?)^```", GUIDE.read_text(encoding="utf-8"), re.M | re.S)


def merged(base: dict[str, Any], more: dict[str, Any]) -> dict[str, Any]:
    found = dict(base)
    for key, value in more.items():
        if isinstance(value, list):
            found[key] = [*found.get(key, []), *value]
        elif isinstance(value, dict) and isinstance(found.get(key), dict):
            found[key] = merged(found[key], value)
        else:
            found[key] = value
    return found


@pytest.mark.parametrize("count", range(1, len(BLOCKS) + 1))
def test_the_file_checks_after_each_block(count: int) -> None:
    data: dict[str, Any] = {}
    for block in BLOCKS[:count]:
        data = merged(data, read_text(block, "guide.yaml").data)
    site = site_of(read_text(plain_text(data), "guide.yaml"), Path("samples/guide.yaml"))
    checked = api.check(site, api.load_ruleset_for(site))
    assert checked.verdict.findings


def test_the_shed_stands_where_the_guide_says() -> None:
    """5 ft off line 2 (x = 80) and 10 ft off line 3 (y = 125); 8 along the line, 10 deep."""
    data: dict[str, Any] = {}
    for block in BLOCKS[:4]:
        data = merged(data, read_text(block, "guide.yaml").data)
    site = site_of(read_text(plain_text(data), "guide.yaml"), Path("samples/guide.yaml"))
    bounds = [round(number / 0.3048, 6) for number in site.surface("shed").shape.bounds]
    assert bounds == [65.0, 107.0, 75.0, 115.0]


def test_it_names_every_key_of_the_file() -> None:
    text = GUIDE.read_text(encoding="utf-8")
    own = {"date", "shown_in", "north", "readings", "project", "costs", "goal", "drawing"}
    missing = [key for key in SiteShape.__annotations__ if key not in own and f"{key}:" not in text]
    assert missing == []
