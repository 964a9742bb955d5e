"""The verdict as a table for a terminal: at most 80 columns, the verdict first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import show, show_pair

if TYPE_CHECKING:
    from checker.findings.checked import Checked


def verdict_table(checked: Checked) -> str:
    """The verdict of every rule: rule, verdict, measured, limit, room left."""
    lines = [f"{checked.verdict.status.upper()}: {checked.site.title}", checked.ruleset.title, ""]
    for finding in checked.verdict.findings:
        lines.append(f"{finding.status:<22} {finding.title}"[:80])
        if finding.measured is not None and finding.limit is not None:
            measured, limit = show_pair(finding.measured, finding.limit, checked.system)
            lines.append(f"{'':23}measured {measured}, limit {limit}")
        if finding.margin is not None:
            lines.append(f"{'':23}room left {show(finding.margin, checked.system, signed=True)}")
        if finding.because:
            lines.append(f"{'':23}{finding.because}"[:80])
    return "\n".join(lines)
