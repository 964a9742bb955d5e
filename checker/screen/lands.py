"""The land that overlays and features tell apart: zones as drawn, bands as rules make them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.measure.regions import ARC_SEGMENTS, FAR_M
from checker.screen.ground import land_of
from checker.screen.layer_files import batches, refused
from checker.screen.lots import OverlayLand
from checker.screen.outlines import outlines_of
from checker.screen.probe import TO_FEATURE
from checker.screen.town_file import FromColumn

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.rulesets.rules import RuleSet
    from checker.screen.layer_files import LayerFile
    from checker.screen.town_file import OverlayLayer, TownFile
    from checker.screen.work import WorkFolder

MOST_LANDS: Final = 60
MOST_OVERLAYS: Final = 200_000
_AREAS: Final = frozenset({3, 6})


def keep_overlays(
    file: TownFile,
    layers: Sequence[LayerFile],
    rulesets: Sequence[RuleSet],
    size_m: float,
    work: WorkFolder,
) -> tuple[tuple[OverlayLand, ...], frozenset[str]]:
    """Write the overlays, each with the land that it belongs to, and the features.

    Args:
        file: The town file.
        layers: Its overlays and features, in their order.
        rulesets: Whose bands are made.
        size_m: The size of the unit of the layers.
        work: Where they are kept.

    Returns:
        The lands, and the kinds of feature that distances are measured to.

    Raises:
        BadInput: One of them is broken, or there are too many.
    """
    import pyarrow as pa

    drawn = [
        *((own.by, *pair) for own, layer in zip(file.overlays, layers, strict=False)
          for pair in _shapes_of(own, layer)),
        *(("feature", *pair)
          for own, layer in zip(file.features, layers[len(file.overlays) :], strict=True)
          for pair in _shapes_of(own, layer)),
    ]  # fmt: skip
    lands: dict[OverlayLand, int] = {}
    shapes: list[Any] = []
    bits: list[int] = []
    for by, name, shape in drawn:
        if by != "feature" and shape is not None:
            bits.append(
                lands.setdefault(OverlayLand("id" if by == "id" else "kind", name), len(lands))
            )
            shapes.append(shape)
    for own in file.overlays:
        for name in _named(own):
            lands.setdefault(OverlayLand("id" if own.by == "id" else "kind", name), len(lands))
    named = {name for own in (*file.overlays, *file.features) for name in _named(own)}
    for land in dict.fromkeys(_lands(rulesets, "band")):
        near = [shape for _, name, shape in drawn if name == land.name and shape is not None]
        if near or land.name in named:
            lands[land] = len(lands)
            made = band(near, land, size_m)
            shapes += made
            bits += [lands[land]] * len(made)
    if file.lots.front:
        for land in _lands(rulesets, "yard"):
            lands.setdefault(land, len(lands))
    if len(lands) > MOST_LANDS:
        place = (*file.overlays, *file.features)[-1].name.place
        raise refused(place, f"the overlays have more than {MOST_LANDS} kinds", "leave some out")
    table = pa.table(
        {
            "geometry": pa.array(shapely.to_wkb(np.array(shapes, object)), pa.binary()),
            "land": pa.array(bits, pa.int64()),
        }
    )
    with work.whole("overlays.arrow") as path, pa.ipc.new_file(str(path), table.schema) as writer:
        writer.write_table(table)
    measured_to = {*TO_FEATURE.values(), file.lots.front}
    kept = [(name, shape) for _, name, shape in drawn if name in measured_to and shape is not None]
    binary = pa.array(shapely.to_wkb(np.array([shape for _, shape in kept], object)), pa.binary())
    features = pa.table({"kind": pa.array([name for name, _ in kept]), "geometry": binary})
    with (
        work.whole("features.arrow") as path,
        pa.ipc.new_file(str(path), features.schema) as writer,
    ):
        writer.write_table(features)
    told = {name for own in file.features for name in _named(own)} | {
        name for by, name, _ in drawn if by == "feature"
    }
    return tuple(lands), frozenset(told & set(TO_FEATURE.values()))


def _lands(rulesets: Sequence[RuleSet], by: str) -> Iterator[OverlayLand]:
    for ruleset in rulesets:
        for rule in ruleset.regions.values():
            land = land_of(rule, ruleset.facts)
            if land is not None and land.by == by:
                yield land


def band(near: Sequence[Any], land: OverlayLand, size_m: float) -> list[Any]:
    """The areas of a band, as `measure.regions` makes them.

    Args:
        near: What it is near to.
        land: Where it begins and ends.
        size_m: The size of the unit of the shapes.
    """
    if not near:
        return []
    # Noded and in metres, as for one lot: a buffer leaves out what is shallow beside its width, and
    # would leave out other corners of lines that are cut in another way.
    source = shapely.union_all(shapely.transform(near, lambda points: points * size_m))
    up_to_m = FAR_M if land.up_to_m is None else land.up_to_m
    whole: Any = shapely.buffer(source, up_to_m, quad_segs=ARC_SEGMENTS)
    if land.over_m > 0:
        whole = shapely.difference(
            whole, shapely.buffer(source, land.over_m, quad_segs=ARC_SEGMENTS)
        )
    found = shapely.get_parts(whole)
    found = shapely.transform(found, lambda points: points / size_m)
    # Corners that are nearer than rounding may change sides on the way back.
    broken = ~shapely.is_valid(found)
    found[broken] = shapely.make_valid(found[broken])
    return [shape for shape in found if not shape.is_empty]


def _named(own: OverlayLayer) -> Iterator[str]:
    """The names that a layer may give, whether or not anything bears them."""
    if isinstance(own.names, str):
        yield own.names
    else:
        yield from map(str, own.names.values.values())


def _shapes_of(own: OverlayLayer, layer: LayerFile) -> Iterator[tuple[str, Any]]:
    """The name and shape of each row; None for the shape of a name that nothing bears."""
    if layer.rows > MOST_OVERLAYS:
        says = f"{layer.path.name} has more than {MOST_OVERLAYS:,} rows"
        raise refused(own.name.place, says, "join those of one kind")
    for table in batches(layer, own.columns, own.name.place):
        shapes = shapely.force_2d(outlines_of(table.column("geometry")).shapes)
        for shape, name in zip(shapes, _names(own.names, table), strict=True):
            if name is not None:
                _refuse_broken(shape, name, layer, own)
                yield name, shape


def _names(names: str | FromColumn, table: Any) -> Iterator[str | None]:
    if isinstance(names, str):
        yield from [names] * len(table)
        return
    for value in table.column(names.column).to_pylist():
        told = names.meaning(value)
        yield None if told is None else str(told)


def _refuse_broken(shape: Any, name: str, layer: LayerFile, own: OverlayLayer) -> None:
    """One that is broken would be wrong for many lots: it stops the screening."""
    is_feature = own.by == "feature"
    is_right = shape is not None and (is_feature or shapely.get_type_id(shape) in _AREAS)
    if is_right and shape.is_valid:
        return
    reason = "" if shape is None else f": {shapely.is_valid_reason(shape)[:80]}"
    says = f"{layer.path.name}: '{name}' is no valid {'shape' if is_feature else 'area'}{reason}"
    raise refused(own.name.place, says, "mend it in the GIS program")
