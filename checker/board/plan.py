"""The design on the board: the text of its site file, what it says, and a number that counts up.

The text is the truth. A change edits the data that the text holds, the text is spliced so that all
else stays as the person wrote it, and the engine reads the result as it reads any site file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.board.changes import Change, Refused, applied
from checker.core.problems import BadInput
from checker.core.records import Record
from checker.files.plain import plain_text
from checker.files.rereading import read_lately
from checker.files.splice import spliced
from checker.site.read import site_of

if TYPE_CHECKING:
    from pathlib import Path

    from checker.files.source import Document
    from checker.site.model import Site


class Plan(Record):
    """A design as it stands.

    Attributes:
        text: Of its site file.
        site: What the text says.
        path: Where the file lies, for paths in it.
        revision: Counts up with every text.
    """

    text: str
    site: Site
    path: Path
    revision: int

    @property
    def data(self) -> dict[str, Any]:
        """The plain data of the text."""
        found: dict[str, Any] = self.site.document.data
        return found


def plan_of(text: str, path: Path, revision: int = 0) -> Plan:
    """A design from the text of a site file.

    Raises:
        BadInput: The text is no site file.
    """
    return Plan(text, site_of(read_lately(text, path.name), path), path, revision)


def changed(plan: Plan, change: Change) -> Plan | Refused:
    """A design after a change, or why it cannot be made."""
    data = applied(plan.data, change)
    if isinstance(data, Refused):
        return data
    if data == plan.data:
        return Refused("nothing would change", "give it another value")
    found = spliced(plan.site.document, data)
    return rewritten(plan, found.text if found else plain_text(data), found)


def rewritten(plan: Plan, text: str, read: Document | None = None) -> Plan | Refused:
    """A design with another text, which may have been read, or what is wrong with that text."""
    try:
        document = read or read_lately(text, plan.path.name)
        return Plan(text, site_of(document, plan.path), plan.path, plan.revision + 1)
    except BadInput as wrong:
        first = wrong.problems[0]
        return Refused(first.says, first.do or "draw it another way")
