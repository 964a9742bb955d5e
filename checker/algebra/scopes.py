"""The scope of one surface: its attributes first, then the lot."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Protocol

from checker.algebra.values import Context, Missing, Quantity, Truth, certain, unknown
from checker.core.units import Amount

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.algebra import nodes as n
    from checker.algebra.vocabulary import Vocabulary

AttributeValue = Amount | Quantity | str | bool | date | frozenset[str]


class Attributes(Protocol):
    """What is known of a surface, looked up by name."""

    def get(self, name: str, /) -> AttributeValue | None:
        """The value of an attribute; None when it is not known."""


class SurfaceScope:
    """Looks names up on one surface, then on the lot.

    Args:
        surface_id: Its id, for messages.
        attributes: What is known of it.
        lot: The scope of the lot.
        words: The names of both scopes.
    """

    def __init__(
        self,
        surface_id: str,
        attributes: Attributes,
        lot: Context,
        words: Vocabulary,
    ) -> None:
        self._id = surface_id
        self._attributes = attributes
        self._lot = lot
        self._words = words

    @property
    def day(self) -> date | None:
        """The day whose law counts."""
        return self._lot.day

    @property
    def surface_id(self) -> str:
        """The surface's id."""
        return self._id

    @property
    def attributes(self) -> Attributes:
        """What is known of the surface."""
        return self._attributes

    def number(self, named: n.Named) -> Quantity:
        """An attribute that is an amount, else the lot's."""
        word = self._words.surface.get(named.name)
        if word is None:
            return self._lot.number(named)
        value = self._attributes.get(named.name)
        if isinstance(value, Quantity):
            return value
        if isinstance(value, Amount):
            return certain(value)
        return unknown([self.missing(named.name)], word.dimension)

    def fact(self, name: str) -> str | bool | date | frozenset[str] | None:
        """A text, yes-or-no or date of the surface, else of the lot."""
        if name not in self._words.surface:
            return self._lot.fact(name)
        value = self._attributes.get(name)
        return None if isinstance(value, Amount | Quantity) else value

    def missing(self, name: str) -> Missing:
        """What to ask for when it is missing."""
        word = self._words.surface.get(name)
        if word is None:
            return self._lot.missing(name)
        ask = word.ask or f"give '{name}' of {self._id} ({word.title})"
        return Missing(name, self._id, ask.replace("{id}", self._id))

    def surfaces(self) -> Iterable[Context]:
        """All surfaces of the design."""
        return self._lot.surfaces()

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists for this surface or for all."""
        return self._lot.is_on_file(f"{document} of {self._id}") or self._lot.is_on_file(document)

    def outcome(self, rule: str) -> Truth:
        """Whether another rule passes."""
        return self._lot.outcome(rule)

    def limit_of(self, rule: str) -> Quantity:
        """The limit that another rule sets."""
        return self._lot.limit_of(rule)

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""
        return self._lot.option(reading)
