"""The form by which a place is begun: what an applicant can read off the page of an office.

Each question stands alone and may be left open. Surfaces are asked for by the names that
application forms use; together they hold every material.
"""

from __future__ import annotations

from typing import Final

from checker.core.records import Record

CANNOT_TELL: Final = frozenset({"", "?", "cannot tell", "unknown", "do not know"})
"""Answers that leave a question open."""


class Question(Record, kw_only=True):
    """One question of the form.

    Attributes:
        key: Its name in a file of answers.
        ask: The question.
        like: Answers to go by, with a bar between two.
        is_needed: Without an answer no rule set can be written.
        materials: For a surface: the materials that it stands for.
    """

    key: str
    ask: str
    like: str
    is_needed: bool = False
    materials: tuple[str, ...] = ()


TEXT: Final = (
    Question(
        key="title",
        ask="Which place and district?",
        like="Plover Bank, district R-1",
        is_needed=True,
    ),
    Question(
        key="document",
        ask="What is the text called?",
        like="Plover Bank Code, chapter 9",
        is_needed=True,
    ),
    Question(
        key="edition", ask="Which version, or as of which date?", like="2024-05", is_needed=True
    ),
    Question(
        key="section",
        ask="In which section or on which page is the limit?",
        like="9.1",
        is_needed=True,
    ),
    Question(key="since", ask="Since when is it in force?", like="2024-05-01", is_needed=True),
    Question(
        key="reading",
        ask="How was it read?",
        like="read | read in part | second-hand | invented",
        is_needed=True,
    ),
    Question(key="units", ask="In which units are its pages?", like="us | metric", is_needed=True),
    Question(key="office", ask="With which office is it to be verified?", like="the town clerk"),
)
"""Where the law stands."""

LIMIT: Final = (
    Question(
        key="most",
        ask="How much of a lot may be covered?",
        like="45 % | 4,500 sq ft | none | lesser of 40 % and 6,000 sq ft | "
        "up to 9,000 sq ft: 60 %; above: greater of 50 % and 5,400 sq ft",
    ),
    Question(
        key="of",
        ask="Of what is that a share?",
        like="lot | lot less easements (or rights-of-way, wetlands, water)",
    ),
)
"""The limit of the lot."""


def _surface(key: str, title: str, *materials: str, like: str = "") -> Question:
    return Question(key=key, ask=title, like=like, materials=materials)


SURFACES: Final = (
    _surface("roofs", "roofs and buildings", "roof", "foundation", like="full"),
    _surface("roof_overhangs", "roof overhangs", "roof-eave", like="none"),
    _surface("open_pergolas", "open pergolas", "pergola-open", like="none"),
    _surface(
        "planted_roofs",
        "planted roofs",
        "green-roof",
        like="half if soil depth at least 4 in else full",
    ),
    _surface(
        "patios",
        "patios and walks of concrete or stone",
        "concrete-slab",
        "stone-slab",
        like="full",
    ),
    _surface("drives", "drives of asphalt or concrete", "asphalt", "concrete-drive", like="full"),
    _surface("sand_set_pavers", "pavers in sand", "sand-set-pavers", like="full"),
    _surface(
        "permeable_paving",
        "permeable paving",
        "permeable-paving",
        "porous-concrete",
        like="25 % if infiltration rate at least 50 in/h and run-on at most 1 else full",
    ),
    _surface("grid_paving", "open grid paving", "grid-paving", like="half"),
    _surface("gravel", "gravel", "gravel", like="full"),
    _surface("washed_stone", "washed stone over fabric", "clean-stone", like="none"),
    _surface(
        "stepping_stones", "stepping stones", "stepping-stones", like="full each over 4 sq ft"
    ),
    _surface(
        "artificial_turf", "artificial turf", "artificial-turf", like="full if lined else none"
    ),
    _surface(
        "open_decks",
        "decks of boards with gaps",
        "wood-deck",
        "composite-deck",
        like="none if gap at least 1/4 in and over open ground else full",
    ),
    _surface(
        "tight_decks", "decks without gaps and footbridges", "tight-deck", "bridge", like="full"
    ),
    _surface("pool_water", "pool and spa water", "pool-water", "spa-water", like="half"),
    _surface("pool_coping", "pool coping", "pool-coping", like="full"),
    _surface(
        "walls_and_pads",
        "steps, walls, drains and equipment pads",
        "steps",
        "retaining-wall",
        "equipment-pad",
        "channel-drain",
        like="full",
    ),
    _surface(
        "open_ground",
        "lawn, beds, mulch and soil",
        "lawn",
        "planting-bed",
        "rain-garden",
        "mulch",
        "bare-soil",
        like="none",
    ),
    _surface("natural_water", "ponds, streams and wetland", "water-body", "wetland", like="none"),
)
"""How much of each surface counts as cover."""

REST: Final = (
    Question(
        key="yards",
        ask="Which yards have a limit of their own?",
        like="none | rear 25 ft: 50 %; front: 40 % (without a depth: up to the house)",
    ),
    Question(
        key="ways_out",
        ask="How many ways out, sharing no inlet or pipe, must water from a deck have?",
        like="none | 2",
    ),
    Question(
        key="papers",
        ask="Which papers are to be handed in?",
        like="none | copy of the survey; drainage plan",
    ),
)
"""Yards, the way of the water, papers."""

QUESTIONS: Final = (*TEXT, *LIMIT, *SURFACES, *REST)
"""All of them, in order."""


def question(key: str) -> Question:
    """The question with a key.

    Raises:
        KeyError: There is none.
    """
    return {asked.key: asked for asked in QUESTIONS}[key]
