"""The dimension of a number node, and whether its parts fit each other."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from checker.algebra import nodes as n
from checker.core.units import RATIO, Dimension

if TYPE_CHECKING:
    from checker.algebra.vocabulary import Vocabulary


class Unfitting(Exception):
    """Two parts of a node are of different kinds."""


def dimension_of(node: n.Number, words: Vocabulary) -> Dimension | None:
    """The dimension of a number; None where only another rule can tell it.

    Raises:
        Unfitting: Terms that must be alike are not.
    """
    match node:
        case n.Fixed(amount=amount):
            return amount.dimension
        case n.Named(name=name):
            word = words.word(name)
            return word.dimension if word else None
        case n.Share(of=of):
            return dimension_of(of, words)
        case n.Sum(terms=terms) | n.Least(terms=terms) | n.Greatest(terms=terms):
            return alike([dimension_of(term, words) for term in terms])
        case n.Difference(take=take, less=less):
            return alike([dimension_of(term, words) for term in (take, *less)])
        case n.Product(factors=factors):
            product = RATIO
            for factor in factors:
                dimension = dimension_of(factor, words)
                if dimension is None:
                    return None
                product = product * dimension
            return product
        case n.Ratio(top=top, bottom=bottom):
            above, below = dimension_of(top, words), dimension_of(bottom, words)
            return None if above is None or below is None else above / below
        case n.Tiers(by=by, rows=rows):
            own = dimension_of(by, words)
            for row in rows:
                for end in (row.low, row.high):
                    if end is not None and own is not None:
                        alike([own, end.dimension])
            return alike([dimension_of(row.value, words) for row in rows])
        case n.Brackets(of=of, rows=bracket_rows):
            own = dimension_of(of, words)
            alike([own, *(row.up_to.dimension for row in bracket_rows if row.up_to)])
            return own
        case n.Points(by=by, points=points):
            alike([dimension_of(by, words), *(x.dimension for x, _ in points)])
            return alike([y.dimension for _, y in points])
        case n.LimitOf():
            return None
        case n.Choose(cases=cases, otherwise=otherwise):
            values = [case.value for case in cases] + ([otherwise] if otherwise else [])
            return alike([dimension_of(value, words) for value in values])
        case n.ByReading(options=options):
            return alike([dimension_of(value, words) for _, value in options])
        case n.ByDate(values=dated):
            return alike([dimension_of(value, words) for _, value in dated])
        case n.Rounded(value=value, step=step):
            return alike([dimension_of(value, words), step.dimension])
        case _:
            assert_never(node)


def alike(dimensions: list[Dimension | None]) -> Dimension | None:
    """The one dimension that all known ones share.

    Raises:
        Unfitting: Two differ.
    """
    known = [dimension for dimension in dimensions if dimension is not None]
    for other in known[1:]:
        if other != known[0]:
            raise Unfitting(f"mixes {known[0].name} with {other.name}")
    return known[0] if known else None
