"""Plans of the lot before and after the work, and of what comes out for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.drawing.plan import phase_svg
from checker.pages.blocks import Picture

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.lot import Phase
    from checker.findings.checked import Checked
    from checker.words.letters import Keys

TITLES: Final[dict[Phase, str]] = {
    "today": "Before",
    "after": "After",
    "demolition": "Demolition",
}
_SAYS: Final[dict[Phase, str]] = {
    "today": "The lot as it stands.",
    "after": "The lot once the work is done; new work has its dimensions.",
    "demolition": "What comes out is cross-hatched; have buried utilities located before digging.",
}
_WIDTH_IN: Final = 3.4


def phases_of(checked: Checked, keys: Keys) -> tuple[Picture, ...]:
    """Before, after, and demolition where something comes out; none where no work is drawn."""
    return tuple(_pictures(checked, keys))


def today_of(checked: Checked, keys: Keys) -> Picture:
    """The lot as it stands."""
    return _picture(checked, keys, "today")


def _pictures(checked: Checked, keys: Keys) -> Iterator[Picture]:
    stages = {surface.stage for surface in checked.site.surfaces}
    if stages <= {"existing"}:
        return
    phases: list[Phase] = ["today", "after"]
    if stages & {"removed", "replaced"}:
        phases.append("demolition")
    for phase in phases:
        yield _picture(checked, keys, phase)


def _picture(checked: Checked, keys: Keys, phase: Phase) -> Picture:
    title, says = TITLES[phase], _SAYS[phase]
    svg = phase_svg(checked, keys, phase, title)
    file = f"plan-{title.lower()}.svg"
    return Picture(svg, file, says, f"{title}. {says}", f"{title} plan", _WIDTH_IN)
