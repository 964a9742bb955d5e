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


def titles() -> tuple[tuple[str, str, str], ...]:
    """Id, title and kind (published, invented, model) of each that comes with the program."""
    files = listed(jurisdictions_folder()) | listed(rules_folder() / "models")
    heads = {name: head_of(path, frozenset({"kind", "title"})) for name, path in files.items()}
    return tuple(
        (name, head.get("title", ""), head.get("kind", "")) for name, head in heads.items()
    )


def listing() -> str:
    """The places and models that come with the program, by kind, each with its id and title."""
    known = titles()
    width = max(len(name) for name, *_ in known) + 4
    lines: list[str] = []
    for kind, heading in _HEADINGS.items():
        lines += [heading, ""]
        for name, title, its_kind in known:
            if its_kind == kind:
                first, *more = wrap(title, _WIDTH - width)
                lines.append(f"  {name}".ljust(width) + first)
                lines += [" " * width + line for line in more]
        lines.append("")
    return "\n".join(lines).rstrip()
