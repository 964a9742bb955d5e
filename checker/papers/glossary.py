"""What verdicts and words mean, as blocks that report and packet show and link to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.blocks import (
    Column,
    Section,
    Table,
    every,
    named_values,
    texts,
)
from checker.words.amounts import capital
from checker.words.glossary import LEVELS, RESULTS, STAGES, STATES, TERMS, terms_in, verdicts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.findings.checked import Checked
    from checker.pages.blocks import Block


def glossary_section(checked: Checked, blocks: Iterable[Block] = ()) -> Section:
    """The verdicts that occur, the words of the worksheet, and those of the trade that are used.

    Args:
        checked: The check.
        blocks: The pages whose words are explained.
    """
    found = verdicts(finding.status for finding in checked.verdict.findings)
    words = tuple((capital(word), says) for word, says in TERMS.items())
    return Section(
        "glossary",
        "What the words mean",
        (
            named_values("Verdicts", found, ("Verdict", "Means")),
            *_states(checked),
            named_values("Words of the worksheet", words, ("Word", "Means")),
            *trade_words(blocks),
        ),
    )


def _states(checked: Checked) -> Iterator[Table]:
    """What is said of lots, surfaces and results, as files, pages and drawings name it."""
    surfaces = checked.site.surfaces
    stages = {surface.stage for surface in surfaces}
    levels = {surface.material.level for surface in surfaces}
    results = {item.status for item in checked.verdict.results}
    rows = (
        *(("Lot", name, says) for name, says in STATES.items()),
        *(("Stage of a surface", name, says) for name, says in STAGES.items() if name in stages),
        *(("Level of a surface", name, says) for name, says in LEVELS.items() if name in levels),
        *(("Fee, duty, permit", name, says) for name, says in RESULTS.items() if name in results),
    )
    columns = (Column("Of"), Column("State", width=0.7), Column("Means", width=2.5))
    yield Table("States", columns, rows)


def trade_words(blocks: Iterable[Block]) -> tuple[Table, ...]:
    """The words of the trade that some blocks use, explained; nothing where there are none."""
    said = " ".join(text for block in every(blocks) for text in texts(block))
    rows = tuple((capital(word), says) for word, says in terms_in(said))
    return (named_values("Words of the trade", rows, ("Word", "Means")),) if rows else ()
