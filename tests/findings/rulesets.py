"""Small rule sets and sites as texts, for tests of judging."""

from __future__ import annotations

from pathlib import Path

from checker import api
from checker.core.problems import BadInput, Place, Problem
from checker.files.source import Document, read_text
from checker.findings.model import Finding
from checker.measure.words import built_in
from checker.rulesets.read import read_ruleset
from checker.rulesets.rules import RuleSet
from checker.site.read import site_of

HEAD = """\
format: ruleset/1
id: made-up
title: Made up for a test
kind: invented
in_force: {since: 2020-01-01}
sources: [{key: code, document: A code, edition: "2020", reading: invented}]
facts:
  zone: {kind: text, choices: [A, B], ask: the zone}
  recorded: {kind: date, ask: the day the plat was recorded}
counts:
  cover:
    title: cover
    otherwise: cannot tell
    rows:
      - {title: gapped deck, where: {material: wood-deck, gap: {at_least: 1/4 in}}, weight: 0}
      - {title: deck, where: {material: wood-deck}, weight: 1}
      - {title: open ground, where: {nature: [open, water]}, weight: 0}
      - {title: sealed, where: {nature: sealed}, weight: 1}
"""

SITE = """\
format: site/1
title: Made up
place: made-up
units: ft
lot: {boundary: {rectangle: {corner: [0, 0], size: [100, 100]}}, sides: {front: [1], rear: [3]}}
"""


def refuse_model(name: str) -> Document:
    """A source of models that has none, for rule sets that stand alone."""
    raise BadInput("no models", [Problem(Place(name), f"there is no model rule set '{name}'")])


def ruleset(rules: str, more: str = "") -> RuleSet:
    document = read_text(f"{HEAD}{more}rules:\n{rules}", "rules.yaml")
    return read_ruleset(document, refuse_model, built_in())


def finding(
    rules: RuleSet, surfaces: str, more: str = "", rest: str = "rest_of_lot: lawn\n"
) -> Finding:
    """The finding of the first rule on a lot of 10,000 sq ft with these surfaces."""
    text = f"{SITE}{rest}{more}surfaces:\n{surfaces}"
    site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    return api.check(site, rules).verdict.findings[0]


def slab(square_feet: int, material: str = "concrete-slab", more: str = "") -> str:
    """A surface of 100 ft by whatever makes its area."""
    shape = f"{{rectangle: {{corner: [0, 0], size: [100, {square_feet / 100}]}}}}"
    return f"  - {{id: {material}, material: {material}, shape: {shape}{more}}}\n"
