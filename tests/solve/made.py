"""Made-up lots and rules for tests of the search."""

from __future__ import annotations

from pathlib import Path

from checker import api
from checker.files.source import read_text
from checker.findings.checked import Checked, judged
from checker.measure.words import built_in
from checker.rulesets.read import read_ruleset
from checker.rulesets.rules import RuleSet
from checker.site.read import site_of
from tests.findings.rulesets import refuse_model

FT_M = 0.3048
SQ_FT_M2 = FT_M**2

RULES_HEAD = """\
format: ruleset/1
id: made-up
title: Made up for a test
kind: invented
in_force: {since: 2024-01-01}
sources: [{key: code, document: Made up, edition: "1", reading: invented}]
"""

COUNTS = """\
counts:
  cover:
    title: counted cover
    levels: heaviest
    otherwise: 1
    rows:
      - {where: {material: permeable-paving}, weight: %s}
      - {where: {nature: [open, water]}, weight: 0}
"""

SITE_HEAD = """\
format: site/1
title: Made up for a test
place: made-up
units: ft
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [100, 0], [100, 100], [0, 100]]}, sides: {front: [1], rear: [3]}}
"""


def rules(text: str) -> RuleSet:
    return read_ruleset(read_text(RULES_HEAD + text, "rules.yaml"), refuse_model, built_in())


def cover_rules(limit: str, share: str = "0.25", more: str = "") -> RuleSet:
    text = COUNTS % share
    return rules(
        f"{text}rules:\n  - id: cover-limit\n    title: Counted cover\n"
        '    cite: {source: code, section: "1"}\n'
        f"    require: {{measure: cover, at_most: {limit}}}\n{more}"
    )


def checked(surfaces: str, ruleset: RuleSet, more: str = "", head: str = SITE_HEAD) -> Checked:
    text = f"{head}surfaces:\n{surfaces}{more}"
    return judged(site_of(read_text(text, "lot.yaml"), Path("lot.yaml")), ruleset)


def sample(name: str) -> Checked:
    site = api.load_site(Path(f"samples/{name}/site.yaml"))
    return api.check(site, api.load_ruleset_for(site))
