"""Where a job stops until somebody has looked: the hold points of the construction sequence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.papers.sequence import steps_for

if TYPE_CHECKING:
    from checker.site.model import Site


def holds_of(site: Site) -> tuple[str, ...]:
    """Each hold point of a job, in the order of the work: what, who looks, what must wait."""
    return tuple(f"{step.what}. {step.who}: {step.hold}" for step in steps_for(site) if step.hold)
