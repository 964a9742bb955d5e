"""What differs between two versions of a rule set, and a lot under both, as blocks."""

from __future__ import annotations

import difflib
import math
from typing import TYPE_CHECKING

from checker.core.units import Amount
from checker.findings.compare import compare, rescored
from checker.pages.blocks import Block, Pairs, Section, para, part
from checker.words.amounts import clean, trio_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System
    from checker.findings.model import Finding
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


def rule_changes(old: RuleSet, new: RuleSet) -> Iterator[Block]:
    """The differences: sentences that went with a minus, those that came with a plus."""
    for text in (old, new):
        yield para(f"{clean(text.title)} ({text.since.isoformat()})")
    changes = compare(old, new)
    if not changes:
        yield part("They ask the same.")
        return
    for change in changes:
        title = f"{change.kind}: {change.group} '{change.name}', {clean(change.title)}"
        yield part(title, *map(para, _marked(change.before, change.after)))
    changed = {change.name for change in changes}
    unchanged = [rule.id for rule in new.rules if rule.id not in changed]
    if unchanged:
        yield part(f"Rules that say the same: {', '.join(unchanged)}")


def _marked(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    """The sentences that only one of them has, each with its sign."""
    for line in difflib.ndiff(before, after):
        if line[0] in "+-":
            yield f"{line[0]} {clean(line[2:])}"


def rescored_lot(site: Site, old: RuleSet, new: RuleSet) -> Iterator[Block]:
    """A site under both rule sets, a rule a section."""
    system = site.system or new.system
    yield para(clean(f"{site.title}: {old.title} against {new.title}"))
    for item in rescored(site, old, new):
        ends = [("before", item.before)] + ([("after", item.after)] if item.differs else [])
        pairs = Pairs(tuple((end, _said(finding, system)) for end, finding in ends))
        mark = "" if item.differs else " (the same)"
        yield Section("", f"{clean(item.title)} ({item.rule}){mark}", (pairs,))


def _said(finding: Finding | None, system: System) -> str:
    if finding is None:
        return "no such rule"
    parts: list[str] = [finding.status]
    if finding.measured is not None and finding.limit is not None:
        margin = finding.margin or Amount(math.inf)
        measured, limit, room = trio_text(
            finding.measured, finding.limit, margin, system, None, finding.order
        )
        parts.append(f"{measured} where {finding.order} {limit} is asked")
        if finding.margin is not None:
            parts.append(f"room {room}")
    if finding.status == "cannot tell":
        parts.append(finding.because)
    if finding.documents:
        parts.append(f"owed: {', '.join(finding.documents)}")
    return clean("; ".join(parts))
