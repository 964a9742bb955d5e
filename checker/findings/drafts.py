"""Site files to start from: empty ones, and what a drawing gives under the rules of a place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.files.saving import save
from checker.findings import shelf
from checker.findings.heaviest import heaviest_in
from checker.rulesets.facts import check_answers
from checker.site import scaffold
from checker.site.beside import file_beside, place_from

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from checker.site.scaffold import NewSite


def begun_site(  # noqa: PLR0913 - what a person may choose, each by name
    path: Path,
    *,
    title: str = "My lot",
    place: str = "alder-ferry",
    units: str = "ft",
    drawing: Path | None = None,
    parts: Sequence[str] = (),
    layers: Mapping[str, str] | None = None,
    facts: Mapping[str, str] | None = None,
) -> NewSite:
    """A commented site file to start from, as a text; `path` is where it is to lie.

    Layers whose name says it plainly are taken for what they are, and marked with a '?'. Where a
    name leaves the material open, the one is taken that counts most in the place.

    Args:
        path: Where the file is to lie.
        title: The name of the project.
        place: Id or path of the rule set.
        units: The unit of coordinates, e.g. ft or m.
        drawing: A drawing to refer to.
        parts: What else to start with.
        layers: What layers of the drawing are, by name: over all that their names suggest.
        facts: Answers to what the rule set asks of the lot, by name.

    Raises:
        BadInput: The rule set, unit, part, layer or fact is unknown, or the drawing unreadable.
    """
    ruleset = shelf.load_ruleset(place, path)
    given = dict(facts or {})
    check_answers(ruleset.facts, given)
    return scaffold.new_site(
        title, place, units, drawing, folder=path.parent,
        facts={fact.name: fact.ask for fact in ruleset.facts.values()}, given=given, parts=parts,
        documents=ruleset.documents_asked(),
        heaviest=heaviest_in(ruleset) if drawing is not None else None, layers=layers,
    )  # fmt: skip


def site_of_drawing(
    drawing: Path,
    *,
    place: str = "",
    units: str = "ft",
    layers: Mapping[str, str] | None = None,
    facts: Mapping[str, str] | None = None,
) -> tuple[Path, tuple[str, ...]]:
    """The site file beside a drawing, written where there is none yet, and what to read at once.

    Args:
        drawing: A DXF, GeoJSON, GeoPackage or Shapefile.
        place: Id or path of the rule set; needed where the site file is not there.
        units: The unit of coordinates, e.g. ft or m.
        layers: What layers are, by name.
        facts: Answers to what the rule set asks of the lot, by name.

    Raises:
        BadInput: As `begun_site`; no place is given; or what is there is made of something else.
    """
    path, is_there = file_beside(drawing, place, is_said=bool(layers or facts))
    if is_there:
        return path, (f"{path.as_posix()} is there already and is judged as it stands.",)
    started = begun_site(
        path, title=drawing.stem, place=place_from(place, drawing.parent), units=units,
        drawing=drawing, layers=layers, facts=facts,
    )  # fmt: skip
    return save(path, started.text), started.told
