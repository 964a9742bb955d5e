"""Holds every verdict of a screening to that of a check of each lot alone."""

from __future__ import annotations

import math
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np

from checker import api
from checker.findings.checked import judged
from checker.findings.model import STATUSES, Finding
from checker.measure.arrangement import OverlayFailed
from checker.screen.areas import measured
from checker.screen.ground import SortedGround
from checker.screen.outcomes import NOT_SCREENED
from checker.screen.piece import judged_under
from checker.screen.probe import Probe
from tests.screen.towns import sites, town

ROOT: Final = Path(__file__).parents[2]
PLACES: Final = tuple(
    path.stem
    for folder in ("jurisdictions", "rules/models")
    for path in sorted((ROOT / folder).glob("*.yaml"))
)


def differences(seed: int, place: str, lots: int, *, swept: bool) -> tuple[list[str], Counter[str]]:
    """What differs on a random town, in words, and how often each status came out."""
    ruleset = api.load_ruleset(place)
    found, layers, features = town(seed, [ruleset], lots, "ft" if seed % 3 else "m")
    several = measured(found, layers, compiled_too=swept)
    screened = judged_under(SortedGround(several, ruleset, Probe(found, ruleset)), None)
    told: list[str] = []
    counts: Counter[str] = Counter()
    for row, site in enumerate(sites(found, layers, features, place)):
        try:
            alone = judged(site, ruleset)
        except OverlayFailed as error:  # a check says so and judges nothing
            counts["refused by a check"] += 1
            print(f"seed {seed}, {place}, lot {row}: {error}", file=sys.stderr)  # noqa: T201
            continue
        for outcome, finding in zip(screened.outcomes, alone.verdict.findings, strict=True):
            code = int(outcome.status[row])
            if code == NOT_SCREENED:
                counts["not screened"] += 1
                continue
            counts[STATUSES[code]] += 1
            told += [
                f"seed {seed}, {place}, {finding.rule}, lot {row}: {what}"
                for what in _apart(outcome, code, finding, row, several.area_m2)
            ]
    return told, counts


def _apart(outcome: Any, code: int, finding: Finding, row: int, area_m2: Any) -> Iterator[str]:
    if STATUSES[code] != finding.status:
        yield f"{STATUSES[code]} for {finding.status}"
        return
    shown, count = outcome.shown(), len(area_m2)
    has = bool(np.broadcast_to(shown.has, count)[row])
    for name, amount in (
        ("measured", finding.measured), ("limit", finding.limit), ("margin", finding.margin),
    ):  # fmt: skip
        own = float(np.broadcast_to(getattr(shown, name), count)[row]) if has else math.nan
        other = math.nan if amount is None else amount.value_si
        if math.isnan(own) and math.isnan(other):
            continue
        # The same to 1e-9 of the lot, or of the number where that is larger.
        if own != other and not abs(own - other) <= 1e-9 * max(area_m2[row], abs(other)):
            yield f"{name} {own} for {other}"
