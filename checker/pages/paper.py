"""One document of a packet, before any file format."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record

if TYPE_CHECKING:
    from checker.pages.blocks import Block


class Paper(Record, kw_only=True):
    """One document of the packet.

    Attributes:
        id: Its name in file names, e.g. "narrative".
        number: Its number in the index, e.g. "3".
        title: Its name on pages.
        blocks: Its content.
        is_empty: There is nothing to show; the content says what to give.
    """

    id: str
    number: str
    title: str
    blocks: tuple[Block, ...]
    is_empty: bool = False
