"""What is asked for, in the words of the page: messages elsewhere speak to who writes the file."""

from __future__ import annotations

import re
from typing import Any, Final

_AS_THE_PAGE_SAYS: Final = (
    (r"give '\w+' under 'project(: \w+)?'", "fill in its field"),
    (r"attach it and list '[\w-]+' under 'on_file'", "attach it"),
    (r", or list (it|them|'[\w-]+')? ?under 'none_found'", ", or tick that it was looked for"),
    (
        r"say which surface is the dwelling: 'attributes: \{purpose: dwelling\}' of a roof",
        "choose the roof of the dwelling and say what it is for",
    ),
    (r"( under '(regions|features)')?( with (the )?id '[\w-]+')?", ""),
)
_DOCUMENT: Final = re.compile(r"list '([\w-]+)' under 'on_file'")


def asked_here(text: str) -> str:
    """A message to who writes a site file, as the page says it.

    Example:
        >>> asked_here("give 'parcel' under 'project'")
        'fill in its field'
    """
    for pattern, instead in _AS_THE_PAGE_SAYS:
        text = re.sub(pattern, instead, text)
    return text


def still_asked(what: str, says: str) -> dict[str, Any]:
    """What an office would still ask for, and the document that the page can put on file."""
    found = _DOCUMENT.search(says)
    return {"says": f"{what}: {asked_here(says)}", "document": found[1] if found else ""}
