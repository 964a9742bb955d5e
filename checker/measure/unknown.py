"""What is asked of a surface whose material nobody knows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import replace

if TYPE_CHECKING:
    from checker.algebra.vocabulary import Vocabulary

_ASK: Final = "say what '{id}' is made of: its material"


def of_unknown(words: Vocabulary) -> Vocabulary:
    """The vocabulary of a rule set, in which material and nature are asked of the surface."""
    asked = {name: replace(words.surface[name], ask=_ASK) for name in ("material", "nature", "was")}
    return replace(words, surface={**words.surface, **asked})
