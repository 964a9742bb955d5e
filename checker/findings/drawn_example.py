"""The small drawn site of a worked example, for answers that hang on geometry."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from checker.core.problems import Problems
from checker.findings.given import KEY
from checker.measure.catalogue import LOT_MEASURES
from checker.site.read import site_of

if TYPE_CHECKING:
    from checker.rulesets.rules import Example, RuleSet
    from checker.site.model import Site


def is_drawn(example: Example) -> bool:
    """Whether an example carries a drawing."""
    return "site" in example.given


def site_of_example(example: Example, ruleset: RuleSet) -> Site:
    """The site that an example draws, with the facts that it gives beside the drawing.

    Args:
        example: An example with `site` under `given`: units, lot, surfaces and whatever else a
            site file has; what every site file needs besides is filled in.
        ruleset: The rules it belongs to.

    Raises:
        BadInput: The drawing cannot be used, or a number is given that the drawing tells.
    """
    problems = Problems()
    given = example.given["site"]
    path = (*example.path, "given")
    if not isinstance(given, dict):
        problems.add(
            example.document.place(*path, "site"),
            "'site' is not a group of keys",
            "give units, lot and surfaces as in a site file",
        )
        problems.stop_if_any("an example cannot be read")
    data: dict[str, Any] = {
        "format": "site/1",
        "title": example.name,
        "place": ruleset.id,
        "surfaces": [],
        **given,
    }
    facts = dict(data.get("facts", {}))
    for name, value in example.given.items():
        if name in {"site", "readings", "on_file", "date"}:
            continue
        match = KEY.match(name)
        told = match is not None and (
            match["name"] in LOT_MEASURES or match["name"] in ruleset.counts
        )
        if told or name == "surfaces":
            problems.add(
                example.document.place(*path, name),
                f"'{name}' is given beside a drawing, which tells it",
                "remove one of them; null takes away what all examples are given",
            )
        facts[name] = value
    problems.stop_if_any("an example cannot be read")
    if facts:
        data["facts"] = facts
    for key in ("readings", "date"):
        if key in example.given:
            data[key] = example.given[key]
    if "on_file" in example.given:
        data["on_file"] = [*data.get("on_file", ()), *map(_document, example.given["on_file"])]
    document = example.document.within((*path, "site"), data)
    return site_of(document, Path(example.document.file))


def _document(text: object) -> dict[str, str]:
    name, _, of = str(text).partition(" of ")
    return {"document": name, "of": of} if of else {"document": name}
