"""What the words in a layer's name suggest, read from `rules/layer-words.yaml`.

A file `layer-words.yaml` beside the drawing adds words; its entries come first.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any, Final, cast

from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record
from checker.files.library import library_document, rules_folder
from checker.files.shape import check_shape
from checker.files.source import read_document
from checker.files.vocabulary import ATTRIBUTES
from checker.site.drawn_layers import FEATURE_KINDS, REGION_KINDS
from checker.site.materials import materials

if TYPE_CHECKING:
    from pathlib import Path

    from checker.core.words import Stage
    from checker.files.source import Document

FILE: Final = "layer-words.yaml"
NONE: Final = "none"
LOT: Final = "lot"

_CAPITAL_INSIDE: Final = re.compile(r"(?<=[a-z])(?=[A-Z])")
_SHORTEST_PART: Final = 3


class Guess(Record, kw_only=True):
    """What a name suggests.

    Attributes:
        meaning: A material, `lot`, a kind of feature or region, `none` for no surface; empty for
            nothing.
        stage: What the name says of the stage; empty when it says nothing.
        purpose: What the name says it is for; empty when it says nothing.
        because: The words that decided, and what to know of the guess.
        may_be: Materials that it may be as well.
        is_plain: Whether the name says one thing: no surface is named beside what is none.
    """

    may_be: tuple[str, ...] = ()
    is_plain: bool = True
    meaning: str = ""
    stage: Stage | str = ""
    purpose: str = ""
    because: str = ""


class WordEntry(Record, kw_only=True):
    """Phrases that mean one thing; a phrase is one or more words, in any order."""

    phrases: tuple[frozenset[str], ...]
    meaning: str
    because: str = ""
    may_be: tuple[str, ...] = ()
    is_plain: bool = False


class LayerWords(Record, kw_only=True):
    """The table.

    Attributes:
        meanings: In order; the first that fits decides.
        stages: Words that say existing, proposed or removed.
        purposes: Words that say what a surface is for.
        known: Every word of the table.
    """

    meanings: tuple[WordEntry, ...]
    stages: tuple[WordEntry, ...]
    purposes: tuple[WordEntry, ...]
    known: frozenset[str]

    def guess(self, name: str) -> Guess:
        """What the name of a layer suggests."""
        words = self._words(name)
        meaning, because, used = "", "", frozenset[str]()
        may_be: tuple[str, ...] = ()
        is_plain = is_settled = True
        for entry in self.meanings:
            fits = [phrase for phrase in entry.phrases if phrase <= words]
            if fits and not meaning:
                used = max(fits, key=len)
                meaning, because, may_be = entry.meaning, entry.because, entry.may_be
                is_settled = entry.is_plain or meaning in materials()
            elif fits and not is_settled and entry.meaning in materials():
                # A name such as PATIO-COVER speaks of a surface all the same.
                is_plain &= any(phrase <= used for phrase in fits)
        left = words - used
        stage, stage_word = "", ""
        for entry in self.stages:
            found = sorted(word for phrase in entry.phrases if phrase <= left for word in phrase)
            if found and not stage:
                stage, stage_word = entry.meaning, found[0]
        told = [f"from {_listed(used)}"] if used else []
        told += [because] if because else []
        told += [f"'{stage_word}' says {stage}"] if stage else []
        purpose = next(
            (e.meaning for e in self.purposes if any(phrase <= words for phrase in e.phrases)), ""
        )
        return Guess(
            meaning=meaning, stage=stage, purpose=purpose, because="; ".join(told), may_be=may_be,
            is_plain=is_plain,
        )  # fmt: skip

    def _words(self, name: str) -> frozenset[str]:
        """The words of a name, each as the table has it."""
        apart = _CAPITAL_INSIDE.sub(" ", name)
        found: set[str] = set()
        for word in re.findall(r"[a-z]+", apart.lower()):
            found |= {self._known(part) for part in self._split(word)}
        return frozenset(found)

    def _known(self, word: str) -> str:
        """A word of the table for a word or its plural."""
        if word in self.known:
            return word
        for ending, instead in (("ies", "y"), ("es", ""), ("s", "")):
            if word.endswith(ending) and word.removesuffix(ending) + instead in self.known:
                return word.removesuffix(ending) + instead
        return word

    def _split(self, word: str) -> list[str]:
        """Two words of the table that are written as one."""
        if self._known(word) in self.known:
            return [word]
        for cut in range(_SHORTEST_PART, len(word) - _SHORTEST_PART + 1):
            parts = [word[:cut], word[cut:]]
            if all(self._known(part) in self.known for part in parts):
                return parts
        return [word]


def _listed(words: frozenset[str]) -> str:
    return " and ".join(f"'{word}'" for word in sorted(words))


def layer_words(beside: Path | None = None) -> LayerWords:
    """The table of the package, after that of a folder when it has one.

    Args:
        beside: The folder of the drawing.

    Raises:
        BadInput: A table cannot be read, or names what is no material, kind of feature or stage.
    """
    own = _shipped()
    path = beside / FILE if beside is not None else None
    if path is None or not path.is_file():
        return own
    added = _read(read_document(path, path.name))
    return LayerWords(
        meanings=added.meanings + own.meanings,
        stages=added.stages + own.stages,
        purposes=added.purposes + own.purposes,
        known=added.known | own.known,
    )


@cache
def _shipped() -> LayerWords:
    return _read(library_document(rules_folder() / FILE))


def _read(document: Document) -> LayerWords:
    data = cast("dict[str, Any]", check_shape("layer-words", document.data, document))
    allowed = {LOT, NONE, *FEATURE_KINDS, *REGION_KINDS, *materials()}
    problems = Problems()
    for index, row in enumerate(data["meanings"]):
        if row["means"] not in allowed:
            place = document.place("meanings", index, "means")
            says = f"'{row['means']}' is no material, kind of feature, 'easement', 'lot' or 'none'"
            problems.add(place, says, did_you_mean(row["means"], allowed))
        for number, name in enumerate(row.get("may_be", ())):
            if name not in materials():
                place = document.place("meanings", index, "may_be", number)
                says = f"'{name}' is no material"
                problems.add(place, says, did_you_mean(name, materials()))
    for index, row in enumerate(data.get("purposes", ())):
        if row["purpose"] not in ATTRIBUTES["purpose"].choices:
            place = document.place("purposes", index, "purpose")
            says = f"'{row['purpose']}' is no purpose"
            problems.add(place, says, did_you_mean(row["purpose"], ATTRIBUTES["purpose"].choices))
    problems.stop_if_any(f"{document.file} cannot be used")
    meanings = tuple(_entry(row, row["means"]) for row in data["meanings"])
    stages = tuple(_entry(row, row["stage"]) for row in data.get("stages", ()))
    purposes = tuple(_entry(row, row["purpose"]) for row in data.get("purposes", ()))
    every = (*meanings, *stages, *purposes)
    known = {word for entry in every for phrase in entry.phrases for word in phrase}
    return LayerWords(meanings=meanings, stages=stages, purposes=purposes, known=frozenset(known))


def _entry(row: dict[str, Any], meaning: str) -> WordEntry:
    phrases = tuple(frozenset(re.findall(r"[a-z]+", text.lower())) for text in row["words"])
    return WordEntry(
        phrases=tuple(phrase for phrase in phrases if phrase),
        meaning=meaning,
        because=row.get("because", ""),
        may_be=tuple(row.get("may_be", ())),
        is_plain=row.get("plain", False),
    )
