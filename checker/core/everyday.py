"""Words that people type where the files have another one for the same thing."""

from __future__ import annotations

from typing import Final

MEANT: Final[dict[str, tuple[str, ...]]] = {
    # orders
    "maximum": ("at_most",), "max": ("at_most",), "no_more_than": ("at_most",),
    "not_more_than": ("at_most",), "up_to": ("at_most",), "limit": ("at_most",),
    "minimum": ("at_least",), "min": ("at_least",), "no_less_than": ("at_least",),
    "not_less_than": ("at_least",), "over": ("more_than",), "above": ("more_than",),
    "exceeds": ("more_than",), "greater_than": ("more_than",), "under": ("less_than",),
    "below": ("less_than",), "equals": ("equal_to",),
    # shares that count
    "factor": ("weight",), "counts": ("weight",), "share": ("weight", "percent"),
    "credit": ("weight",), "exempt": ("exempt_first", "exempt_up_to"),
    # natures: a word that looks like one of ours may mean its opposite
    "impervious": ("sealed",), "impermeable": ("sealed",), "hard": ("sealed",),
    "paved": ("sealed",), "unsealed": ("open", "porous"), "pervious": ("open", "porous"),
    "permeable": ("porous", "open"), "unpaved": ("open",), "green": ("open",), "soft": ("open",),
    # stages
    "new": ("proposed",), "planned": ("proposed",), "old": ("existing",), "stays": ("existing",),
    "demo": ("removed",), "demolish": ("removed",), "demolition": ("removed",),
    "rem": ("removed",), "exist": ("existing",), "ex": ("existing",), "prop": ("proposed",),
    "future": ("proposed",), "replace": ("replaced",),
    "demolished": ("removed",), "remove": ("removed",), "rebuilt": ("replaced",),
    # purposes
    "house": ("dwelling",), "home": ("dwelling",), "residence": ("dwelling",),
    "path": ("walk",), "sidewalk": ("walk",), "walkway": ("walk",),
    "terrace": ("patio",), "shed": ("accessory",), "carport": ("garage",),
    # materials
    "grass": ("lawn", "artificial-turf"), "turf": ("lawn", "artificial-turf"),
    "concrete": ("concrete-slab", "concrete-drive", "porous-concrete"),
    "deck": ("wood-deck", "composite-deck", "tight-deck"), "house-roof": ("roof",),
    "building": ("roof", "foundation"), "pool": ("pool-water", "pool-coping"),
    "spa": ("spa-water",), "coping": ("pool-coping",), "eave": ("roof-eave",),
    "eaves": ("roof-eave",), "stone": ("stone-slab", "clean-stone"),
    "brick": ("sand-set-pavers", "permeable-paving"), "bricks": ("sand-set-pavers",),
    "brick-pavers": ("sand-set-pavers", "permeable-paving"),
    "permeable-pavers": ("permeable-paving",), "permeable pavers": ("permeable-paving",),
    "pervious-pavers": ("permeable-paving",), "pervious pavers": ("permeable-paving",),
    "pervious-concrete": ("porous-concrete",), "pervious concrete": ("porous-concrete",),
    "porous-asphalt": ("porous-concrete",), "flagstone": ("stone-slab", "stepping-stones"),
    "travertine": ("stone-slab",), "bluestone": ("stone-slab",), "blacktop": ("asphalt",),
    "slab": ("concrete-slab",), "patio": ("concrete-slab", "sand-set-pavers", "stone-slab"),
    "walk": ("concrete-slab", "sand-set-pavers"), "driveway": ("drive", "concrete-drive"),
    "water": ("pool-water", "spa-water", "water-body"), "hot-tub": ("spa-water",),
    "hot tub": ("spa-water",), "pad": ("equipment-pad",), "mulch-bed": ("mulch",),
    "rock": ("clean-stone", "gravel"), "turf-block": ("grid-paving",),
    "soil": ("bare-soil",), "dirt": ("bare-soil",), "wall": ("retaining-wall",),
    "pavers": ("sand-set-pavers", "permeable-paving"), "pond": ("water-body",),
    "pergola": ("pergola-open",), "stairs": ("steps",), "beds": ("planting-bed",),
    # statuses
    "pass": ("passes",), "ok": ("passes",), "fail": ("fails",), "unknown": ("cannot tell",),
    "not applicable": ("does not apply",), "n/a": ("does not apply",),
    # other keys
    "stories": ("storeys",), "floors": ("storeys",), "center": ("centre",),
    "exception": ("or_else",), "unless": ("or_else", "applies"), "when": ("applies",),
    "condition": ("require",), "must": ("require",),
}  # fmt: skip
"""An everyday word to what it may mean; only what is allowed at the spot is ever suggested."""
