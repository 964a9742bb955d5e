"""What is wrong with a text that is no YAML, in the words of a person who types it."""

from __future__ import annotations

from typing import Any


def syntax_words(says: str, text: str, mark: Any) -> tuple[str, str]:  # noqa: ANN401 - PyYAML's own
    """What is wrong and what to do, from what the parser says and where it stopped."""
    if _is_tab(text, mark):
        return says, "indent with spaces, not tabs"
    if _is_askew(says):
        return (
            "this line does not line up with the lines of its group above it",
            "indent it like them, with spaces; or close a bracket or quote left open above",
        )
    return says, _yaml_hint(says)


def _is_tab(text: str, mark: Any) -> bool:  # noqa: ANN401 - PyYAML's own
    """The parser stopped at a tab, which it does not name."""
    lines = text.split("\n", mark.line + 1) if mark else []
    return bool(mark and mark.line < len(lines) and lines[mark.line][mark.column :][:1] == "\t")


def _is_askew(says: str) -> bool:
    """The parser met a line whose indentation fits no group that is open."""
    return "expected '-' indicator" in says or "expected key" in says


def _yaml_hint(says: str) -> str:
    if "mapping values" in says:
        return "a text with ': ' in it needs quotes"
    if "expected <block end>" in says or "expected ',' or" in says:
        return "check the indentation and the brackets just above"
    if "undefined alias" in says:
        return "a text that starts with * needs quotes"
    if "invalid Unicode character escape" in says:
        return "half of a character: write \\u escapes of JSON in whole pairs"
    if "cannot start any token" in says:
        return "a text that starts with @, ` or % needs quotes"
    return "check the quotes, brackets and indentation here"
