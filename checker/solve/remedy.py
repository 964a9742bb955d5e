"""Remedies: what would help a rule that is not met, taken from the options of a search."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import replace
from checker.core.units import AREA, Amount
from checker.findings.model import Remedy, Verdict
from checker.solve.measures import is_met

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.findings.model import Finding
    from checker.solve.options import Option, Options


def with_remedies(options: Options, say: Callable[[Option], str]) -> Verdict:
    """The verdict of the design, with remedies on the findings that an option mends.

    A remedy is taken only from an option that meets what the search asked for, and says which
    rules are met after it. No number is invented for a rule that the solver could not read: its
    finding then says what stands in the way.

    Args:
        options: What the search found.
        say: Words what an option asks for.
    """
    verdict = options.checked.verdict
    unsaid = dict(options.unsaid)
    findings: list[Finding] = []
    for finding in verdict.findings:
        remedies = [] if is_met(finding) else _remedies(finding, options, say)
        if not remedies and finding.rule in unsaid:
            why = unsaid[finding.rule]
            remedies.append(Remedy(says=f"no area can be worked out for this rule: {why}"))
        if not remedies and finding.rule in options.apart:
            remedies.append(Remedy(says="no change of a surface that may change can meet this"))
        findings.append(replace(finding, remedies=tuple(remedies)) if remedies else finding)
    return replace(verdict, findings=tuple(findings))


def _remedies(finding: Finding, options: Options, say: Callable[[Option], str]) -> list[Remedy]:
    found: dict[str, Remedy] = {}
    for option in options.options:
        if option.same_as or not option.is_offered or not option.pieces:
            continue
        meets = _mended(option, options)
        if finding.rule in meets:
            says = say(option)
            least = _is_least_area(option, options)
            found.setdefault(
                says,
                Remedy(
                    says=says,
                    by=Amount(sum(piece.area_m2 for piece in option.pieces), AREA),
                    is_proven_least=least,
                    meets=meets,
                ),
            )
    return list(found.values())


def _mended(option: Option, options: Options) -> tuple[str, ...]:
    """The rules that were not met and are met after an option."""
    before = {finding.rule for finding in options.checked.verdict.findings if not is_met(finding)}
    return tuple(
        finding.rule
        for finding in option.after.verdict.findings
        if finding.rule in before and is_met(finding)
    )


def _is_least_area(option: Option, options: Options) -> bool:
    """Whether no smaller area will do: it is, or changes the same as, the option of least area."""
    return any(
        other.key == "least-area" and other.proof.is_proven
        for other in options.options
        if option.key in {other.key, other.same_as}
    )
