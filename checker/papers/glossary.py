"""What verdicts and words mean, as blocks that report and packet show and link to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import Section, SectionLink, Text, named_values
from checker.words.amounts import capital
from checker.words.glossary import TERMS, verdicts

if TYPE_CHECKING:
    from checker.findings.checked import Checked

GLOSSARY: Final = "glossary"
"""The id of the section, for links."""


def glossary_section(checked: Checked) -> Section:
    """The verdicts that occur, and the words of the worksheet."""
    found = verdicts(finding.status for finding in checked.verdict.findings)
    words = tuple((capital(word), says) for word, says in TERMS.items())
    return Section(
        GLOSSARY,
        "What the words mean",
        (
            named_values("Verdicts", found, ("Verdict", "Means")),
            named_values("Words of the worksheet", words, ("Word", "Means")),
        ),
    )


def glossary_link() -> Text:
    """A line that leads there."""
    return Text((SectionLink("What the words mean", GLOSSARY),), "fine")
