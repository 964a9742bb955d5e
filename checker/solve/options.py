"""What a search gives back: ranked options with their proof, or why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.core.records import Record
from checker.findings.model import MET, OPEN

if TYPE_CHECKING:
    from checker.core.units import Amount
    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.solve.costs import Costs
    from checker.solve.goal import Goal
    from checker.solve.layout import Piece
    from checker.solve.program import Program

Key = Literal["least-cost", "least-area", "most-deck", "no-credit", "every-reading"]


class Proof(Record, kw_only=True):
    """What the solver showed of one option.

    Attributes:
        found: The least that was found among all that can be built: money, or an area.
        bound: Nothing less can do.
        is_proven: Found and bound are the same, and every rule was said exactly.
        because: Why it is not proven; empty when it is.
        left_open: The further aims that may not be least among equals.
    """

    found: Amount
    bound: Amount
    is_proven: bool
    because: str = ""
    left_open: tuple[str, ...] = ()


class Option(Record, kw_only=True):
    """One way to change the design.

    Attributes:
        key: Its name in files and on the command line.
        title: Its name on pages.
        assumes: What it takes for granted; empty when nothing.
        pieces: What changes, as it can be built; none when the design is right as it is.
        proof: What the solver showed.
        cents: What the pieces cost beyond the design; below zero when they save.
        changed_m2: Area that changes.
        lost_deck_m2: Deck, walk or drive that is given up.
        permeable_m2: Area of the pieces in paving that lets water through.
        after: The changed site, written, read back and judged.
        text: The site file with the change written into it.
        unmet: Ids of rules that the search answers for and that are still not met then.
        still_open: Ids of rules that are not met then as before: they are named apart.
        fails_if: The scenarios it was searched for and does not meet once drawn.
        faults: What was read back otherwise than it was asked; always a mistake of ours.
        to_settle: What somebody has to say anew, because a changed surface had to do with it.
        is_on_edge: It stands where a count or a limit jumps: nothing else was left.
        same_as: Key of an earlier option that changes the same; empty when none does.
    """

    key: Key
    title: str
    assumes: str
    pieces: tuple[Piece, ...]
    proof: Proof
    cents: int
    changed_m2: float
    lost_deck_m2: float
    permeable_m2: float
    after: Checked
    text: str
    unmet: tuple[str, ...] = ()
    still_open: tuple[str, ...] = ()
    fails_if: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    to_settle: tuple[str, ...] = ()
    is_on_edge: bool = False
    same_as: str = ""

    @property
    def is_offered(self) -> bool:
        """Whether the rules that the search answers for are met once it is written and read."""
        return not (self.unmet or self.fails_if or self.faults)

    @property
    def is_met(self) -> bool:
        """Whether every rule that was asked for is met then, those that are named apart too."""
        return self.is_offered and not self.still_open

    @property
    def still_fails(self) -> tuple[Finding, ...]:
        """What fails then as before, whatever is changed."""
        open_ones = [f for f in self.after.verdict.findings if f.rule in self.still_open]
        return tuple(f for f in open_ones if f.status not in OPEN | MET)


class Conflict(Record, kw_only=True):
    """Why nothing that may change is enough.

    Attributes:
        key: The option that cannot be had.
        title: Its name on pages.
        rules: Ids of the smallest set of rules that no change meets together.
        says: The conflict in words.
        short: By how much a single rule is missed at best; None for several rules.
    """

    key: Key
    title: str
    rules: tuple[str, ...]
    says: str
    short: Amount | None = None


class Options(Record, kw_only=True):
    """The answer to "what is the least we must change?".

    Attributes:
        checked: The design as it is.
        goal: What was asked.
        costs: What was reckoned with.
        options: The best first.
        conflicts: The options that cannot be had, each with the reason.
        beyond: Rules that open surfaces touch and that no allowed change mends, each the first of
            its conflict, with those met today that it would break; the options are for the rest.
        stuck: Rules that are not met and that no open surface can move: id and why.
        unsaid: Rules that the solver could not read, so that they were judged afterwards.
        hints: What would open more ways, e.g. facts that a credit hangs on.
        program: What was searched.
    """

    checked: Checked
    goal: Goal
    costs: Costs
    options: tuple[Option, ...]
    program: Program
    conflicts: tuple[Conflict, ...] = ()
    beyond: tuple[Conflict, ...] = ()
    stuck: tuple[tuple[str, str], ...] = ()
    unsaid: tuple[tuple[str, str], ...] = ()
    hints: tuple[str, ...] = ()

    @property
    def best(self) -> Option | None:
        """The first option that meets what can be met; None when there is none."""
        return next((option for option in self.options if option.is_offered), None)

    @property
    def apart(self) -> frozenset[str]:
        """Ids of the rules that the options are not for."""
        return frozenset({rule for rule, _ in self.stuck} | {c.rules[0] for c in self.beyond})

    @property
    def failing_apart(self) -> tuple[Finding, ...]:
        """What fails with or without a change, as far as the search can tell."""
        apart = self.apart | set(self.best.still_open if self.best is not None else ())
        findings = self.checked.verdict.findings
        return tuple(f for f in findings if f.rule in apart and f.status not in OPEN | MET)

    def option(self, key: str) -> Option:
        """An option by its key.

        Raises:
            KeyError: There is none.
        """
        for option in self.options:
            if option.key == key:
                return option
        raise KeyError(key)
