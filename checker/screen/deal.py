"""Deals the layers of a town out into pieces by place; each lot lies in exactly one of them.

Two passes over the lots and one over each other layer, batch by batch: in memory are one batch,
the names of the lots in the first pass, and 32 bytes for each lot. A surface goes to every piece
that it may reach.
"""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING, Any, Final, Self

import numpy as np

from checker.core.problems import Problems
from checker.core.records import Record, Struct, field
from checker.screen.curve import along
from checker.screen.lands import keep_overlays
from checker.screen.layer_files import (
    batches,
    check_columns,
    opened,
    refuse_other_reference,
    refused,
    unit_of,
)
from checker.screen.lots import SurfaceClass, Town
from checker.screen.names import names_of, rows_of_each
from checker.screen.outlines import boxes_of
from checker.screen.pairs import overlapping
from checker.screen.sides import REACH_M
from checker.screen.town_file import FromColumn, plain_text
from checker.site.materials import materials
from checker.site.values import read_attributes

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from checker.rulesets.rules import RuleSet
    from checker.screen.layer_files import LayerFile
    from checker.screen.town_file import SurfaceLayer, TownFile
    from checker.screen.work import WorkFolder

    Progress = Callable[[int, int, str], None]

LOTS_A_PIECE: Final = 10_000
MOST_PIECES: Final = 400
MOST_SORTS: Final = 2_000

PLACE: Final = "soakline place"
NAMESAKES: Final = "soakline namesakes"
"""Columns beside those of a layer: the place of a lot, and how many rows bear its name."""


class Dealt(Record, kw_only=True):
    """A town that has been dealt out.

    Attributes:
        town: What holds for all lots.
        pieces: How many pieces.
        count: How many lots have a place; those without stand in the last piece.
        bounds: Of all lots, in the unit of the layers.
        size_m: The size of that unit.
        unknown: What the town file does not tell, by the negative sort that stands for it.
        projjson: The coordinate reference as GeoParquet writes it; None where it is not known.
        reference: The same as the layer of the lots names it.
    """

    town: Town
    pieces: int
    count: int
    bounds: tuple[float, float, float, float]
    size_m: float
    unknown: tuple[str, ...]
    projjson: Any
    reference: str


class _Sorts(Struct):
    """The sorts of surface met so far, and values that have no meaning."""

    numbers: dict[Any, int] = field(default_factory=dict)
    classes: list[SurfaceClass] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)


