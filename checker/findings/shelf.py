"""The rule sets that come with the program, and rule sets of a user's own, by id or path."""

from __future__ import annotations

import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from checker.core.problems import Place, Problem
from checker.files import library

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from checker.files.source import Document
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


PAUSE_S: Final = 0.5
"""Between two looks at files that a person saves."""


def places() -> Mapping[str, Path]:
    """The rule sets that come with the package, by id."""
    return library.listed(library.jurisdictions_folder())


def models() -> Mapping[str, Path]:
    """The model rule sets that places adopt, by id."""
    return library.listed(library.rules_folder() / "models")


def samples() -> Mapping[str, Path]:
    """The invented lots that come with the package: the site file of each, by name."""
    folder = library.samples_folder()
    return {path.parent.name: path for path in sorted(folder.glob("*/site.yaml"))}


def load_ruleset(name: str, beside: Path | None = None, place: Place | None = None) -> RuleSet:
    """Read a rule set by id or path, with the models it adopts.

    Args:
        name: An id of `places()` or `models()`, or a path.
        beside: The file whose folder a relative path starts from; the current folder when None.
        place: Where the name stands, for messages.

    Raises:
        BadInput: There is no such rule set, or it has problems.
    """
    from checker.measure.words import built_in
    from checker.rulesets.read import read_ruleset

    known = dict(models()) | dict(places())
    stands = place or Place(name)
    path = library.find(name, known, beside or Path("here"), stands, "rule set")
    kept = _KEPT.get(path)
    if kept is not None and all(_stamp(file) == stamp for file, stamp in kept[0].items()):
        return kept[1]
    files = {path: _stamp(path)}
    document = library.named_document(path, "ruleset", "rule set", stands)

    def adopted(model: str) -> Document:
        """A rule set to adopt: a model, or the file of a wider authority."""
        listed = dict(places()) | dict(models())
        noun = "model rule set"
        file = library.find(model, listed, path, Place(model), noun)
        files[file] = _stamp(file)
        return library.named_document(file, "ruleset", noun, Place(library.shown(path)))

    ruleset = read_ruleset(document, adopted, built_in())
    _KEPT[path] = (files, ruleset)
    return ruleset


_KEPT: Final[dict[Path, tuple[dict[Path, tuple[int, int]], RuleSet]]] = {}
"""Rule sets read before, each with its files as they were: of use to a process that stays."""


def load_ruleset_for(site: Site) -> RuleSet:
    """Read the rule set that a site file names.

    Raises:
        BadInput: There is no such rule set, or it has problems.
    """
    return load_ruleset(site.place_id, site.file, site.document.place("place"))


def _stamp(path: Path) -> tuple[int, int]:
    """What tells that a file was changed."""
    try:
        known = path.stat()
    except OSError:
        return 0, 0
    return known.st_mtime_ns, known.st_size


def saves_of(names: Sequence[str], pause: Callable[[], object] | None = None) -> Iterator[None]:
    """Once at the start, and again whenever a rule set or one that it may adopt is saved.

    Args:
        names: Ids or paths.
        pause: Waits a moment between two looks.
    """
    wait = pause or partial(time.sleep, PAUSE_S)
    while True:
        before = _stamps(names)
        yield
        while _stamps(names) == before:
            wait()


def _stamps(names: Sequence[str]) -> dict[Path, tuple[int, int]]:
    folders = {library.jurisdictions_folder(), library.rules_folder() / "models"}
    folders |= {Path(name).parent for name in names if library.is_path(name)}
    return {file: _stamp(file) for folder in folders for file in folder.glob("*.yaml")}


def remarks(ruleset: RuleSet) -> tuple[str, ...]:
    """What is odd about a rule set that can be read: an id that is not the name of its file."""
    stem = Path(ruleset.document.file).stem
    if ruleset.id == stem:
        return ()
    place = ruleset.document.place("id")
    says = f"'id' is '{ruleset.id}', but the file is '{Path(ruleset.document.file).name}'"
    do = "make them alike: other files and reports go by both"
    return (str(Problem(place, says, do)),)
