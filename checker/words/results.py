"""What follows besides the rules, in words: what is owed, how much, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.words.amounts import capital, clean, range_text

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.findings.model import Consequence


class ResultView(Record):
    """One result as texts."""

    title: str
    answer: str
    says: str
    why: str
    source: str
    is_open: bool

    @property
    def do(self) -> str:
        """What to give or to hand in, in a sentence."""
        return f"{capital(self.why).rstrip('.')}." if self.why else ""


def result_views(checked: Checked) -> tuple[ResultView, ...]:
    """Every result of a check."""
    return tuple(_view(item, checked.system) for item in checked.verdict.results)


def _view(item: Consequence, system: System) -> ResultView:
    how_much = range_text(item.amount, system) if item.amount is not None else ""
    answer = {
        "shown": how_much,
        "owed": how_much or "owed",
        "not owed": "not owed",
        "cannot tell": f"cannot tell ({how_much})" if how_much else "cannot tell",
    }[item.status]
    handed = f"hand in: {', '.join(item.documents)}" if item.documents else ""
    why = "; ".join(part for part in (clean(item.because), clean(handed)) if part)
    return ResultView(
        clean(item.title),
        answer,
        clean(item.says),
        why,
        clean(str(item.citation)),
        is_open=item.status in {"owed", "cannot tell"},
    )
