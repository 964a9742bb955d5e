"""The shapes of the lists of words: materials, and what the names of layers suggest."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import Id


class MaterialShape(TypedDict):
    """A class of surface."""

    id: Id
    title: str
    level: Literal["ground", "raised", "roof"]
    precedence: Annotated[
        int, Field(description="which wins where two of one level overlap: the larger number")
    ]
    nature: Annotated[
        Literal["sealed", "porous", "open", "water"], Field(description="what rain meets")
    ]
    group: Annotated[str, Field(description="the heading in worksheets")]
    hatch: NotRequired[str]
    purpose: NotRequired[
        Annotated[str, Field(description="what it is for where the site file does not say")]
    ]


class MaterialsShape(TypedDict):
    """The list of materials."""

    format: Literal["materials/1"]
    materials: Annotated[list[MaterialShape], Field(min_length=1)]


class LayerMeaningShape(TypedDict):
    """What words in the name of a layer suggest."""

    words: Annotated[list[str], Field(min_length=1, description="words or phrases, in any order")]
    means: Annotated[
        str, Field(description="a material, lot, a kind of feature, easement, or none")
    ]
    because: NotRequired[Annotated[str, Field(description="what a person should know of it")]]
    plain: NotRequired[
        Annotated[bool, Field(description="no surface even where its name speaks of one")]
    ]
    may_be: NotRequired[
        Annotated[
            list[str],
            Field(
                min_length=1,
                description="materials that it may be as well: the one that counts most is taken",
            ),
        ]
    ]


class LayerStageShape(TypedDict):
    """What words in the name of a layer say of its stage."""

    words: Annotated[list[str], Field(min_length=1)]
    stage: Literal["existing", "removed", "proposed"]


class LayerPurposeShape(TypedDict):
    """What words in the name of a layer say of what a surface is for."""

    words: Annotated[list[str], Field(min_length=1)]
    purpose: str


class LayerWordsShape(TypedDict):
    """What words in the names of layers suggest; the first entry that fits decides."""

    format: Literal["layer-words/1"]
    meanings: list[LayerMeaningShape]
    stages: NotRequired[list[LayerStageShape]]
    purposes: NotRequired[list[LayerPurposeShape]]
