"""What a layer of a drawing is as one shape: its rings, and its lines joined into rings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from checker.core.problems import Place, did_you_mean
from checker.core.records import Record
from checker.site.arcs import VertexPath, length_m, line_points, snapped
from checker.site.clean import SAME_POINT_M, Notes, areas_of, joined, polygon, tidy
from checker.site.fills import Ring, merged
from checker.site.joining import Chain, chains

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shapely import Geometry, MultiPolygon, Polygon

    from checker.site.clean import Method
    from checker.site.drawn_layers import Drawing, DrawnPiece, Layer

Nested = Literal["hole", "filled"]


class LayerUse(Record, kw_only=True):
    """What a shape asks of a layer.

    Attributes:
        owner: Whose shape it is, for messages.
        place: Where the site file names the layer.
        pattern: Only hatches of this pattern.
        nested: What a ring inside another ring is.
        method: How an outline that crosses itself is mended.
        where: Only what has these values of its fields.
        near: Only what reaches into this area.
    """

    owner: str
    place: Place
    pattern: str | None = None
    nested: Nested | None = None
    method: Method | None = None
    where: Mapping[str, object] | None = None
    near: Polygon | MultiPolygon | None = None


def find_layer(drawing: Drawing, name: str, notes: Notes, asked: LayerUse) -> Layer | None:
    """The layer of a name, marked as used; None after a problem."""
    layer = drawing.find(name)
    if layer is None:
        says = f"the drawing {drawing.file} has no layer '{name}'"
        notes.problem(asked.place, says, did_you_mean(name, drawing.layers))
        return None
    unknown = [field for field in asked.where or () if field not in drawing.fields]
    if unknown and drawing.fields:
        says = f"{asked.owner}: the drawing {drawing.file} has no field '{unknown[0]}'"
        notes.problem(asked.place, says, did_you_mean(unknown[0], drawing.fields))
        return None
    key = layer.name if asked.pattern is None else f"{layer.name}\n{asked.pattern}"
    if asked.where is not None:
        key = f"{key}\n{sorted(asked.where.items())}"
    if key in drawing.used:
        says = f"the layer '{name}' is used twice, by {drawing.used[key]} and by {asked.owner}"
        do = "one layer, one surface; draw each material on its own layer"
        notes.problem(asked.place, says, do)
    drawing.used[key] = asked.owner
    drawing.used.setdefault(layer.name, asked.owner)
    return layer


def layer_area(
    layer: Layer, notes: Notes, asked: LayerUse
) -> tuple[Polygon | MultiPolygon, VertexPath | None] | None:
    """All areas of a layer as one, with the outline when it is a single ring of lines and arcs."""
    chosen = _chosen(layer, notes, asked)
    pieces = None if chosen is None else _of_pattern(chosen, notes, asked)
    if pieces is None:
        return None
    before = len(notes.problems.items)
    rings: list[Ring] = []
    for piece in pieces:
        if piece.kind == "area":
            ring = _area(piece, notes, asked)
            rings += [ring] if ring else []
    rings += _joined_rings(layer, pieces, notes, asked)
    if len(notes.problems.items) > before:
        return None
    if not rings:
        told = layer.told() or "nothing"
        says = f"{asked.owner}: the layer '{layer.name}' holds no area ({told})"
        notes.problem(asked.place, says, "draw closed outlines, or name another layer")
        return None
    single = merged(rings, notes)
    for says in single.says:
        notes.repair(asked.place, f"{asked.owner}: on the layer '{layer.name}' {says}")
    if len(single.rings) == 1:
        return single.rings[0].shape, single.rings[0].outline
    whole = _nested(single.rings, layer, notes, asked)
    return None if whole is None else (whole, None)


def layer_geometry(layer: Layer, notes: Notes, asked: LayerUse) -> Geometry | None:
    """Everything on a layer as one geometry: points, lines and areas."""
    from shapely import LineString, Point, union_all

    found: list[Geometry] = []
    chosen = _chosen(layer, notes, asked)
    if chosen is None:
        return None
    for piece in chosen.pieces:
        if piece.kind == "area":
            ring = _area(piece, notes, asked)
            found += [ring.shape] if ring else []
        elif piece.kind == "point":
            found.append(Point(snapped(piece.rings[0][0][0], piece.rings[0][0][1])))
        else:
            found.append(LineString(line_points(piece.rings[0])))
    if not found:
        says = f"{asked.owner}: the layer '{layer.name}' holds no geometry"
        notes.problem(asked.place, says, "name another layer")
        return None
    return found[0] if len(found) == 1 else union_all(found)


def _chosen(layer: Layer, notes: Notes, asked: LayerUse) -> Layer | None:
    """The layer with only what is asked for by the values of fields; None after a problem."""
    from checker.site.drawn_layers import Layer, box_of, has, overlap

    pieces = layer.pieces
    if asked.where is not None:
        where = asked.where
        pieces = [piece for piece in pieces if has(piece, where)]
        if not pieces:
            _nothing_picked(layer, asked.where, notes, asked)
            return None
    if asked.near is not None:
        box = asked.near.bounds
        pieces = [piece for piece in pieces if overlap(box_of(piece), box)]
    return Layer(name=layer.name, pieces=pieces, counts=layer.counts, state=layer.state)


def _nothing_picked(
    layer: Layer, where: Mapping[str, object], notes: Notes, asked: LayerUse
) -> None:
    fields = dict.fromkeys(key for piece in layer.pieces for key in piece.facts)
    text = ", ".join(f"{key}: {value}" for key, value in where.items())
    says = f"{asked.owner}: nothing on the layer '{layer.name}' has {text}"
    unknown = [key for key in where if key not in fields]
    if unknown:
        says = f"{asked.owner}: nothing on the layer '{layer.name}' has a field '{unknown[0]}'"
        notes.problem(asked.place, says, did_you_mean(unknown[0], fields))
        return
    first = next(iter(where))
    values = sorted({piece.facts.get(first, "") for piece in layer.pieces})
    notes.problem(asked.place, says, did_you_mean(str(where[first]), values))


def _of_pattern(layer: Layer, notes: Notes, asked: LayerUse) -> list[DrawnPiece] | None:
    """The pieces that are meant; a layer with hatches of two patterns may hold two materials."""
    patterns = sorted({piece.pattern for piece in layer.pieces if piece.pattern})
    if asked.pattern is not None:
        chosen = [piece for piece in layer.pieces if piece.pattern == asked.pattern]
        if not chosen:
            says = f"the layer '{layer.name}' has no hatch of the pattern '{asked.pattern}'"
            notes.problem(asked.place, says, did_you_mean(asked.pattern, patterns))
            return None
        return chosen
    if len(patterns) > 1:
        notes.problem(
            asked.place,
            f"{asked.owner}: the layer '{layer.name}' may hold two materials, its hatches have the "
            f"patterns {' and '.join(patterns)}",
            f"put each on its own layer, or take one with 'shape: {{layer: {layer.name}, "
            f"pattern: {patterns[0]}}}'",
        )
        return None
    return layer.pieces


def _area(piece: DrawnPiece, notes: Notes, asked: LayerUse) -> Ring | None:
    owner = f"{asked.owner}: {piece.name}"
    whole: Any = None
    outline: VertexPath | None = None
    for ring in piece.rings:
        path = tidy(ring, notes, piece.place, owner, is_closed=True, is_flagged=piece.is_flagged)
        shape = polygon(path, notes, piece.place, owner, asked.method) if path else None
        if shape is None:
            return None
        outline = path
        whole = shape if whole is None else whole.symmetric_difference(shape)
    found = areas_of(whole) if whole is not None else None
    if found is None:
        return None
    return Ring(
        shape=found, outline=outline if len(piece.rings) == 1 else None, is_fill=piece.is_fill
    )


def _joined_rings(
    layer: Layer, pieces: list[DrawnPiece], notes: Notes, asked: LayerUse
) -> list[Ring]:
    """The rings that the open lines of a layer make together; other lines are told or refused."""
    lines = [piece for piece in pieces if piece.kind == "line"]
    if not lines:
        return []
    place = lines[0].place
    name = f"{asked.owner}: the layer '{layer.name}'"
    single = _without_equal(lines)
    if doubled := len(lines) - len(single):
        notes.repair(place, f"{name} has {doubled} line{'s' * (doubled > 1)} drawn twice; left out")
    rings = []
    left_out = 0
    for chain in chains([piece.rings[0] for piece in single], notes.gap_m):
        if chain.is_ring:
            found = _ring(chain, name, notes, place, asked)
            rings += [found] if found else []
        elif _nearly_closed(chain):
            gap, at = notes.small(chain.end_gap_m), notes.point(*chain.path[-1][:2])
            notes.problem(
                place,
                f"{name}: an outline is open, its ends {gap} apart at {at}",
                f"close it; gaps up to {notes.small(notes.gap_m)} are closed by themselves",
            )
        else:
            left_out += chain.count
    if left_out:
        noun = "line that is no area was" if left_out == 1 else "lines that are no areas were"
        notes.repair(place, f"{name}: {left_out} {noun} left out")
    return rings


def _ring(chain: Chain, name: str, notes: Notes, place: Place, asked: LayerUse) -> Ring | None:
    if chain.forks is not None:
        at = notes.point(*chain.forks)
        says = f"{name}: more than two lines meet at {at}, so the outline is not clear"
        notes.problem(place, says, "draw the outline as one closed line")
        return None
    how = "a line that is not flagged as closed" if chain.count == 1 else f"{chain.count} lines"
    gap = ""
    if chain.gap_m > SAME_POINT_M:
        gap = f", closing a gap of {notes.small(chain.gap_m)} at {notes.point(*chain.gap_at)}"
    notes.repair(place, f"{name}: {how} read as a closed outline{gap}")
    path = tidy(chain.path, notes, place, name, is_closed=True)
    shape = polygon(path, notes, place, name, asked.method) if path else None
    return None if shape is None else Ring(shape=shape, outline=path)


def _nearly_closed(chain: Chain) -> bool:
    """Ends so near to each other, against the length, that a ring was surely meant."""
    return len(chain.path) > 3 and chain.end_gap_m < 0.1 * length_m(chain.path, is_closed=False)


def _without_equal(lines: list[DrawnPiece]) -> list[DrawnPiece]:
    seen: set[tuple[tuple[float, float], ...]] = set()
    kept = []
    for piece in lines:
        points = tuple((round(x, 4), round(y, 4)) for x, y in line_points(piece.rings[0]))
        key = min(points, points[::-1])
        if key not in seen:
            seen.add(key)
            kept.append(piece)
    return kept


def _nested(
    rings: tuple[Ring, ...], layer: Layer, notes: Notes, asked: LayerUse
) -> Polygon | MultiPolygon | None:
    """Several areas as one; a ring inside another may be a hole or be drawn over it: ask.

    A hatch inside an outline is no hole: either the outline is the area, or the hatch is.
    """
    from shapely import STRtree, union_all

    shapes = [ring.shape for ring in rings]
    tree = STRtree(shapes)
    inner, outer = tree.query(shapes, predicate="covered_by")
    inside = sorted({int(i) for i, j in zip(inner, outer, strict=True) if i != j})
    if not inside:
        return joined(shapes, notes, asked.place, asked.owner)
    fills = [rings[i].shape for i in inside if rings[i].is_fill]
    if asked.nested is None:
        first = shapes[inside[0]].representative_point()
        where = notes.point(first.x, first.y)
        layer_says = f"{asked.owner}: on the layer '{layer.name}'"
        if fills:
            part, whole_m2 = sum(f.area for f in fills), union_all(shapes).area
            says = (
                f"{layer_says} a hatch ({notes.area(part)}) fills a part of an outline "
                f"({notes.area(whole_m2)}), at {where}; either may be what is built"
            )
            do = "say 'nested: filled' for the outline; else leave one of the two out"
            notes.problem(asked.place, says, do)
            return None
        notes.problem(
            asked.place,
            f"{layer_says} one outline lies inside another, at {where}; it may be a hole",
            "say 'nested: hole' or 'nested: filled' beside the layer",
        )
        return None
    if asked.nested == "filled":
        return joined(shapes, notes, asked.place, asked.owner)
    if fills:
        says = f"{asked.owner}: a hatch on the layer '{layer.name}' fills a part of an outline"
        notes.problem(asked.place, says, "it cannot be a hole; say 'nested: filled'")
        return None
    whole: Any = shapes[0]
    for shape in shapes[1:]:
        whole = whole.symmetric_difference(shape)
    return areas_of(whole)
