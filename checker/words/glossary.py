"""The one glossary: what each verdict and each word of the trade means on our pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.findings.model import Status

VERDICTS: Final[dict[Status, str]] = {
    "fails": "What was measured does not meet the rule, whatever is still open.",
    "cannot tell": "Something is missing or unclear, and the verdict hangs on it. Never a pass.",
    "unanswered": (
        "It would pass, but whether it is asked of this lot at all hangs on a question about the "
        "lot that has no answer."
    ),
    "relief possible": "It does not meet the rule; the text lets the authority grant an exception.",
    "passes with conditions": "It meets the rule if the documents named are handed in.",
    "passes": "It meets the rule, whatever is still open.",
    "does not apply": "The rule asks nothing of this lot or design.",
    "not in force": "The text is no law on the day that counts; nothing was judged.",
}

TERMS: Final = {
    "impervious cover": "Surfaces that rain runs off instead of soaking in, as the place counts.",
    "factor": "The share of an area that counts: 1 in full, 0.5 by half, 0 not at all.",
    "group": "Surfaces that a worksheet adds up under one heading.",
    "drawn": "The area inside the outline of a surface.",
    "overlap and outside": (
        "What another surface of the same spot takes, or what lies outside the lot; counted once."
    ),
    "used": "What of a surface is left to be counted: drawn less overlap and outside.",
    "existing": "On the lot today.",
    "proposed": "On the lot after the work; of a surface, that it is new.",
    "removed": "Taken out, or covered by new work.",
    "converted": "Stays where it is, and changes its material.",
    "net change": "Proposed less existing.",
    "room left": "How far what was measured is inside the limit; negative where it is exceeded.",
    "unfavourable end": "The end of a range that is worse for the rule; rules compare this one.",
    "not verified": "Counted at its unfavourable end until what is named is given.",
    "reading": "One of the ways an unclear clause can be understood.",
    "closing error": "How far the last course of a deed misses the point of beginning.",
}


def verdicts(statuses: Iterable[Status] = ()) -> tuple[tuple[str, str], ...]:
    """Verdicts with their meanings, what needs attention first; all of them, or those named."""
    wanted = set(statuses) or set(VERDICTS)
    return tuple((status, says) for status, says in VERDICTS.items() if status in wanted)
