"""The facts that a verdict lacks, as questions of the page: answered by a field, or by drawing."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from checker.board.lot_things import REGION_KINDS
from checker.files.vocabulary import ATTRIBUTES
from checker.findings.lots import regions_told_apart
from checker.site.drawn_layers import FEATURE_KINDS
from checker.words.amounts import capital, clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.values import Missing
    from checker.board.outlines import Shown
    from checker.findings.checked import Checked

_UNDRAWN: Final = re.compile(
    r"draw (?:each (?P<each>[\w-]+)|(?:the regions? (?:of kind )?)?'(?P<named>[\w-]+)')"
)
"""How a measure asks for what is not drawn: by its kind, or by the id of a region."""


SIDES: Final = frozenset({"front", "rear", "side", "left", "right", "street"})
"""Names of lot lines."""


def questions(checked: Checked) -> list[Shown]:
    """Each fact that a rule lacks, once, with how it can be answered in place.

    What is to be drawn, or said not to be there, comes last.
    """
    missing = dict.fromkeys(item for f in checked.verdict.findings for item in f.missing)
    undrawn = dict.fromkeys(what for item in missing for what in _undrawn(item, checked))
    return [
        *_fields(dict.fromkeys((item.name, item.of) for item in missing if item.name), checked),
        *(_drawing(what, checked) for what in undrawn),
    ]


def _fields(missing: dict[tuple[str, str], None], checked: Checked) -> Iterator[Shown]:
    titles = {surface.id: clean(surface.title) for surface in checked.site.surfaces}
    ruleset = checked.ruleset
    for name, of in missing:
        word = ruleset.words.surface.get(name) if of else ruleset.facts.get(name)
        # What is only measured is drawn: a file has no field for it.
        if word is None or (of and word.work is not None and name not in ATTRIBUTES):
            continue
        # A fact's own words stand behind the instruction for who writes files.
        what = clean(word.ask.partition("': ")[2] or word.title)
        title = f"{titles.get(of, of)}: {what}" if of else capital(what)
        choices = ["yes", "no"] if word.kind == "yes or no" else list(word.choices)
        yield {"name": name, "of": of, "title": title, "choices": choices}


def undrawn(ask: str) -> str:
    """The kind of thing, or the id of the region, that a message asks to be drawn; else empty.

    Example:
        >>> undrawn("draw each well under 'features', or list 'well' under 'none_found'")
        'well'
    """
    found = _UNDRAWN.match(ask)
    return (found["each"] or found["named"]) if found else ""


def _undrawn(item: Missing, checked: Checked) -> Iterator[str]:
    if what := undrawn(item.ask):
        # A side of the lot is named, not drawn.
        if what not in SIDES:
            yield what
    elif item.name == "inside":
        # Which region a surface lies in is asked of all of them at once.
        for name in sorted(regions_told_apart(checked.ruleset)):
            rule = checked.ruleset.regions[name]
            if rule.making in {"overlay", "kind"} and not _is_known(rule.of, checked):
                yield rule.of


def _is_known(what: str, checked: Checked) -> bool:
    site = checked.site
    return what in site.none_found or any(what in (item.id, item.kind) for item in site.regions)


def _drawing(what: str, checked: Checked) -> Shown:
    """A question that is answered by drawing a thing, or by saying that there is none."""
    regions = sorted(checked.ruleset.regions.values(), key=lambda rule: rule.is_touching)
    rule = next((rule for rule in regions if rule.of == what and rule.making == "overlay"), None)
    if rule is not None:
        thing = {"list": "regions", "kind": "overlay", "id": what, "title": clean(rule.title)}
    elif what in FEATURE_KINDS:
        thing = {"list": "features", "kind": what}
    elif what in REGION_KINDS:
        thing = {"list": "regions", "kind": what}
    else:
        thing = {"list": "features", "kind": "other", "id": what}
    title = clean(rule.title) if rule is not None else what.replace("-", " ")
    return {
        "name": what,
        "of": "",
        "title": f"{capital(title)}: is there any on or near the lot?",
        "choices": [],
        "draws": thing,
    }
