"""The list of rule sets that come along, from the heads of their files alone."""

from __future__ import annotations

from textwrap import wrap
from typing import Final

from checker.files.library import jurisdictions_folder, listed, rules_folder
from checker.files.source import head_of

_HEADINGS: Final = {
    "published": "Published codes, as far as they were read",
    "invented": "Invented places that show structures",
    "model": "Models that places adopt",
}
_WIDTH: Final = 80


def listing() -> str:
    """The places and models that come with the program, by kind, each with its id and title."""
    files = listed(jurisdictions_folder()) | listed(rules_folder() / "models")
    heads = {name: head_of(path, frozenset({"kind", "title"})) for name, path in files.items()}
    width = max(map(len, heads)) + 4
    lines: list[str] = []
    for kind, heading in _HEADINGS.items():
        lines += [heading, ""]
        for name, head in heads.items():
            if head.get("kind") == kind:
                title = wrap(head.get("title", ""), _WIDTH - width)
                lines.append(f"  {name}".ljust(width) + title[0])
                lines += [" " * width + more for more in title[1:]]
        lines.append("")
    return "\n".join(lines).rstrip()
