"""One piece of a town: its lots are read, measured, judged, and written as a table.

The same code runs in a loop, in threads and on other machines; a piece hangs on its own
files alone, so that its bytes do not tell where it was worked.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.records import Record
from checker.core.units import AREA, UNIT, UnreadableAmount, read_amount
from checker.screen.areas import Unmeasured, measured
from checker.screen.deal import NAMESAKES, PLACE
from checker.screen.ground import SortedGround
from checker.screen.lots import Given
from checker.screen.members import TownLayers
from checker.screen.names import names_of, shared_name
from checker.screen.outcomes import outcomes_of
from checker.screen.outlines import Outlines, binary_of, outlines_of
from checker.screen.probe import Probe
from checker.screen.results import JudgedLots, table_of
from checker.screen.sheet import TownSheet
from checker.screen.summary import summary_of
from checker.screen.work import WorkFolder

if TYPE_CHECKING:
    from datetime import date

    from checker.screen.deal import Dealt
    from checker.screen.lots import Lots
    from checker.screen.town_file import FromColumn, TownFile
    from checker.screen.variants import Variant


_AREAS: Final = (3, 6)
"""Kinds of geometry that are areas, as the library numbers them."""


class PieceJob(Record, kw_only=True):
    """What every piece needs to know.

    Attributes:
        file: The town file.
        dealt: The town, dealt out.
        variants: What it is judged under.
        folder: The working folder.
        compiled_too: Use the compiled sweep where there is one.
    """

    file: TownFile
    dealt: Dealt
    variants: tuple[Variant, ...]
    folder: str
    compiled_too: bool = True


class Raw(Record, eq=False):
    """The lots of a piece as they were read, and those that cannot be judged.

    Attributes:
        ids: Their names, shape (n,).
        place: Their places along the curve, shape (n,).
        geometry: As they were read, WKB.
        problem: Why each cannot be judged; empty where it can.
    """

    ids: Any
    place: Any
    geometry: Any
    problem: Any


def worked(job: PieceJob, piece: int) -> int:
    """WorkFolder a piece, unless it is done already; gives its number."""
    import pyarrow as pa

    work = WorkFolder(Path(job.folder))
    names = f"part-{piece}.arrow", f"part-{piece}.json"
    if work.has(*names):
        return piece
    raw, layers, places = _read(job, work, piece)
    lots, places = _measured(job, raw, layers, places)
    judged = _judged(job, lots)
    table = table_of(job.variants, judged, raw, places)
    summary = summary_of(job.variants, judged, raw, places, job.dealt.bounds)
    with work.whole(names[0]) as path, pa.ipc.new_file(str(path), table.schema) as writer:
        writer.write_table(table)
    with work.whole(names[1]) as path:
        path.write_bytes(summary.to_bytes())
    return piece


def _measured(job: PieceJob, raw: Raw, layers: TownLayers, places: Any) -> tuple[Lots, Any]:
    """The lots that can be measured, and their places; of the others the problem is set."""
    while True:
        try:
            return measured(job.dealt.town, layers, compiled_too=job.compiled_too), places
        except Unmeasured as error:
            raw.problem[places[error.rows]] = str(error)
            layers, places = layers.without(error.rows), np.delete(places, error.rows)


def _judged(job: PieceJob, lots: Lots) -> list[JudgedLots]:
    """The lots under each variant."""
    found: list[JudgedLots] = []
    grounds: dict[str, tuple[SortedGround, Probe]] = {}
    for variant in job.variants:
        ruleset = variant.ruleset(job.file.path)
        if variant.place_id not in grounds:
            probe = Probe(lots.town, ruleset)
            grounds[variant.place_id] = SortedGround(lots, ruleset, probe), probe
        ground = grounds[variant.place_id][0].under(ruleset)
        found.append(judged_under(ground, job.file.day))
    return found


def judged_under(ground: SortedGround, day: date | None) -> JudgedLots:
    """Some lots under a rule set."""
    options = ground.lots.town.readings
    known = {key: value for key, value in options.items() if key in ground.ruleset.readings}
    sheet = TownSheet(ground, known, day)
    outcomes = tuple(outcomes_of(rule, sheet) for rule in ground.ruleset.rules)
    return JudgedLots(ground.ruleset, ground.lots, outcomes, tuple(sheet.comparisons))


def _read(job: PieceJob, work: WorkFolder, piece: int) -> tuple[Raw, TownLayers, Any]:
    """The lots of a piece; the layers of those that can be judged; and the places of these."""
    import pyarrow as pa

    table = _rows(work, f"lots-{piece}.arrow")
    table = table.take(pa.array(np.argsort(table.column(PLACE).to_numpy(), kind="stable")))
    outlines = outlines_of(table.column("geometry"))
    problem = _lot_problems(outlines)
    stands = problem == ""
    namesakes = table.column(NAMESAKES).to_numpy()
    for row in np.flatnonzero(stands & (namesakes > 1)):
        problem[row] = shared_name(job.file.lots, int(namesakes[row]))
    shapes, sort, place = _surfaces(job, work, piece)
    good = np.flatnonzero(problem == "")
    _flag_surfaces(job, outlines, problem, good, shapes, sort)
    fine = (sort >= 0) & shapes.is_sound
    order = np.flatnonzero(fine)[np.argsort(place[fine], kind="stable")]
    good = np.flatnonzero(problem == "")
    overlays, land = _overlays(work, outlines.take(good))
    features, none = _features(work), np.zeros(0, object)
    # A lot that is not judged stands between others and a street all the same.
    neighbours = None
    if job.file.lots.front:
        others = outlines.take(np.flatnonzero(stands & (problem != "")))
        neighbours = _neighbours(work, piece, others.shapes)
    ids = np.array(names_of(table.column(job.file.lots.id)).to_pylist(), object)
    layers = TownLayers(
        ids=ids[good],
        lots=outlines.take(good),
        surfaces=shapes.take(order),
        surface_class=sort[order].astype(np.intp),
        overlays=overlays,
        overlay_land=land,
        streets=features.get(job.file.lots.front, none) if job.file.lots.front else None,
        neighbours=neighbours,
        features=features,
        size_m=job.dealt.size_m,
        given=_given(job.file, table, good),
        recorded_m2=_recorded(job.file.lots.recorded_area, table, good),
    )
    geometry = binary_of(table.column("geometry"))
    raw = Raw(ids, table.column(PLACE).to_numpy(), geometry, problem)
    return raw, layers, good


def _rows(work: WorkFolder, name: str) -> Any:
    import pyarrow as pa

    with pa.memory_map(str(work.path(name))) as source, pa.ipc.open_stream(source) as reader:
        return reader.read_all()


def _file(work: WorkFolder, name: str) -> Any:
    import pyarrow as pa

    with pa.memory_map(str(work.path(name))) as source:
        return pa.ipc.open_file(source).read_all()


def _shapes(table: Any) -> Any:
    return outlines_of(table.column("geometry")).shapes


def _lot_problems(outlines: Outlines) -> Any:
    """Why each lot cannot be measured; empty where it can."""
    found = np.full(len(outlines), "", object)
    rows = np.flatnonzero(~outlines.is_sound)
    for row, shape in zip(rows, outlines.take(rows).shapes, strict=True):
        if shape is None or shape.is_empty:
            found[row] = "it has no outline"
        elif shapely.get_type_id(shape) not in _AREAS:
            found[row] = "its outline is no area"
        else:
            found[row] = f"its outline is broken: {shapely.is_valid_reason(shape)[:80]}"
    return found


def _surfaces(job: PieceJob, work: WorkFolder, piece: int) -> tuple[Outlines, Any, Any]:
    """The surfaces that may lie over the lots of a piece: outlines, sorts, places."""
    import pyarrow as pa

    tables = [
        _rows(work, name)
        for own in job.file.surfaces
        if work.has(name := f"surfaces-{own.index}-{piece}.arrow")
    ]
    if not tables:
        none = np.zeros(0, np.intp)
        return Outlines(shapes=np.zeros(0, object)), none, none
    geometry = [own.column("geometry") for own in tables]
    if len({column.type for column in geometry}) > 1:
        geometry = [binary_of(column) for column in geometry]
    chunks = [chunk for column in geometry for chunk in column.chunks]
    return (
        outlines_of(pa.chunked_array(chunks, geometry[0].type)),
        np.concatenate([own.column("sort").to_numpy() for own in tables]),
        np.concatenate([own.column("place").to_numpy() for own in tables]),
    )


def _flag_surfaces(
    job: PieceJob, outlines: Outlines, problem: Any, good: Any, shapes: Outlines, sort: Any
) -> None:
    """Lots over which a surface lies that is broken, or that the town file does not tell."""
    bad = np.flatnonzero(~shapes.is_sound | (sort < 0))
    if not len(bad) or not len(good):
        return
    drawn = shapes.take(bad).shapes
    is_area = np.isin(shapely.get_type_id(drawn), _AREAS)
    # Only to find its lots: nothing is measured of a mended outline.
    mended: Any = shapely.box(*shapes.boxes[bad].T)
    finite = np.array([np.isfinite(shapely.get_coordinates(own)).all() for own in drawn])
    mended[finite] = shapely.make_valid(drawn[finite])
    which, lot = shapely.STRtree(outlines.take(good).shapes).query(mended, predicate="intersects")
    for own, row in zip(which.tolist(), good[lot].tolist(), strict=True):
        if problem[row]:
            continue
        if sort[bad[own]] < 0:
            problem[row] = job.dealt.unknown[-1 - sort[bad[own]]]
        elif not is_area[own]:
            problem[row] = "a surface over it is no area"
        else:
            reason = shapely.is_valid_reason(drawn[own])[:80]
            problem[row] = f"the outline of a surface over it is broken: {reason}"


def _overlays(work: WorkFolder, outlines: Outlines) -> tuple[Any, Any]:
    """The overlays near some lots, and the land of each as a bit."""
    table = _file(work, "overlays.arrow")
    shapes = _shapes(table)
    land = np.int64(1) << table.column("land").to_numpy()
    if not len(shapes) or not len(outlines):
        return np.zeros(0, object), np.zeros(0, np.int64)
    low, high = outlines.boxes[:, :2].min(axis=0), outlines.boxes[:, 2:].max(axis=0)
    near = shapely.intersects(shapely.envelope(shapes), shapely.box(*low, *high))
    return shapes[near], land[near]


def _features(work: WorkFolder) -> dict[str, Any]:
    """What distances are measured to, by kind."""
    table = _file(work, "features.arrow")
    shapes, kinds = _shapes(table), np.array(table.column("kind").to_pylist(), object)
    return {kind: shapes[kinds == kind] for kind in dict.fromkeys(kinds)}


def _neighbours(work: WorkFolder, piece: int, others: Any) -> Any:
    """Lots of other pieces near those of this one, and others; broken ones are no neighbours."""
    name = f"neighbours-{piece}.arrow"
    if not work.has(name):
        return others
    shapes = _shapes(_rows(work, name))
    return np.concatenate([shapes[shapely.is_valid(shapes) & ~shapely.is_empty(shapes)], others])


def _given(file: TownFile, table: Any, good: Any) -> dict[str, Given]:
    """What the columns say of the lots, and what the town file says of all of them."""
    found = {
        name: Given((value,), np.zeros(len(good), np.intp)) for name, value in file.facts.items()
    }
    for name, own in file.lots.facts.items():
        coded = table.column(own.column).combine_chunks().dictionary_encode()
        index = coded.indices.to_numpy(zero_copy_only=False)
        index = np.where(np.isnan(index), -1, index).astype(np.intp)[good]
        meanings = [own.meaning(value) for value in coded.dictionary.to_pylist()]
        told = np.array([*(m is not None for m in meanings), False])
        found[name] = Given(tuple(meanings), np.where(told[index], index, -1))
    return found


def _recorded(own: FromColumn | None, table: Any, good: Any) -> Any:
    """The recorded areas in m2, nan where a row gives none."""
    if own is None:
        return None
    values = table.column(own.column).to_pylist()
    return np.array([_area_m2(own, values[row]) for row in good])


def _area_m2(own: FromColumn, value: Any) -> float:
    if isinstance(value, int | float) and not isinstance(value, bool) and own.unit:
        found = float(value) * UNIT[own.unit].size_si
        return found if found > 0 else float("nan")
    try:
        return read_amount(own.meaning(value), AREA).value_si
    except UnreadableAmount:
        return float("nan")
