"""The findings as plain data, for `findings.json`: every number in full, in the page's units."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

from checker.core.showing import unit_for
from checker.core.units import CURRENCIES, UNIT
from checker.findings.subjects import subject_of
from checker.words.amounts import clean, place_text
from checker.words.letters import Keys

if TYPE_CHECKING:
    from checker.algebra.counting import Contribution
    from checker.algebra.explain import Step
    from checker.algebra.values import Judged, Quantity
    from checker.core.sources import Citation
    from checker.core.units import Amount, Dimension, System
    from checker.findings.checked import Checked
    from checker.findings.model import Finding

FORMAT: Final = "findings/1"

Data = dict[str, Any]


def records_of(checked: Checked) -> Data:
    """All findings of a check as dicts, lists, texts, numbers and None.

    Amounts are `{value, unit}` to twelve digits; an end that nobody knows is None.
    """
    keys = Keys(checked.site)
    return (
        {
            "format": FORMAT,
            "site": {
                "title": clean(checked.site.title),
                "is_invented": checked.site.is_invented,
                "lot_area": _number(checked.site.lot.boundary.area, *_area_unit(checked.system)),
            },
            "ruleset": {
                "id": checked.ruleset.id,
                "title": clean(checked.ruleset.title),
                "kind": checked.ruleset.kind,
                "in_force_since": checked.ruleset.since.isoformat(),
                "verify": clean(checked.ruleset.verify),
            }
            | _signed(checked),
            "day": checked.day.isoformat() if checked.day else None,
            "status": checked.verdict.status,
            "counts": dict(sorted(checked.verdict.counts.items())),
            "surfaces": [
                {
                    "key": keys.letter(surface.id),
                    "id": surface.id,
                    "title": clean(surface.title),
                    "material": surface.material.id,
                    "was": surface.was.id,
                    "stage": surface.stage,
                }
                for surface in checked.site.surfaces
            ],
            "findings": [_finding(item, checked) for item in checked.verdict.findings],
        }
        | _assumed(checked)
        | _results(checked)
    )


def _assumed(checked: Checked) -> Data:
    """What nobody has confirmed or that could not be read; no key where there is none."""
    site = checked.site
    found: Data = {}
    if site.assumed:
        found["assumed"] = [
            {"what": clean(item.what), "taken_as": item.taken_as, "line": item.place.line}
            for item in site.assumed
        ]
    if site.unread:
        found["unread"] = [clean(item.says) for item in site.unread]
    return found


def _signed(checked: Checked) -> Data:
    """Who laid the rule set beside the text, and when; no key where nobody has."""
    signed = checked.ruleset.checked
    if signed is None:
        return {}
    return {"checked": {"by": clean(signed.by), "date": signed.date.isoformat()}}


def _results(checked: Checked) -> Data:
    """What follows besides; no key where the rule set has no such."""
    if not checked.verdict.results:
        return {}
    return {
        "results": [
            {
                "result": item.result,
                "title": clean(item.title),
                "kind": item.kind,
                "status": item.status,
                "amount": None if item.amount is None else _range(item.amount, checked.system),
                "says": clean(item.says),
                "because": clean(item.because) or None,
                "documents": [clean(text) for text in item.documents],
                "citation": clean(str(item.citation)),
            }
            for item in checked.verdict.results
        ]
    }


def _area_unit(system: System) -> tuple[float, str]:
    from checker.core.units import AREA

    name, _ = unit_for(AREA, system)
    return UNIT[name].size_si, name


def _number(value_si: float, size_si: float, unit: str) -> Data:
    return {"value": float(f"{value_si / size_si:.12g}"), "unit": unit}


def _sized(value_si: float, dimension: Dimension, unit: str, system: System) -> Data | None:
    if not math.isfinite(value_si):
        return None
    is_own = unit in {"%", "in/ft", *CURRENCIES}
    name = unit if is_own else unit_for(dimension, system)[0]
    return _number(value_si, UNIT[name].size_si, name)


def _amount(value: Amount | None, system: System) -> Data | None:
    return None if value is None else _sized(value.value_si, value.dimension, value.unit, system)


def _range(value: Quantity, system: System) -> Data:
    return {
        "low": _sized(value.low_si, value.dimension, value.unit, system),
        "high": _sized(value.high_si, value.dimension, value.unit, system),
    }


def _finding(finding: Finding, checked: Checked) -> Data:
    system = checked.system
    return {
        "rule": finding.rule,
        "subject": subject_of(checked.ruleset.rule(finding.rule), checked.ruleset),
        "title": clean(finding.title),
        "status": finding.status,
        "is_met": finding.is_met,
        "says": clean(finding.says),
        "measured": _amount(finding.measured, system),
        "order": finding.order or None,
        "limit": _amount(finding.limit, system),
        "margin": _amount(finding.margin, system),
        "parts": [_part(part, system) for part in finding.parts],
        "decided_by": _decided_by(finding, checked),
        "trace": [_step(step, system) for step in finding.trace],
        "contributions": [_contribution(item, system) for item in finding.contributions],
        "because": clean(finding.because) or None,
        "if_unfavourable": finding.if_unfavourable,
        "missing": [
            {"name": item.name, "of": item.of or None, "ask": clean(item.ask)}
            for item in finding.missing
        ],
        "readings": [
            {
                "reading": item.reading,
                "option": item.option,
                "title": clean(item.title),
                "question": clean(item.question),
                "status": item.status,
                "is_chosen": item.is_chosen,
                "margin": _amount(item.margin, system),
            }
            for item in finding.readings
        ],
        "documents": list(map(clean, finding.documents)),
        "band": clean(finding.band) or None,
        "remedy_kinds": list(finding.remedy_kinds),
        "caution": clean(finding.caution) or None,
        "note": clean(finding.note) or None,
        "citation": _citation(finding.citation),
        "place": place_text(finding.place),
        "origin": finding.origin or None,
    }


def _decided_by(finding: Finding, checked: Checked) -> Data | None:
    """What was asked first and what was judged instead, where an alternative decided."""
    first, part = finding.first, finding.decides
    if first is None or part is None:
        return None
    speaker = checked.ruleset.speaker(checked.system)
    return {
        "first_asked": clean(speaker.number(first.node.measured)),
        "first": _part(first, checked.system),
        "alternative": clean(speaker.number(part.node.measured)),
        "band": clean(finding.band) or None,
    }


def _part(part: Judged, system: System) -> Data:
    return {
        "of": part.of or None,
        "measured": _range(part.measured, system),
        "order": part.order,
        "limit": _range(part.limit, system),
        "holds": part.holds,
    }


def _step(step: Step, system: System) -> Data:
    return {
        "what": clean(step.what),
        "value": _range(step.value, system),
        "source": clean(step.source) or None,
    }


def _contribution(item: Contribution, system: System) -> Data:
    return {
        "of": item.of or None,
        "area": _number(item.area_m2, *_area_unit(system)),
        "weight": _range(item.weight, system),
        "counted": _range(item.counted, system),
        "row": clean(item.row),
        "clause": clean(item.clause) or None,
    }


def _citation(citation: Citation) -> Data:
    source = citation.source
    return {
        "document": clean(source.document),
        "section": clean(citation.section),
        "edition": clean(source.edition),
        "reading": source.reading,
        "compared": source.compared or None,
    }
