"""The parts of `jurisdictions/README.md` and `rules/README.md` that are lists of what there is.

They stand between two comments each and are written by `python -m checker.findings.handbook`; a
test says when it is due. Everything else in those files is written by hand.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.units import RATIO, UNITS
from checker.files.compile import json_schema
from checker.files.editor_line import schema_name
from checker.files.library import (
    jurisdictions_folder,
    rules_folder,
)
from checker.findings import shelf
from checker.findings.editor_names import SHIPPED, schema_text
from checker.findings.examples import examples_of
from checker.measure.catalogue import SURFACE_MEASURES
from checker.measure.words import built_in
from checker.rulesets.english import English
from checker.rulesets.names import DIMENSIONS
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from pathlib import Path

    from checker.core.words import Word
    from checker.rulesets.rules import RuleSet

_ANSWERS: Final = {
    "material": "a material",
    "over": "a material",
    "was": "a material, or `nothing`",
}
"""What a word answers, where its choices are the list of materials below."""

_HEADINGS: Final = {
    "SourceShape": "An entry of `sources`:",
    "FactShape": "An entry of `facts` or `attributes`:",
    "ReadingShape": "An entry of `readings`:",
    "RegionRuleShape": "An entry of `regions`, made by one of overlay, kind, yard and band:",
    "CountShape": "An entry of `counts`, a counting table:",
    "CountRowShape": "A row of a counting table:",
    "AmountRuleShape": "An entry of `amounts`:",
    "RuleShape": "An entry of `rules`:",
    "ResultShape": "An entry of `results`:",
    "BandShape": "A rung of `or_else`:",
    "ExampleShape": "A worked example:",
    "CiteShape": "A citation:",
    "InForceShape": "An entry of `in_force`:",
}


def _table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    yield f"| {' | '.join(heads)} |"
    yield f"|{'---|' * len(heads)}"
    for row in rows:
        cells = (" ".join(str(cell).split()).replace("|", "\\|") for cell in row)
        yield f"| {' | '.join(cells)} |"


def _kind(word: Word) -> str:
    if word.choices:
        return ", ".join(f"`{choice}`" for choice in word.choices)
    return word.dimension.name if word.kind == "amount" else word.kind


def names() -> Iterator[str]:
    """Measures of the lot, what rules can ask of a surface, and materials."""
    words = built_in()
    yield "Measures of the lot:"
    yield ""
    yield from _table(
        ("name", "what it is", "kind", "can be cut to a region"),
        (
            (f"`{word.name}`", word.title, _kind(word), "yes" if word.has_regions else "")
            for word in words.lot.values()
        ),
    )
    yield ""
    yield "Of a surface, for selections, `needs` and `for_each`:"
    yield ""
    yield from _table(
        ("name", "what it is", "answers", "from"),
        (
            (
                f"`{word.name}`",
                word.title,
                _ANSWERS.get(word.name) or _kind(word),
                "the drawing" if word.name in SURFACE_MEASURES else "the site file",
            )
            for word in words.surface.values()
        ),
    )
    yield ""
    yield "Materials:"
    yield ""
    yield from _table(
        ("id", "what it is", "nature", "level"),
        ((f"`{item.id}`", item.title, item.nature, item.level) for item in materials().values()),
    )


def keys() -> Iterator[str]:
    """Every key of a rule-set file."""
    schema = json_schema("ruleset")
    parts = {"The file:": schema}
    parts |= {heading: schema["$defs"][name] for name, heading in _HEADINGS.items()}
    for heading, part in parts.items():
        yield heading
        yield ""
        needed = part.get("required", [])
        yield from _table(
            ("key", "needed", "what it is"),
            (
                (f"`{key}`", "yes" if key in needed else "", _meaning(item))
                for key, item in part["properties"].items()
            ),
        )
        yield ""


def _meaning(item: dict[str, Any]) -> str:
    choices = item.get("enum") or ([item["const"]] if "const" in item else [])
    said = ", ".join(f"`{choice}`" for choice in choices)
    text = item.get("description", "")
    return f"{text}: {said}" if said and text else text or said


def units() -> Iterator[str]:
    """Every unit of what rules reckon with, by kind, and how else it may be written."""
    rows: list[tuple[object, ...]] = []
    for kind, dimension in DIMENSIONS.items():
        found = [unit for unit in UNITS if unit.dimension == dimension and unit.name]
        names = [f"`{unit.name}`" for unit in found]
        if dimension == RATIO:
            names = ["none", *names, "`2:1`"]
        also = [spelling for unit in found for spelling in unit.spellings]
        rows.append((kind, ", ".join(names), ", ".join(f"`{text}`" for text in also)))
    yield from _table(("kind", "units", "also taken"), rows)


def _checks(ruleset: RuleSet) -> tuple[int, int]:
    own = [e for _, e in examples_of(ruleset) if e.document is ruleset.document]
    printed = sum(1 for example in own if example.is_printed)
    return printed, len(own) - printed


def places() -> Iterator[str]:
    """Every place: how many rules, tables and checks, and how far its sources were read."""
    rows: list[tuple[object, ...]] = []
    for name in shelf.places():
        ruleset = shelf.load_ruleset(name)
        printed, hand = _checks(ruleset)
        own = [rule for rule in ruleset.rules if not rule.origin]
        readings = dict.fromkeys(
            source.reading for source in ruleset.sources.values() if ruleset.kind == "published"
        )
        rows.append(
            (
                f"`{name}`",
                ruleset.title,
                ruleset.kind,
                len(own) + sum(not item.origin for item in ruleset.results),
                len(ruleset.document.data.get("counts", {})),
                printed,
                hand,
                len(ruleset.left_out) or "",
                ", ".join(readings),
            )
        )
    heads = (
        "id", "place", "kind", "rules and results", "tables", "printed checks", "hand checks",
        "left out", "sources",
    )  # fmt: skip
    yield from _table(heads, rows)


def left_out() -> Iterator[str]:
    """What of each published text is not in its file."""
    for name in shelf.places():
        ruleset = shelf.load_ruleset(name)
        if ruleset.kind != "published":
            continue
        yield f"{ruleset.title}:"
        yield ""
        yield from (f"- {' '.join(text.split())}" for text in ruleset.left_out)
        yield ""


def models() -> Iterator[str]:
    """Every model: what it asks, what it counts, and the amounts a place may set."""
    for name in shelf.models():
        ruleset = shelf.load_ruleset(name)
        own = ruleset.document.data
        yield f"**`{name}`**: {ruleset.title}. {_counted(len(own['rules']), 'rule')}."
        yield ""
        yield from _table(
            ("part", "name", "what it is"),
            [
                *(("rule", f"`{r.id}`", r.title) for r in ruleset.rules if not r.origin),
                *(("table", f"`{t}`", ruleset.counts[t].title) for t in own.get("counts", ())),
                *(
                    ("amount", f"`{a}`", f"{ruleset.words.lot[a].title}: {_amount(ruleset, a)}")
                    for a in own.get("amounts", ())
                ),
                *(("fact", f"`{f}`", ruleset.facts[f].title) for f in own.get("facts", ())),
            ],
        )
        yield ""


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _amount(ruleset: RuleSet, name: str) -> str:
    return English(ruleset).speaker.number(ruleset.amounts[name])


SECTIONS: Final[dict[str, tuple[str, Callable[[], Iterator[str]]]]] = {
    "names": ("jurisdictions", names),
    "keys": ("jurisdictions", keys),
    "units": ("jurisdictions", units),
    "places": ("jurisdictions", places),
    "left-out": ("jurisdictions", left_out),
    "models": ("rules", models),
}
"""Each section with the folder whose README holds it."""


def readme(folder: str) -> Path:
    """The README of `rules` or `jurisdictions`."""
    return (rules_folder() if folder == "rules" else jurisdictions_folder()) / "README.md"


def written(folder: str, text: str) -> str:
    """The text of a README with its sections as they should be.

    Raises:
        ValueError: A section's comments are missing.
    """
    for name, (home, make) in SECTIONS.items():
        if home != folder:
            continue
        start, end = f"<!-- {name} -->", f"<!-- end of {name} -->"
        pattern = re.compile(f"{re.escape(start)}.*?{re.escape(end)}", re.DOTALL)
        found = pattern.search(text)
        if found is None:
            raise ValueError(f"{folder}/README.md has no section {start} ... {end}")
        body = "\n".join(make()).strip()
        text = f"{text[: found.start()]}{start}\n\n{body}\n\n{end}{text[found.end() :]}"
    return text


def main() -> None:
    """Write both READMEs and the schemas for editors anew."""
    for kind in SHIPPED:
        schema = rules_folder() / "schemas" / schema_name(kind)
        schema.parent.mkdir(exist_ok=True)
        schema.write_text(schema_text(kind), encoding="utf-8")
    for folder in ("jurisdictions", "rules"):
        path = readme(folder)
        path.write_text(written(folder, path.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
