"""Makes a picture of each main state of the drawing page, to be looked at by a person.

    python -m tests.board.pictures [FOLDER [STATE...]]

Wide, 390 pixels, dark and as printed; nothing is compared.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from tests.board.driving import SAMPLES, chromium, entered, served

WIDE: Final = {"viewport": {"width": 1280, "height": 900}}
NARROW: Final = {"viewport": {"width": 390, "height": 800}, "has_touch": True, "is_mobile": True}
DARK: Final = WIDE | {"color_scheme": "dark"}


def press(name: str) -> Callable[[Any], None]:
    return lambda page: page.get_by_role("button", name=name, exact=True).first.click()


def least(page: Any) -> None:
    press("Find the least change")(page)
    page.get_by_role("button", name="Show it on the plan").first.click()


def tried(page: Any) -> None:
    press("Terrace")(page)
    press("Try materials")(page)
    page.locator("#tried table").wait_for()


def drainage(page: Any) -> None:
    press("Drainage")(page)
    page.locator("#parts summary").first.wait_for()
    page.locator("#parts summary").nth(1).click()


def place(page: Any) -> None:
    press("Another place")(page)
    page.locator("#place-title").wait_for()


FERN: Final = "fernhollow-before"
STATES: Final[tuple[tuple[str, str, dict[str, Any], Callable[[Any], None] | None], ...]] = (
    ("start", "", WIDE, None),
    ("start-narrow", "", NARROW, None),
    ("fails", FERN, WIDE, None),
    ("fails-dark", FERN, DARK, None),
    ("fails-narrow", FERN, NARROW, None),
    ("selected", FERN, WIDE, press("Terrace")),
    ("new", FERN, WIDE, press("Rectangle")),
    ("new-narrow", FERN, NARROW, press("Rectangle")),
    ("tried", FERN, WIDE, tried),
    ("least", FERN, WIDE, least),
    ("place", FERN, WIDE, place),
    ("packet", FERN, WIDE, press("Permit packet")),
    ("drains", "tern-court", WIDE, None),
    ("drainage", "tern-court", WIDE, drainage),
    ("drainage-narrow", "tern-court", NARROW, drainage),
    ("drains-dark", "tern-court", DARK, None),
)


def main(folder: Path, wanted: frozenset[str] = frozenset()) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as work, chromium() as browser:
        for number, (name, sample, settings, act) in enumerate(STATES):
            if wanted and name not in wanted:
                continue
            path = Path(work) / f"{number}" / "site.yaml"
            if sample:
                shutil.copytree(SAMPLES / sample, path.parent)
            else:
                path.parent.mkdir()
            with served(path) as command:
                page = entered(browser, command, **settings)
                if act:
                    act(page)
                page.wait_for_timeout(800)
                page.screenshot(path=folder / f"{name}.png", full_page=settings is NARROW)
                if name == "fails":
                    page.emulate_media(media="print")
                    page.screenshot(path=folder / "printed.png")
                for wrong in page.wrong:
                    print(f"{name}: {wrong}", file=sys.stderr)
                page.context.close()
            print(folder / f"{name}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "board-pictures"), frozenset(sys.argv[2:]))
