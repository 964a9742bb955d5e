"""A site with changes drawn into it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.problems import CheckerError
from checker.core.records import Record, replace
from checker.measure.arrangement import common
from checker.measure.cuts import cut_off

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from checker.site.model import Shape, Site, Surface
    from checker.solve.layout import Piece
    from checker.solve.options import Option, Options


class Redrawn(Record, kw_only=True):
    """A site with its surfaces changed.

    Attributes:
        site: The site after the changes.
        heirs: What lies there then where a surface was that changes, by its id: itself where
            something of it is left, then the pieces that have a name.
    """

    site: Site
    heirs: Mapping[str, tuple[str, ...]]


def redrawn(site: Site, pieces: Sequence[Piece]) -> Redrawn:
    """The site after the changes: pieces become surfaces, and what they leave is cut back.

    A surface that changes as a whole keeps its id; a piece of one gets an id of its own and stands
    behind it, so that it lies over and under the same surfaces as before.
    """
    surfaces = {surface.id: surface for surface in site.surfaces}
    order = list(site.order)
    behind: dict[str, list[str]] = {}
    for piece in pieces:
        surface = surfaces[piece.surface_id]
        new = _becomes(surface, piece)
        if piece.is_all:
            if new is None:
                del surfaces[surface.id]
            else:
                surfaces[surface.id] = replace(
                    new, id=surface.id, title=surface.title, may_become=surface.may_become,
                    shape=_still_hidden(site, surface, new, piece),
                )  # fmt: skip
            continue
        rest = cut_off(surface.shape, piece.shape)
        if rest.is_empty and new is not None:
            # Two pieces take all of it between them: the last one keeps its name.
            surfaces[surface.id] = replace(
                new, id=surface.id, title=surface.title, shape=piece.shape
            )
            continue
        if rest.is_empty:
            del surfaces[surface.id]
            continue
        surfaces[surface.id] = replace(surface, shape=rest)
        if new is not None:
            new = replace(new, id=_free_id(new.id, surfaces), shape=piece.shape)
            surfaces[new.id] = new
            behind.setdefault(surface.id, []).append(new.id)
            if surface.id in order:
                order.insert(order.index(surface.id) + 1, new.id)
    kept = [name for name in order if name in surfaces]
    placed = [name for own in site.surfaces for name in (own.id, *behind.get(own.id, ()))]
    found = tuple(surfaces[name] for name in placed if name in surfaces)
    heirs = {
        name: tuple(own for own in (name, *behind.get(name, ())) if own in surfaces)
        for name in dict.fromkeys(piece.surface_id for piece in pieces)
    }
    return Redrawn(site=replace(site, surfaces=found, order=tuple(kept)), heirs=heirs)


def _still_hidden(site: Site, surface: Surface, new: Surface, piece: Piece) -> Shape:
    """The outline of all of a surface, without what lay hidden and would come to light."""
    old_rank, rank = surface.material.precedence, new.material.precedence
    if new.material.level == surface.material.level and rank <= old_rank:
        return surface.shape
    hidden = cut_off(common(surface.shape, site.lot.boundary), piece.shape)
    return surface.shape if hidden.is_empty else cut_off(surface.shape, hidden)


class NoOption(CheckerError):
    """There is no such option."""


def chosen(options: Options, key: str = "") -> Option:
    """An option by its key; the best one for an empty key.

    Raises:
        NoOption: There is no such option, or none that meets the rules.
    """
    found = options.best if not key else next((o for o in options.options if o.key == key), None)
    if found is None:
        known = ", ".join(option.key for option in options.options)
        raise NoOption(
            f"there is no option '{key}': use one of {known}"
            if key and known
            else "no change that is allowed meets the rules"
        )
    if found.faults:
        raise NoOption(
            f"'{found.title}' is not written, for a mistake of this program: "
            f"{'; '.join(found.faults)}"
        )
    return found


def applied(options: Options, key: str = "") -> Site:
    """The site with an option drawn into it; see `chosen`."""
    return replace(chosen(options, key).after.site, on_file=options.checked.site.on_file)


def _becomes(surface: Surface, piece: Piece) -> Surface | None:
    """The changed surface; None when nothing is there, neither today nor after the work."""
    way = piece.way
    if way.remade is not None:
        title = f"{surface.title}, {way.remade.material.title.lower()}"
        return replace(
            way.remade,
            id=f"{surface.id}-{way.remade.material.id}",
            title=title,
            shape=surface.shape,
        )
    if surface.stage == "proposed":
        return None
    return replace(
        surface,
        id=f"{surface.id}-removed",
        title=f"{surface.title}, taken out",
        material=surface.was,
        stage="removed",
        section="",
        may_become=(),
    )


def _free_id(name: str, taken: Iterable[str]) -> str:
    taken = set(taken)
    number = 2
    found = name
    while found in taken:
        found, number = f"{name}-{number}", number + 1
    return found
