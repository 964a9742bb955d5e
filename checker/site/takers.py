"""Where surfaces say that their water runs: the names must be of something drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import did_you_mean
from checker.site.materials import materials

REST: Final = "rest-of-lot"
"""Land that no surface covers, as water runs to it."""

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.problems import Problems
    from checker.files.source import Document


def check_takers(data: dict[str, Any], document: Document, problems: Problems) -> None:
    """Refuse a `drains_to` that names nothing of the file.

    Args:
        data: The site file.
        document: The file, for places.
        problems: Where they go.
    """
    known = dict.fromkeys((REST, *(item["id"] for item in data["surfaces"])))
    for group in ("ways_out", "regions", "features"):
        known |= dict.fromkeys(_ids(data.get(group)))
    for index, item in enumerate(data["surfaces"]):
        name = item.get("attributes", {}).get("drains_to")
        if not isinstance(name, str) or name in known:
            continue
        says = f"'drains_to' of {item['id']} is '{name[:60]}', which is not in this file"
        do = did_you_mean(name, known)
        if name in materials():
            do = (
                f"a material is no place: give '{REST}' for land that no surface covers, or the id "
                "of a surface"
            )
        problems.add(document.place("surfaces", index, "attributes", "drains_to"), says, do)


def _ids(data: Any) -> Iterator[str]:  # noqa: ANN401 - plain data
    if isinstance(data, dict):
        if isinstance(data.get("id"), str):
            yield data["id"]
        for value in data.values():
            yield from _ids(value)
    elif isinstance(data, list):
        for value in data:
            yield from _ids(value)
