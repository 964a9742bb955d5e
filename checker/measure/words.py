"""The vocabulary that every rule set starts from: measures, attributes, materials."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, get_args

from checker.algebra.vocabulary import Vocabulary
from checker.core.words import WAS, WAS_NOTHING, WORK, Word, WorkKind
from checker.files.vocabulary import ATTRIBUTES
from checker.measure import cover, layout, works  # noqa: F401 - importing registers the measures
from checker.measure.catalogue import LOT_MEASURES, SURFACE_MEASURES
from checker.measure.drainage import measures as of_drainage  # noqa: F401 - likewise
from checker.measure.section import attributes  # noqa: F401 - likewise
from checker.measure.section import measures as of_section  # noqa: F401 - likewise
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def built_in() -> Vocabulary:
    """All names that any rule set may use."""
    surface = ATTRIBUTES | _by_home(SURFACE_MEASURES)
    ask = "say what covers the land that no surface covers: 'rest_of_lot'"
    known = tuple(materials())
    natures = ("sealed", "porous", "open", "water")
    surface |= {
        word.name: word
        for word in (
            Word("material", "text", "material", choices=known, ask=ask),
            Word(WAS, "text", "what it is made of today", choices=(*known, WAS_NOTHING)),
            Word("over", "text", "what lies beneath it", choices=known),
            Word("nature", "text", "what rain meets", choices=natures),
            Word(
                "stage",
                "text",
                "its stage",
                choices=("existing", "removed", "proposed", "replaced"),
            ),
            Word("section", "text", "its pavement section"),
            Word(WORK, "text", "what is built for water", choices=get_args(WorkKind)),
            Word("inside", "text", "the region it lies in", ask="draw the region"),
        )
    }
    return Vocabulary(_by_home(LOT_MEASURES), surface)


def _by_home(measures: Mapping[str, Word]) -> dict[str, Word]:
    """Measures by the module they live in, whichever was imported first."""
    return dict(sorted(measures.items(), key=lambda item: getattr(item[1].work, "__module__", "")))
