"""Blocks that can be worked out, and for the others what must be given."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.formula import OutOfRange, lack_text
from checker.core.problems import BadInput
from checker.measure.catalogue import NotMeasured
from checker.pages.blocks import Table, caution, para
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.core.units import System
    from checker.pages.blocks import Block


def filled(system: System, *makes: Callable[[], Block]) -> tuple[Block, ...]:
    """The blocks; what lacks for one stands in its place, and is said once."""
    found: dict[Block, None] = {}
    for make in makes:
        try:
            block = make()
        except (NotMeasured, OutOfRange) as lacks:
            block = caution(f"Cannot tell: {clean(lack_text(lacks, system))}.")
        except BadInput as wrong:
            says = "; ".join(clean(f"{p.says}; {p.do}" if p.do else p.says) for p in wrong.problems)
            block = caution(f"The drainage as drawn cannot work: {says}.")
        if isinstance(block, Table) and not block.rows:
            block = para(f"{block.caption}: none drawn.", "fine")
        found[block] = None
    return tuple(found)
