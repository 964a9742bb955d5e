"""The schemas of files with all names that an editor offers: for any place, or for one rule set."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from checker.files.editor_schema import editor_schema
from checker.files.grammar import Known
from checker.files.vocabulary import ATTRIBUTES
from checker.measure.words import built_in

if TYPE_CHECKING:
    from checker.rulesets.rules import RuleSet

SHIPPED: Final = ("ruleset", "site", "table", "sources", "materials", "layer-words", "costs")
"""Kinds of files that come along; their schemas lie in `rules/schemas/`."""


def schema_of(kind: str, ruleset: RuleSet | None = None) -> dict[str, Any]:
    """The schema of a kind of file.

    Args:
        kind: A name of `files.compile.SHAPES`.
        ruleset: Whose names are all there are; None offers what every place may use.

    Raises:
        BadInput: There is no such kind.
    """
    words = built_in() if ruleset is None else ruleset.words
    declared = {} if ruleset is None else ruleset.attributes
    known = Known(
        lot=words.lot,
        surface=words.surface,
        given={name: word for name, word in (ATTRIBUTES | {**declared}).items() if name != "area"},
        regions=tuple(words.regions),
        readings=words.readings,
        rules=tuple(sorted(words.rules)),
        is_whole=ruleset is not None,
    )
    return editor_schema(kind, known)


def schema_text(kind: str, ruleset: RuleSet | None = None) -> str:
    """The same as text that is the same every time."""
    return json.dumps(schema_of(kind, ruleset), indent=1, sort_keys=True) + "\n"
