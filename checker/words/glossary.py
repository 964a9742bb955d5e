"""The one glossary: what each verdict and each word of the trade means on our pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from checker.core.words import Stage
    from checker.findings.model import ResultStatus, Status
    from checker.site.model import Level, State

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

RESULTS: Final[dict[ResultStatus, str]] = {
    "owed": "It must be paid, done or handed in.",
    "not owed": "The text does not ask it of this design.",
    "shown": "A figure that the text defines; nothing follows from it.",
    "cannot tell": "Something is missing, and whether it is owed hangs on it.",
}
"""What a fee, a duty, a permit or a figure of the place comes to."""

STATES: Final[dict[State, str]] = {
    "existing": "The lot today.",
    "proposed": "The lot after the work.",
}

STAGES: Final[dict[Stage, str]] = {
    "existing": "It is on the lot today, and remains.",
    "removed": "It is taken out, or new work covers it.",
    "proposed": "It is built by this design.",
    "replaced": "It is rebuilt where it is: the worksheet says what it was and what it is.",
}

LEVELS: Final[dict[Level, str]] = {
    "ground": "It lies on the ground.",
    "raised": "It stands above the ground, with ground under it: a deck.",
    "roof": "It is overhead: a roof, an eave, a canopy.",
}
"""Surfaces of one level displace each other; those of different levels lie over each other."""

CHECKS: Final[dict[str, str]] = {
    "there": "It is in the packet, or the office has what it says.",
    "missing": "It is not there; what to do stands beside it.",
    "attach": "A person must add it: the program cannot make it.",
    "not asked": "The office does not ask it of this design.",
    "cannot tell": "Something is missing, and whether it is asked hangs on it.",
}
"""What the preflight of a packet says of each thing."""

APPROVALS: Final[dict[str, str]] = {
    "obtained": "It is granted; a copy goes with the packet.",
    "applied for": "It is asked for and not yet granted.",
    "not needed": "Those who grant it do not ask for it here.",
    "open": "Nobody has asked yet.",
}
"""Where approvals by others stand."""

NEEDED: Final[dict[str, str]] = {
    "needed": "The threshold is reached: ask for it.",
    "not needed": "The threshold is not reached.",
    "cannot tell": "Something is missing, and whether it is needed hangs on it.",
}
"""What a threshold says of a permit, a plan or a person."""

TERMS: Final = {
    "impervious cover": "Surfaces that rain runs off instead of soaking in, as the place counts.",
    "factor": "The share of an area that counts: 1 in full, 0.5 by half, 0 not at all.",
    "group": "Surfaces that a worksheet adds up under one heading.",
    "drawn": "The area inside the outline of a surface.",
    "overlap and outside": (
        "What another surface of the same spot takes, or what lies outside the lot; counted once."
    ),
    "used": "What of a surface is left to be counted: drawn less overlap and outside.",
    "new": "What proposed surfaces add, and what a removal uncovers.",
    "net change": "Proposed less existing.",
    "room left": "How far what was measured is inside the limit; negative where it is exceeded.",
    "unfavourable end": "The end of a range that is worse for the rule; rules compare this one.",
    "not verified": "Counted at its unfavourable end until what is named is given.",
    "reading": "One of the ways an unclear clause can be understood.",
    "closing error": "How far the last course of a deed misses the point of beginning.",
}

TRADE: Final = {
    "grade": "Height of the ground or paving, and its fall: paving is pitched, ground is graded.",
    "subgrade": "The ground that the lowest course lies on.",
    "course": "One layer of a pavement: units, joints, bedding, base, subbase.",
    "open-graded stone": "Stone of few sizes with open room between, through which water runs.",
    "storage": "Water that stone, a dry well or a basin holds back until it soaks away or drains.",
    "underdrain": "The perforated pipe in the stone that leads away what does not soak in.",
    "observation well": "A pipe with a cap through which one sees how the stone empties.",
    "outlet": "Where water leaves: a pipe to the sewer or curb, daylight, a pop-up, an edge.",
    "overflow": "The way water takes where an outlet or the storage is full, clogged or blocked.",
    "dry well": "A chamber in a pit of stone from which water soaks into the ground.",
    "cleanout": "A capped riser through which a pipe is rinsed or rodded.",
    "rim": "The top of a drain's grate, where water starts to fall in.",
    "invert": "The lowest point inside a pipe.",
    "grade line": "The height to which water stands along the pipes in a storm.",
    "curve number": "A figure for how much of a rain runs off, by cover and soil.",
    "design storm": "The rain that drains and storage must take: its return period and length.",
    "swell": "How much larger dug soil or broken paving is on the truck than it was in place.",
    "hold point": "Where work stops until somebody has looked.",
    "limit of disturbance": "The line inside which the ground may be dug, driven on or stored on.",
    "plow": "To clear snow; over permeable paving with a raised or rubber blade, without sand.",
}
"""Words of the trade that the pages use; each is explained where it occurs."""


def terms_in(text: str) -> tuple[tuple[str, str], ...]:
    """The words of the trade that occur in a text, with their meanings."""
    said = text.lower()
    return tuple((word, says) for word, says in TRADE.items() if word in said)


def states_said(meanings: Mapping[str, str], shown: Iterable[str]) -> str:
    """A line that says what the states mean that are shown, each once."""
    named = dict.fromkeys(state for state in shown if state in meanings)
    return f"States: {'; '.join(f'{state}: {meanings[state]}' for state in named)}"


def verdicts(statuses: Iterable[Status] = ()) -> tuple[tuple[str, str], ...]:
    """Verdicts with their meanings, what needs attention first; all of them, or those named."""
    wanted = set(statuses) or set(VERDICTS)
    return tuple((status, says) for status, says in VERDICTS.items() if status in wanted)
