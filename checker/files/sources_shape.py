"""The shapes of documents that are cited, of tables, and of where and when something holds."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from checker.files.site_shape import Id

Day = Annotated[str, Field(description="YYYY-MM-DD")]
ReadingMark = Literal[
    "read", "read in part", "from memory", "second-hand", "worked by hand", "invented"
]


class SourceShape(TypedDict):
    """A document that is cited."""

    key: Annotated[Id, Field(description="its short name in this file")]
    document: Annotated[str, Field(description="its title")]
    edition: Annotated[str, Field(description="the version or date of the text")]
    reading: Annotated[
        ReadingMark,
        Field(
            description="how the text was come by; a rule whose source is 'from memory' answers "
            "'cannot tell' until somebody has laid it beside the text"
        ),
    ]
    compared: NotRequired[
        Annotated[Day, Field(description="the day this was laid beside the text")]
    ]
    url: NotRequired[Annotated[str, Field(description="where it was found")]]
    note: NotRequired[Annotated[str, Field(description="what is cut, doubtful or odd about it")]]


class SourcesShape(TypedDict):
    """A list of documents."""

    format: Literal["sources/1"]
    sources: list[SourceShape]


class TableShape(TypedDict):
    """A reference table."""

    format: Literal["table/1"]
    id: Id
    title: str
    source: str
    section: NotRequired[str]
    note: NotRequired[str]
    columns: dict[str, Any]
    rows: list[Any]


class CiteShape(TypedDict):
    """Where in the sources something stands."""

    source: Annotated[Id, Field(description="the key of a source of this file")]
    section: Annotated[str, Field(description="the section or page in it, in quotes")]
    note: NotRequired[Annotated[str, Field(description="anything to add")]]


class InForceShape(TypedDict):
    """From when and until when."""

    since: Annotated[Day, Field(description="the first day it holds, YYYY-MM-DD")]
    until: NotRequired[Annotated[Day, Field(description="the first day it no longer holds")]]
