"""The cautions page: what this set is not, what it assumes, and what to ask about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.files.tables import table
from checker.pages.blocks import Block, Bullets, Column, Section, Table, para, part
from checker.pages.paper import Paper
from checker.papers.names import NUMBERS
from checker.words.amounts import capital, clean
from checker.words.view import readings_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.papers.job import Job

IS_NOT = (
    "Not a survey. Lot lines, areas and levels are as the site file gives them.",
    "Not sealed, and not a substitute for a licensed surveyor, engineer, electrician or builder.",
    "Not legal advice. The text of the law and the official's reading of it decide.",
    "Not an approval. Nothing here may be built before the permit is issued.",
)

ASK_ABOUT = (
    "How pool water, coping, gravel and decks count, and whether permeable paving earns a credit.",
    "Whether cover that already exceeds the limit may stay, and whether it may be moved.",
    "Rules of an owners' association or a plat, which can be stricter than the town's.",
    "Flood, wetland, septic and well distances.",
    "Load of walls and traffic near the pool shell, and groundwater under it.",
    "Basements and low yards downhill, also across the lot line.",
    "Frost, roots and overhead lines.",
    "Utility easements: ground in them must not be raised, lowered or paved without consent.",
)


def cautions(job: Job, number: str) -> Paper:
    """The page."""
    ruleset, site = job.checked.ruleset, job.checked.site
    blocks: list[Block] = [
        part("What this set is not", Bullets(IS_NOT)),
    ]
    said = f"{clean(ruleset.title)}, in force since {ruleset.since.isoformat()}. "
    said += clean(ruleset.verify)
    said += f" The documents behind the rules: document {NUMBERS['narrative']}, section 4."
    blocks += [
        part("Rules used", para(said)),
        _assumptions(job),
        part("Ask before you rely on it", Bullets(ASK_ABOUT)),
    ]
    warned = [clean(f.caution) for f in job.checked.verdict.findings if f.caution]
    if warned:
        blocks.append(part("Cautions of the rules", Bullets(tuple(dict.fromkeys(warned)))))
    rows = tuple(
        (capital(row["topic"]), _caution(row), row["evidence"])
        for row in table("work-cautions").rows
        if row.get("says")
    )
    columns = (
        Column("Topic", width=0.8),
        Column("What published rules say", width=3.4),
        Column("Evidence", width=0.9),
    )
    caption = "Reminders, no advice: local codes and licensed people decide"
    reminders = Table(caption, columns, tuple(dict.fromkeys(rows)))
    blocks.append(part("Where the work can hurt someone", reminders))
    if site.is_invented:
        blocks.append(para("This lot is invented for demonstration.", "fine"))
    return Paper(id="cautions", number=number, title="Cautions", blocks=tuple(blocks))


def _caution(row: Mapping[str, Any]) -> str:
    """What a published rule says, with the numbers it names."""
    ends = [f"{end} {row[end]}" for end in ("least", "most") if row.get(end)]
    return f"{row['says']} {capital(row['measure'])}: {', '.join(ends)}." if ends else row["says"]


def _assumptions(job: Job) -> Section:
    site, ruleset = job.checked.site, job.checked.ruleset
    listed = [f"Repaired or in doubt: {clean(repair.says)}" for repair in site.repairs]
    listed += [f"Left out of the rule set: {clean(text)}" for text in ruleset.left_out]
    listed += [f"{question} Read as: {answer}" for question, answer in readings_of(job.checked)]
    if not listed:
        listed = ["No clause of the rule set is open to two readings, and no drawing was repaired."]
    return part("Assumptions", Bullets(tuple(listed)))
