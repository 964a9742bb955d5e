"""Renders every page, sheet and drawing of every sample into one contact sheet, to be looked at.

Use: python -m tests.contact_sheet FOLDER [SAMPLE ...]

FOLDER gets `index.html` with all pictures, a page of the report at 1,280 and 390 pixels, each sheet
of the packet and of the client's page, every drawing, and `contact-sheet.png` of the whole. Needs
Chromium with playwright, Typst, and pypdfium2.
"""

from __future__ import annotations

import html
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from checker import api
from checker.papers.writing import reports_of

SAMPLES = Path(__file__).parents[1] / "samples"
WIDE, PHONE = 1280, 390
HIGHEST = 2400
"""A page is shown from its top to here, in pixels."""

DPI = 60


def pages_of_pdf(file: Path, to: Path, name: str) -> Iterator[Path]:
    """Each page of a PDF as a picture."""
    import pypdfium2

    document = pypdfium2.PdfDocument(file)
    for number, page in enumerate(document, 1):
        picture = to / f"{name}-{number:02}.png"
        page.render(scale=DPI / 72).to_pil().save(picture)
        yield picture


def shots_of(browser: Any, file: Path, to: Path, name: str) -> Iterator[Path]:
    """A page as it shows on a desk and on a phone."""
    for width in (WIDE, PHONE):
        page = browser.new_page(viewport={"width": width, "height": 900})
        page.goto(file.resolve().as_uri())
        high = page.evaluate("document.documentElement.scrollHeight")
        picture = to / f"{name}-{width}.png"
        clip = {"x": 0, "y": 0, "width": width, "height": min(high, HIGHEST)}
        page.screenshot(path=str(picture), full_page=True, clip=clip)
        page.close()
        yield picture


def of_sample(sample: Path, browser: Any, to: Path) -> Iterator[Path]:
    """All pictures of one sample."""
    site = api.load_site(sample / "site.yaml")
    checked = api.check(site, api.load_ruleset_for(site))
    folder = to / sample.name
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in reports_of(checked).items():
        file = folder / name
        file.write_text(text, encoding="utf-8")
        if file.suffix == ".html":
            yield from shots_of(browser, file, folder, file.stem)
        elif file.suffix == ".svg":
            yield file
    client = folder / "client.pdf"
    client.unlink(missing_ok=True)
    yield from pages_of_pdf(api.write_client(checked, client), folder, "client")
    packet = folder / "packet"
    shutil.rmtree(packet, ignore_errors=True)
    api.packet(checked, packet)
    for file in sorted(packet.glob("*.pdf")):
        yield from pages_of_pdf(file, folder, f"packet-{file.stem}")


def contact_sheet(to: Path, names: list[str]) -> Path:
    """Write everything, and the page that shows it all."""
    from playwright.sync_api import sync_playwright

    to.mkdir(parents=True, exist_ok=True)
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    found = sorted(path.parent for path in SAMPLES.glob("*/site.yaml"))
    parts: list[str] = []
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=as_root)
        for sample in found:
            if names and sample.name not in names:
                continue
            cards = "".join(
                f'<figure><img src="{html.escape(str(p.relative_to(to)))}">'
                f"<figcaption>{html.escape(p.name)}</figcaption></figure>"
                for p in of_sample(sample, browser, to)
            )
            parts.append(f"<h2>{html.escape(sample.name)}</h2><div>{cards}</div>")
        index = to / "index.html"
        style = (
            "body{font:14px sans-serif}div{display:flex;flex-wrap:wrap;gap:8px}"
            "figure{margin:0;width:230px}img{width:100%;border:1px solid #999}"
        )
        index.write_text(
            f"<!DOCTYPE html><title>Contact sheet</title><style>{style}</style>{''.join(parts)}",
            encoding="utf-8",
        )
        page = browser.new_page(viewport={"width": 1500, "height": 1000})
        page.goto(index.resolve().as_uri())
        page.screenshot(path=str(to / "contact-sheet.png"), full_page=True)
        browser.close()
    return index


if __name__ == "__main__":
    sys.stdout.write(f"{contact_sheet(Path(sys.argv[1]), sys.argv[2:])}\n")
