"""Attributes of surfaces that a rule set declares, read from a site by the kinds it gives them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.problems import did_you_mean
from checker.core.records import replace
from checker.files.vocabulary import ATTRIBUTES
from checker.rulesets.facts import read_fact

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.core.problems import Problems
    from checker.files.source import Document
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


def with_declared(site: Site, ruleset: RuleSet, problems: Problems) -> Site:
    """The site with the attributes that this rule set declares.

    One that it does not know is refused when it looks misspelt, and passed over otherwise, so
    that one site file can be held against several places.
    """
    surfaces = []
    for index, surface in enumerate(site.surfaces):
        at = ("surfaces", index, "attributes")
        read = read_declared(site.document, ruleset, surface.other_attributes, at, problems)
        surfaces.append(
            replace(surface, attributes={**surface.attributes, **read}) if read else surface
        )
    at_rest = ("rest_of_lot", "attributes")
    rest = read_declared(site.document, ruleset, site.other_rest_attributes, at_rest, problems)
    if not rest and all(new is old for new, old in zip(surfaces, site.surfaces, strict=True)):
        return site
    return replace(site, surfaces=tuple(surfaces), rest_attributes={**site.rest_attributes, **rest})


def read_declared(
    document: Document,
    ruleset: RuleSet,
    given: Mapping[str, Any],
    at: tuple[str | int, ...],
    problems: Problems,
) -> dict[str, Any]:
    """The attributes that a rule set declares, of those that stand in one place of a file."""
    found: dict[str, Any] = {}
    for name, value in given.items():
        word = ruleset.attributes.get(name)
        if word is None and name in ruleset.words.surface:
            says = f"'{name}' is told by the drawing, and what the file says of it is not read"
            problems.add(document.key_place(*at, name), says, "draw it, and remove this")
            continue
        if word is None:
            hint = did_you_mean(name, {*ATTRIBUTES, *ruleset.attributes})
            if hint.startswith("did you mean"):
                says = f"'{name}' is no attribute of a surface that this place knows"
                problems.add(document.key_place(*at, name), says, hint)
            continue
        read = read_fact(word, value, document.place(*at, name), problems)
        if read is not None:
            found[name] = read
    return found
