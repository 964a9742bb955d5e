"""The shape of a town file, which says what the layers of a town mean; see `compile.py`."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import Fact, Id


class FromColumnShape(TypedDict):
    """What a column of a layer says."""

    column: Annotated[str, Field(description="the name of the column")]
    values: NotRequired[
        Annotated[
            dict[str, Fact],
            Field(description="what each of its values means; as they are where not given"),
        ]
    ]
    unit: NotRequired[Annotated[str, Field(description="the unit of its numbers, e.g. sq ft")]]


class MaterialColumnShape(TypedDict):
    """What each value of a column is made of."""

    column: Annotated[str, Field(description="the name of the column")]
    values: Annotated[
        dict[str, Id], Field(min_length=1, description="the material of each of its values")
    ]
    skip: NotRequired[
        Annotated[list[str], Field(description="values of what is no surface, e.g. fence")]
    ]


class LayerShape(TypedDict):
    """A layer of a file: GeoParquet, GeoPackage, FlatGeobuf or Shapefile."""

    file: Annotated[str, Field(description="its path from the folder of this file")]
    layer: NotRequired[Annotated[str, Field(description="its name, where a file has several")]]


class LotsShape(LayerShape):
    """The layer of the lots."""

    id: Annotated[str, Field(description="the column that names each lot")]
    front: NotRequired[
        Annotated[Id, Field(description="the kind of feature that the front of a lot looks at")]
    ]
    corner_lots: NotRequired[
        Annotated[
            Literal["front on each street", "cannot tell"],
            Field(description="what the sides of a lot along two streets are; in doubt otherwise"),
        ]
    ]
    recorded_area: NotRequired[
        Annotated[FromColumnShape, Field(description="the area by deed or plat")]
    ]
    facts: NotRequired[
        Annotated[
            dict[str, FromColumnShape], Field(description="what columns say of the facts of rules")
        ]
    ]


class SurfacesShape(LayerShape):
    """A layer of surfaces."""

    material: Annotated[
        Id | MaterialColumnShape,
        Field(description="what they are made of: one material, or what a column says"),
    ]
    attributes: NotRequired[
        Annotated[
            dict[str, Fact | FromColumnShape],
            Field(description="what is said of them besides, alike for all or by a column"),
        ]
    ]


class OverlayShape(LayerShape):
    """A layer of overlays: shoreland, easements, zones."""

    kind: NotRequired[Annotated[Id | FromColumnShape, Field(description="their kind")]]
    id: NotRequired[
        Annotated[Id | FromColumnShape, Field(description="the id by which rules know them")]
    ]


class FeatureLayerShape(LayerShape):
    """A layer of what rules measure to: a shoreline, streams, wells."""

    kind: Annotated[Id | FromColumnShape, Field(description="their kind, e.g. shoreline")]


class TownShape(TypedDict):
    """A town: its layers, and what they mean to rules."""

    format: Literal["town/1"]
    title: str
    place: Annotated[str, Field(description="the rule set: an id or a path")]
    lots: LotsShape
    surfaces: Annotated[list[SurfacesShape], Field(min_length=1, max_length=40)]
    overlays: NotRequired[Annotated[list[OverlayShape], Field(max_length=40)]]
    features: NotRequired[Annotated[list[FeatureLayerShape], Field(max_length=40)]]
    invented: NotRequired[Annotated[bool | str, Field(description="yes: made up, no real town")]]
    unit: NotRequired[
        Annotated[str, Field(description="the unit of coordinates, where layers name no reference")]
    ]
    facts: NotRequired[Annotated[dict[str, Fact], Field(description="what holds for every lot")]]
    rest_of_lot: NotRequired[
        Annotated[Id, Field(description="the material of land that no surface covers")]
    ]
    none_found: NotRequired[
        Annotated[list[Id], Field(description="kinds of feature or region that are nowhere")]
    ]
    on_file: NotRequired[
        Annotated[list[Id], Field(description="documents that exist for every lot")]
    ]
    readings: NotRequired[
        Annotated[dict[Id, Id], Field(description="how the office reads unclear clauses")]
    ]
    date: NotRequired[Annotated[str, Field(description="the day whose law counts")]]