def deal(
    file: TownFile,
    rulesets: Sequence[RuleSet],
    work: WorkFolder,
    lots_a_piece: int,
    progress: Progress,
) -> Dealt:
    """Deal a town out into the working folder: lots-N, surfaces-N, overlays.

    Raises:
        BadInput: A layer cannot be used.
    """
    layers = [opened(name.path, name.layer, name.place) for name in file.files]
    _check(file, layers)
    lots = layers[0]
    centre, bounds, namesakes = _places(file, lots, progress)
    count = len(centre)
    unit, size_m = unit_of(
        lots, file.unit, ((bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2),
        file.lots.name.place,
    )  # fmt: skip
    pieces = max(min(-(-max(count, 1) // lots_a_piece), MOST_PIECES), 1)
    piece_of, place_of = _pieces(centre, bounds, count, pieces)
    own_columns = {PLACE: place_of, NAMESAKES: namesakes}
    boxes = _deal_lots(file, lots, work, piece_of, own_columns, pieces)
    if file.lots.front:
        _deal_neighbours(file, lots, work, piece_of, boxes, REACH_M / size_m)
    sorts, place = _Sorts(), 0
    for number, own in enumerate(file.surfaces):
        layer = layers[1 + number]
        progress(number, len(file.surfaces), f"dealing out {own.name.shown}")
        place = _deal_surfaces(own, layer, work, boxes, sorts, place, file)
    others = layers[1 + len(file.surfaces) :]
    lands, features = keep_overlays(file, others, rulesets, size_m, work)
    town = Town(
        classes=tuple(sorts.classes),
        lands=lands,
        rest_of_lot=file.rest_of_lot,
        none_found=file.none_found,
        features=features,
        has_every_front=file.lots.has_every_front,
        on_file=file.on_file,
        readings=file.readings,
        unit=unit,
    )
    return Dealt(
        town=town, pieces=pieces, count=count, bounds=bounds, size_m=size_m,
        unknown=tuple(sorts.unknown), projjson=lots.projjson, reference=lots.reference,
    )  # fmt: skip


def _check(file: TownFile, layers: list[LayerFile]) -> None:
    wanted = [
        file.lots.columns,
        *(own.columns for own in file.surfaces),
        *(own.columns for own in file.overlays),
        *(own.columns for own in file.features),
    ]
    for name, layer, columns in zip(file.files, layers, wanted, strict=True):
        check_columns(layer, columns, name.place)
        refuse_other_reference(layers[0], layer, name.place)


def _places(
    file: TownFile, lots: LayerFile, progress: Progress
) -> tuple[Any, tuple[float, float, float, float], Any]:
    """The middle of the box of each lot, nan where it has none; the bounds; rows of its name."""
    import pyarrow as pa

    found, names = [], []
    done = 0
    for table in batches(lots, (file.lots.id,), file.lots.name.place):
        names += names_of(table.column(file.lots.id)).chunks
        boxes = boxes_of(table.column("geometry"))
        found.append(np.stack([boxes[:, 0] + boxes[:, 2], boxes[:, 1] + boxes[:, 3]], axis=1) / 2)
        done += len(table)
        progress(done, lots.rows, "finding the lots")
    centre = np.concatenate(found) if found else np.zeros((0, 2))
    has_place = np.isfinite(centre).all(axis=1)
    known = centre[has_place]
    if not len(known):
        raise refused(file.lots.name.place, f"{lots.path.name} holds no lot with an outline")
    low, high = known.min(axis=0), known.max(axis=0)
    bounds = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return centre, bounds, rows_of_each(file.lots, pa.chunked_array(names, pa.string()))


def _pieces(centre: Any, bounds: Any, count: int, pieces: int) -> tuple[Any, Any]:
    """The piece of each lot, and its place in the order along the curve."""
    has_place = np.isfinite(centre).all(axis=1)
    inside = np.where(has_place[:, None], centre, [[bounds[0], bounds[1]]])
    key = along(inside[:, 0], inside[:, 1], bounds)
    key[~has_place] = np.iinfo(np.int64).max
    order = np.argsort(key, kind="stable")
    place_of = np.empty(count, np.int64)
    place_of[order] = np.arange(count)
    return (place_of * pieces // max(count, 1)).astype(np.int32), place_of


def _deal_lots(
    file: TownFile, lots: LayerFile, work: WorkFolder, piece_of: Any, more: dict[str, Any],
    pieces: int,
) -> Any:  # fmt: skip
    """Write the lots of each piece with more columns, and give the box round them."""
    import pyarrow as pa

    boxes = np.full((pieces, 4), np.nan)
    row = 0
    with _Writers(work, "lots", pieces) as writers:
        for table in batches(lots, file.lots.columns, file.lots.name.place):
            own = piece_of[row : row + len(table)]
            placed = table
            for name, values in more.items():
                placed = placed.append_column(name, pa.array(values[row : row + len(table)]))
            bounds = boxes_of(table.column("geometry"))
            for piece in np.unique(own):
                rows = np.flatnonzero(own == piece)
                writers.write(int(piece), placed.take(pa.array(rows)))
                here = bounds[rows]
                low = np.fmin.reduce(here[:, :2]), np.fmax.reduce(here[:, 2:])
                before = boxes[piece]
                boxes[piece] = np.concatenate(
                    [np.fmin(before[:2], low[0]), np.fmax(before[2:], low[1])]
                )
            row += len(table)
    return boxes


def _deal_neighbours(
    file: TownFile, lots: LayerFile, work: WorkFolder, piece_of: Any, boxes: Any, reach: float
) -> None:  # fmt: skip
    """Write for each piece the lots of others that may stand between its own and a street."""
    import pyarrow as pa

    grown = boxes + np.array([-reach, -reach, reach, reach])
    row = 0
    with _Writers(work, "neighbours", len(boxes)) as writers:
        for table in batches(lots, (), file.lots.name.place):
            piece, near = overlapping(grown, boxes_of(table.column("geometry")))
            is_other = piece_of[row + near] != piece
            piece, near = piece[is_other], near[is_other]
            row += len(table)
            for number in np.unique(piece):
                rows = np.sort(near[piece == number])
                writers.write(int(number), table.take(pa.array(rows)))


class _Writers:
    """A file for each piece, open as long as rows are dealt out."""

    def __init__(self, work: WorkFolder, name: str, pieces: int) -> None:
        self._work = work
        self._name = name
        self._open: dict[int, Any] = {}
        self._stack = ExitStack()
        self.pieces = pieces

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._stack.close()

    def write(self, piece: int, table: Any) -> None:
        """Add rows to a piece."""
        import pyarrow as pa

        if piece not in self._open:
            path = str(self._work.path(f"{self._name}-{piece}.arrow"))
            sink = self._stack.enter_context(pa.OSFile(path, "wb"))
            self._open[piece] = self._stack.enter_context(pa.ipc.new_stream(sink, table.schema))
        self._open[piece].write_table(table)


def _deal_surfaces(  # noqa: PLR0913 - what it reads, where it writes, what it knows
    own: SurfaceLayer, layer: LayerFile, work: WorkFolder, boxes: Any, sorts: _Sorts, place: int,
    file: TownFile,
) -> int:  # fmt: skip
    """Write the surfaces of a layer for each piece that they may reach; gives the next place."""
    import pyarrow as pa

    begin = 0
    with _Writers(work, f"surfaces-{own.index}", len(boxes)) as writers:
        for table in batches(layer, own.columns, own.name.place):
            sort = _sorted(own, table, sorts, file)
            reach = boxes_of(table.column("geometry"))
            nowhere = np.flatnonzero(~np.isfinite(reach).all(axis=1) & (sort != _SKIPPED))
            if len(nowhere):
                says = (
                    f"row {begin + int(nowhere[0]) + 1:,} of {own.name.path.name} has no outline "
                    "that can be read, so the lot it stands on is not known"
                )
                do = "draw it, take the row out, or name its value under 'skip'"
                raise refused(own.name.place, says, do)
            begin += len(table)
            rows = np.arange(place, place + len(table))
            place += len(table)
            dealt = pa.table({"geometry": table.column("geometry"), "sort": sort, "place": rows})
            piece, row = overlapping(boxes, reach)
            kept = sort[row] != _SKIPPED
            piece, row = piece[kept], row[kept]
            order = np.lexsort((row, piece))
            numbers, first = np.unique(piece[order], return_index=True)
            for number, own_rows in zip(numbers, np.split(row[order], first[1:]), strict=True):
                writers.write(int(number), dealt.take(pa.array(own_rows)))
    return place


_SKIPPED: Final = np.iinfo(np.int32).min
"""The sort of what is no surface."""


def _sorted(own: SurfaceLayer, table: Any, sorts: _Sorts, file: TownFile) -> Any:
    """The sort of each surface of a batch; negative where the town file does not tell it."""
    columns = own.columns
    if not columns:
        return np.full(len(table), _sort(own, {}, sorts, file), np.int32)
    codes, values = [], []
    for name in columns:
        coded = table.column(name).combine_chunks().dictionary_encode()
        index = coded.indices.to_numpy(zero_copy_only=False)
        codes.append(np.where(np.isnan(index), -1, index).astype(np.int64))
        values.append([*coded.dictionary.to_pylist(), None])
    key = np.zeros(len(table), np.int64)
    for own_codes, own_values in zip(codes, values, strict=True):
        key = key * (len(own_values) + 1) + own_codes + 1
    _, first, which = np.unique(key, return_index=True, return_inverse=True)
    kinds = np.stack(codes, axis=1)[first]
    found = [
        _sort(own, {n: v[i] for n, v, i in zip(columns, values, kind, strict=True)}, sorts, file)
        for kind in kinds.tolist()
    ]
    return np.array(found, np.int32)[which.reshape(-1)]


def _sort(own: SurfaceLayer, row: dict[str, Any], sorts: _Sorts, file: TownFile) -> int:
    """The number of the sort that the values of a row make."""
    key = (own.index, *row.values())
    if key not in sorts.numbers:
        sorts.numbers[key] = _new_sort(own, row, sorts, file)
        if len(sorts.classes) > MOST_SORTS:
            says = f"{own.name.path.name} has more than {MOST_SORTS:,} sorts of surface"
            raise refused(own.name.place, says, "use columns with fewer different values")
    return sorts.numbers[key]


def _new_sort(own: SurfaceLayer, row: dict[str, Any], sorts: _Sorts, file: TownFile) -> int:
    if isinstance(own.material, FromColumn):
        value = row[own.material.column]
        if value is not None and plain_text(value) in own.skip:
            return _SKIPPED
        material = own.material.meaning(value)
        if material is None:
            shown = "an empty value" if value is None else f"'{plain_text(value)[:60]}'"
            return _not_told(sorts, f"{own.name.path.name}: {shown} of '{own.material.column}' "
                                    "has no material in the town file")  # fmt: skip
    else:
        material = own.material
    given: dict[str, Any] = {}
    for name, attribute in own.attributes.items():
        told = (
            attribute.meaning(row[attribute.column])
            if isinstance(attribute, FromColumn)
            else attribute
        )
        if told is not None:
            given[name] = told
    problems = Problems()
    others: dict[str, Any] = {}
    at = ("surfaces", own.index, "attributes")
    read = read_attributes(given, file.document, at, own.name.shown, problems, others)
    if problems:
        return _not_told(sorts, f"{own.name.path.name}: {problems.items[0].says}")
    found = SurfaceClass(material=materials()[material], attributes=read, other_attributes=others)
    if found in sorts.classes:
        return sorts.classes.index(found)
    sorts.classes.append(found)
    return len(sorts.classes) - 1


def _not_told(sorts: _Sorts, says: str) -> int:
    if says not in sorts.unknown:
        sorts.unknown.append(says)
    return -1 - sorts.unknown.index(says)
