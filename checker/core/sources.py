"""Where a number or a rule comes from, how far the text was read, and when."""

from __future__ import annotations

from typing import Final, Literal

from checker.core.records import Record

Reading = Literal[
    "read", "read in part", "from memory", "second-hand", "worked by hand", "invented"
]
"""How a text was come by. "from memory" must be verified before anyone relies on it."""

_YEAR_DIGITS: Final = 4


class Source(Record, kw_only=True):
    """A document that rules, tables or formulas cite.

    Attributes:
        key: Its short name in files.
        document: Its title.
        edition: The version or date of the text.
        reading: How far it was read.
        compared: The day a person laid the data beside the text, as YYYY-MM-DD; may be empty.
        url: Where it was found; may be empty.
        note: What was left out or looked wrong.
    """

    key: str
    document: str
    edition: str
    reading: Reading = "read"
    compared: str = ""
    url: str = ""
    note: str = ""

    @property
    def is_remembered(self) -> bool:
        """Nobody has laid the data beside the text."""
        return self.reading == "from memory"

    @property
    def ask(self) -> str:
        """What to do before anyone relies on a remembered text."""
        return (
            f"this is written from memory: lay it beside the text of {self.document}, then change "
            f"'reading' of the source '{self.key}'"
        )


class Citation(Record, kw_only=True):
    """A source and the section in it."""

    source: Source
    section: str = ""

    def __str__(self) -> str:
        text = ", ".join(part for part in (self.source.document, self.section) if part)
        edition = self.source.edition
        if edition == "not recorded" or (edition.isdigit() and len(edition) < _YEAR_DIGITS):
            edition = f"edition {edition}"
        return f"{text} ({edition})" if edition else text
