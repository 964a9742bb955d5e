"""Access to the page for everybody: WCAG 2.1 AA, as far as a program can tell.

The numbers in names of criteria are those of WCAG 2.1 (W3C Recommendation).
"""

from __future__ import annotations

import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from checker.pages import colours
from checker.papers.writing import reports_of
from tests.report.conftest import BRINE, FERNHOLLOW, SORREL, check_file

VOID = {"meta", "link", "br", "hr", "img", "input", "path", "rect", "circle", "use"}


class Page(HTMLParser):
    """Elements with their attributes and text, in order; refuses tags that do not match."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str], list[str]]] = []
        self.open: list[tuple[str, list[str]]] = []
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        texts: list[str] = []
        self.elements.append((tag, {k: v or "" for k, v in attrs}, texts))
        if tag not in VOID or not self.get_starttag_text().endswith("/>"):  # type: ignore[union-attr]
            if tag in {"meta", "link", "br", "hr", "img", "input"}:
                return
            self.open.append((tag, texts))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {k: v or "" for k, v in attrs}, []))

    def handle_endtag(self, tag: str) -> None:
        name, _ = self.open.pop()
        assert name == tag, f"<{name}> is closed by </{tag}>"

    def handle_data(self, data: str) -> None:
        for _, texts in self.open:
            texts.append(data)

    def all(self, *names: str) -> list[tuple[str, dict[str, str], str]]:
        return [(n, a, "".join(t)) for n, a, t in self.elements if n in names]


@pytest.fixture(
    scope="module", params=[SORREL, BRINE, FERNHOLLOW], ids=["sorrel", "brine", "fernhollow"]
)
def page(request: pytest.FixtureRequest) -> Page:
    path: Path = request.param
    return Page(reports_of(check_file(path))["report.html"])


def test_language_title_and_viewport(page: Page) -> None:
    (_, html, _), = page.all("html")  # fmt: skip
    assert html["lang"] == "en"
    assert any(text.strip() for _, _, text in page.all("title"))
    views = [a["content"] for _, a, _ in page.all("meta") if a.get("name") == "viewport"]
    # 1.4.4: nothing may forbid zooming.
    assert views == ["width=device-width, initial-scale=1"]


def test_one_first_heading_and_no_level_skipped(page: Page) -> None:
    levels = [int(name[1]) for name, _, _ in page.all("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_tables_have_captions_and_headers_with_scope(page: Page) -> None:
    tables = page.all("table")
    assert tables
    assert len(page.all("caption")) == len(tables)
    assert all(text.strip() for _, _, text in page.all("caption"))
    assert len({text for _, _, text in page.all("caption")}) == len(tables)
    assert {a["scope"] for _, a, _ in page.all("th")} == {"col", "row"}
    assert not [a for _, a, _ in page.all("th", "td") if "colspan" in a or "rowspan" in a]


def test_what_scrolls_can_be_reached_by_keyboard_and_has_a_name(page: Page) -> None:
    scrolling = [a for _, a, _ in page.all("div") if a.get("class", "").startswith("wide")]
    assert scrolling
    assert all(a["tabindex"] == "0" and a["aria-label"] for a in scrolling)


def test_the_plan_has_a_name_and_a_long_description(page: Page) -> None:
    plans = [a for _, a, _ in page.all("svg") if "lot-plan-title" in a.get("aria-labelledby", "")]
    assert len(plans) == 1
    assert plans[0]["role"] == "img"
    (_, _, described), = page.all("desc")  # fmt: skip
    assert "A: House, Roof, existing, roof level" in described
    assert "lot" in described


def test_links_lead_somewhere_and_there_is_a_way_past_the_contents(page: Page) -> None:
    ids = [a["id"] for _, a, _ in page.elements if "id" in a]
    assert len(ids) == len(set(ids))
    links = [a["href"] for _, a, _ in page.all("a")]
    assert all(link.startswith("#") and link[1:] in ids for link in links)
    assert links[0] == "#main"


def test_statuses_are_words_beside_signs(page: Page) -> None:
    chips = [text for _, a, text in page.all("span") if a.get("class", "").startswith("chip")]
    assert chips
    assert all(re.search(r"[a-z]{4}", text) for text in chips)


def test_nothing_runs_and_nothing_is_loaded(page: Page) -> None:
    assert not page.all("script", "iframe", "object", "embed", "img", "link", "base", "form")
    for _, attributes, _ in page.elements:
        assert not [name for name in attributes if name.startswith("on") or name == "style"]
        for name in ("src", "href", "action", "xlink:href"):
            assert attributes.get(name, "#").startswith("#")
    policies = [a["content"] for _, a, _ in page.all("meta") if "http-equiv" in a]
    assert policies == ["default-src 'none'; style-src 'unsafe-inline'"]


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 definitions (formula from memory, checked below)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    """Contrast ratio, WCAG 2.1 definitions."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [("#000000", 21.0), ("#0072B2", 5.19), ("#D55E00", 3.87), ("#009E73", 3.42), ("#F0E442", 1.32)],
)
def test_the_contrast_formula_gives_known_figures(colour: str, ratio: float) -> None:
    # Contrasts on white of an eight-colour set, computed in the permit package notes.
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize(("text", "ground"), colours.TEXT_PAIRS)
def test_text_stands_out(text: str, ground: str) -> None:
    # 1.4.3: 4.5 to 1.
    assert contrast(text, ground) >= 4.5


@pytest.mark.parametrize(("line", "ground"), colours.GRAPHIC_PAIRS)
def test_lines_stand_out(line: str, ground: str) -> None:
    # 1.4.11: 3 to 1.
    assert contrast(line, ground) >= 3.0


def test_the_style_uses_no_colour_of_its_own() -> None:
    style = Path("checker/pages/page.css").read_text(encoding="utf-8")
    assert not re.findall(r"#[0-9a-fA-F]{3,8}\b(?![^{]*\{)", style.replace("#plan", ""))
    assert "outline: 3px solid" in style
    assert "outline: none" not in style
