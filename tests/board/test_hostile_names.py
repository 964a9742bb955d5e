"""Names that are markup, script, turned about, endless or empty: texts on the page, and no more."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any, Final

import pytest

from checker.files.plain import plain_text
from checker.files.source import read_text
from tests.board.driving import SAMPLES, entered, expect, served_here

NAMES: Final = (
    '<img src=x onerror="window.hit=1">',
    "</svg></select><script>window.hit=1</script>",
    "\"'><button onclick=window.hit=1>Save</button>",
    "`${window.hit=1}` {{7*7}} {% raw %} %s %00 \\u0000 &#0; &lt;b&gt;",
    "javascript:window.hit=1",
    "\u202eecarret\u202c \u2066left\u2069 \u200f\u200e",
    "W" * 10_000,
    "no-break " * 1_200,
    "\U0001f3ca\U0001f3fd\u200d\u2640\ufe0f" * 400,
    "a\u0301\u0302\u0303" * 900,
    "constructor __proto__ toString",
)
SCREENS: Final[dict[str, dict[str, Any]]] = {
    "wide": {"viewport": {"width": 1280, "height": 800}},
    "narrow": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
}
COUNTED: Final = """() => [...document.querySelectorAll("img, script, iframe, b, object")]
  .filter((node) => !["static/main.js"].includes(node.getAttribute("src"))).length"""
ASIDE: Final = """() => {
  const wide = document.documentElement.scrollWidth - innerWidth;
  const plan = document.getElementById("plan").getBoundingClientRect();
  return [wide, plan.right - innerWidth];
}"""


def hostile(folder: Path) -> Path:
    """Fernhollow with such a name for all that can have one, under a name that is odd too."""
    shutil.copytree(SAMPLES / "fernhollow-before", folder / "lot")
    data = read_text((folder / "lot" / "site.yaml").read_text(encoding="utf-8"), "site").data
    data["title"] = NAMES[0] + NAMES[6]
    for number, entry in enumerate(data["surfaces"]):
        entry["title"] = NAMES[number % len(NAMES)]
    del data["none_found"]
    data["features"] = [
        {"id": f"thing-{number}", "kind": "tree", "title": name, "shape": {"at": [number * 5, 5]}}
        for number, name in enumerate(NAMES)
    ]
    box = {"rectangle": {"corner": [2, 2], "size": [8, 8]}}
    data["regions"] = [
        {"id": f"land-{number}", "kind": "easement", "title": name, "shape": box}
        for number, name in enumerate(NAMES)
    ]
    data["sections"] = {"bed": {"title": NAMES[1], "kind": "permeable", "courses": []}}
    data["ways_out"] = {
        "inlets": [{"id": "drain", "title": NAMES[2], "kind": "area-drain", "at": [9, 9]}]
    }
    own = (SAMPLES.parent / "jurisdictions" / "alder-ferry.yaml").read_text(encoding="utf-8")
    title = next(line for line in own.splitlines() if line.startswith("title:"))
    odd = "title: " + json.dumps(NAMES[1] + NAMES[7])
    (folder / "lot" / "own-rules.yaml").write_text(own.replace(title, odd), "utf-8")
    data["place"] = "own-rules.yaml"
    path = folder / "lot" / "<b onclick=hit=1>'lot' & \"co\".yaml"
    path.write_text(plain_text(data), encoding="utf-8")
    return path


@pytest.mark.parametrize("screen", SCREENS)
def test_a_hostile_name_is_a_text_and_stays_in_its_place(
    browser: Any, tmp_path: Path, screen: str
) -> None:
    path = hostile(tmp_path)
    with served_here(path) as command:
        page = entered(browser, command, **SCREENS[screen])
        page.locator("#outline-body button").first.wait_for()
        assert page.evaluate(COUNTED) == 0

        def is_whole(state: str) -> None:
            found = page.evaluate(ASIDE)
            assert max(found) <= 0, (state, found)
            assert page.evaluate("window.hit") is None, state

        is_whole("plan")
        expect(page.locator("#outline-body")).to_contain_text('<img src=x onerror="window.hit=1">')
        for number in range(len(NAMES)):
            page.locator("#outline-body button").nth(number).click()
            page.locator("#field-title").wait_for()
            is_whole(f"surface {number}")
        for number in range(2 * len(NAMES)):
            page.locator("#outline-body button").nth(12 + number).click()
            page.locator("#field-kind").wait_for()
            is_whole(f"thing {number}")
        for room, until in (("Try materials", "#tried-form *"), ("Variants", "#variants input"),
                            ("Permit packet", "#packet *"), ("Drainage", "#parts *"),
                            ("Sections", "#part-section-kind")):  # fmt: skip
            page.get_by_role("button", name=room, exact=True).first.click()
            page.locator(until).first.wait_for()
            is_whole(room)
        assert [text for text in page.wrong if "422" not in text] == []
        page.context.close()
