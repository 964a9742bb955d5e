"""The preflight as a document: what stops the packet, what to look at, and what is there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import Block, Column, Table, caution, para, part
from checker.pages.paper import Paper
from checker.words.glossary import CHECKS, states_said

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.papers.checks import Check, Preflight
    from checker.papers.job import Job


_CAPTIONS: Final = {
    "To settle": "What an office would send the packet back for",
    "To look at": "What a person should look at",
}


def preflight_paper(job: Job, preflight: Preflight, number: str) -> Paper:
    """The document."""
    stops, notes = preflight.stops, preflight.notes
    blocks: list[Block] = [
        para("Nothing that must be there is missing or wrong.")
        if preflight.is_ready
        else caution(f"Not ready: {len(stops)} to settle before the packet is handed in.")
    ]
    if not job.submission.is_given:
        blocks.append(
            para(
                "The rule set of this place has no list of its own. What follows is asked for by "
                "many places; the office's own list decides.",
                "fine",
            )
        )
    for title, found in (("To settle", stops), ("To look at", notes)):
        inner = _table(_CAPTIONS[title], found) if found else para("Nothing.", "fine")
        blocks.append(part(f"{title} ({len(found)})", inner))
    shown = [check.state for check in (*stops, *notes)]
    said = f"{states_said(CHECKS, shown)} " if shown else ""
    blocks.append(para(f"{said}No permit: the office decides what it asks for.", "fine"))
    # What agrees has no line of its own: it was compared, and nothing is to be done.
    there = [check for check in preflight.checks if check.state == "there" and check.section]
    if there:
        blocks.append(part(f"Where it stands ({len(there)})", _index(there)))
    return Paper(id="preflight", number=number, title="Preflight", blocks=tuple(blocks))


def _index(found: Sequence[Check]) -> Table:
    """Every place of the packet with what stands there."""
    places: dict[str, list[str]] = {}
    for check in found:
        clause = f" [{check.section}]" if check.section else ""
        places.setdefault(_where(check), []).append(f"{check.what}{clause}")
    rows = tuple((place, _with_shared_clause(named)) for place, named in places.items())
    columns = (Column("Where", width=1.0), Column("What is there [clause]", width=4.0))
    return Table("What is there, by its place", columns, rows)


def _with_shared_clause(named: Sequence[str]) -> str:
    """Things by name, a clause that all of them have said once behind the last."""
    clauses = {text.rpartition(" [")[2] for text in named}
    if len(named) > 1 and len(clauses) == 1 and all(" [" in text for text in named):
        return "; ".join([*(text.rpartition(" [")[0] for text in named[:-1]), named[-1]])
    return "; ".join(named)


def _where(check: Check) -> str:
    """The place of a thing in few words: a document by its number alone."""
    return check.says.split(",")[0] if check.says.startswith("document ") else check.says


def _table(title: str, found: Sequence[Check]) -> Table:
    rows = tuple((check.what, check.state, check.says, check.clause or "–") for check in found)
    columns = (
        Column("What", width=1.8),
        Column("State", width=0.7),
        Column("Where it is, or what to do", width=2.4),
        Column("Asked by", width=1.4),
    )
    return Table(title, columns, rows)
