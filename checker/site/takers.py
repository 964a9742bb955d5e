"""Where surfaces say that their water runs: the names must be of something drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.problems import did_you_mean
from checker.site.materials import materials
from checker.site.model import REST

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
        known |= dict.fromkeys(_texts(data.get(group), "id"))
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
    _check_rounds(data, document, problems)


def _check_rounds(data: dict[str, Any], document: Document, problems: Problems) -> None:
    """Refuse surfaces that drain onto each other in a round, where nothing on the way takes water.

    A panel, a leader or a store below one of them does.
    """
    places = {item["id"]: index for index, item in enumerate(data["surfaces"])}
    onto = {item["id"]: item.get("attributes", {}).get("drains_to") for item in data["surfaces"]}
    taken = set(_texts(data.get("panels"), "on"))
    taken |= set(_texts(data.get("ways_out"), "of")) | set(_texts(data.get("ways_out"), "under"))
    told: set[str] = set()
    for name in onto:
        walked = [name]
        while (to := onto.get(walked[-1])) in onto and to not in taken and to not in walked:
            walked.append(to)
        round_ = walked[walked.index(to) :] if to in walked else []
        if round_ and not told & set(round_) and not taken & set(round_):
            told |= set(round_)
            says = f"water goes round: {' -> '.join([*round_, round_[0]])}"
            place = document.place("surfaces", places[round_[0]], "attributes", "drains_to")
            problems.add(place, says, "say of one of them where its water leaves")


def _texts(data: Any, key: str) -> Iterator[str]:  # noqa: ANN401 - plain data
    """The texts under a key, at any depth."""
    if isinstance(data, dict):
        if isinstance(data.get(key), str):
            yield data[key]
        for value in data.values():
            yield from _texts(value, key)
    elif isinstance(data, list):
        for value in data:
            yield from _texts(value, key)
