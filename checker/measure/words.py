"""The vocabulary that every rule set starts from: measures, attributes, materials."""

from __future__ import annotations

from functools import cache

from checker.algebra.vocabulary import Vocabulary, Word
from checker.files.vocabulary import ATTRIBUTES
from checker.measure import survey  # noqa: F401 - importing registers the measures
from checker.measure.catalogue import LOT_MEASURES, SURFACE_MEASURES, Measure
from checker.site.materials import materials


def _word(measure: Measure) -> Word:
    return Word(
        name=measure.name,
        kind=measure.kind,
        title=measure.title,
        dimension=measure.dimension,
        choices=measure.choices,
        has_regions=measure.has_regions,
        ask=measure.ask,
    )


@cache
def built_in() -> Vocabulary:
    """All names that any rule set may use."""
    surface = {
        term.name: Word(
            name=term.name,
            kind=term.kind,
            title=term.text,
            dimension=term.dimension,
            choices=term.choices,
        )
        for term in ATTRIBUTES.values()
    }
    surface |= {name: _word(measure) for name, measure in SURFACE_MEASURES.items()}
    ask = "say what covers the land that no surface covers: 'rest_of_lot'"
    known = tuple(materials())
    natures = ("sealed", "porous", "open", "water")
    surface |= {
        word.name: word
        for word in (
            Word("material", "text", "material", choices=known, ask=ask),
            Word("over", "text", "what lies beneath it", choices=known),
            Word("nature", "text", "what rain meets", choices=natures),
            Word(
                "stage",
                "text",
                "its stage",
                choices=("existing", "removed", "proposed", "replaced"),
            ),
            Word("section", "text", "its pavement section"),
            Word("inside", "text", "the region it lies in", ask="draw the region"),
        )
    }
    lot = {name: _word(measure) for name, measure in LOT_MEASURES.items()}
    return Vocabulary(lot, surface)
