"""What the preflight finds: one record per thing asked for or compared."""

from __future__ import annotations

from typing import Literal

from checker.core.records import Record

CheckState = Literal["there", "missing", "attach", "not asked", "cannot tell"]


class Check(Record, kw_only=True):
    """One line of the preflight.

    Attributes:
        what: The thing asked for.
        state: there, missing, attach (a person must add it), not asked, cannot tell.
        says: Where it is, or what to do.
        is_must: The office asks for it; its absence stops the packet.
        clause: Where the office asks for it; empty for common practice.
        section: The section of that clause alone.
    """

    what: str
    state: CheckState
    says: str
    is_must: bool
    clause: str = ""
    section: str = ""


class Preflight(Record, kw_only=True):
    """All lines of the preflight."""

    checks: tuple[Check, ...]

    @property
    def stops(self) -> tuple[Check, ...]:
        """What an office would send the packet back for."""
        return tuple(c for c in self.checks if c.is_must and c.state not in {"there", "not asked"})

    @property
    def notes(self) -> tuple[Check, ...]:
        """What a person should look at."""
        wanted = {"missing", "attach", "cannot tell"}
        return tuple(c for c in self.checks if not c.is_must and c.state in wanted)

    @property
    def is_ready(self) -> bool:
        """Nothing that must be there is missing."""
        return not self.stops
