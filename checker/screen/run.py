"""A screening from the town file to the table: dealt out, worked piece by piece, gathered."""

from __future__ import annotations

import json
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Record
from checker.files.saving import refuse_taken
from checker.screen.deal import LOTS_A_PIECE, deal
from checker.screen.layer_files import files_of, look_at
from checker.screen.piece import PieceJob
from checker.screen.spread import spread
from checker.screen.summary import Summary
from checker.screen.town_file import read_town
from checker.screen.variants import variants_of
from checker.screen.work import WorkFolder, digest_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from checker.rulesets.rules import RuleSet
    from checker.screen.deal import Dealt
    from checker.screen.town_file import TownFile
    from checker.screen.variants import Variant

ENDINGS: Final = (".parquet", ".gpkg")
_MARK: Final = b"soakline"
_VERSION: Final = "screening/1"


class Screening(Record, kw_only=True, eq=False):
    """A screened town.

    Attributes:
        file: The town file.
        variants: What it was judged under, with the rules of each.
        rulesets: The rules of each variant.
        summary: Counts, rooms, the nearest lots, the map.
        bounds: Of all lots, in the unit of the layers.
        size_m: The size of that unit.
        output: The table.
    """

    file: TownFile
    variants: tuple[Variant, ...]
    rulesets: tuple[RuleSet, ...]
    summary: Summary
    bounds: tuple[float, float, float, float]
    size_m: float
    output: Path


def screen(  # noqa: PLR0913 - what a person may choose, each by name
    town: Path,
    output: Path,
    *,
    places: Sequence[str] = (),
    limits: Sequence[str] = (),
    workers: int = 1,
    scheduler: str = "",
    lots_a_piece: int = LOTS_A_PIECE,
    compiled_too: bool = True,
    progress: Callable[[int, int, str], None] | None = None,
) -> Screening:
    """Screen a town.

    Args:
        town: The town file.
        output: The table to write: GeoParquet or GeoPackage.
        places: Rule sets by id or path; that of the town file when there is none.
        limits: Ranges of limits to try, each `RULE=LIMIT,LIMIT`.
        workers: Threads of this machine.
        scheduler: The address of a Dask scheduler; empty for this machine.
        lots_a_piece: So many lots are worked at once.
        compiled_too: Use the compiled sweep where Numba is installed.
        progress: Takes how much is done, of how much, and what.

    Raises:
        BadInput: The town file, a layer, a rule set or the output cannot be used.
    """
    say = progress or _silent
    if output.suffix.lower() not in ENDINGS:
        says = f"'{output.name}' is no kind of table that is written"
        raise _unwritable(output, says, f"end its name in {' or '.join(ENDINGS)}")
    _refuse_other(output)
    file = read_town(town)
    if output.resolve() in {name.path.resolve() for name in file.files}:
        raise _unwritable(output, "it is a layer that is read", "choose another name")
    variants = variants_of(places or (file.place_id,), limits, file.path)
    rulesets = tuple(variant.ruleset(file.path) for variant in variants)
    digest = _digest(file, variants, rulesets, lots_a_piece)
    work = WorkFolder.begun(output, digest)
    try:
        dealt = deal(file, rulesets, work, lots_a_piece, say)
        job = PieceJob(
            file=file, dealt=dealt, variants=variants, folder=str(work.folder.absolute()),
            compiled_too=compiled_too,
        )  # fmt: skip
        for done, _ in enumerate(spread(job, dealt.pieces, workers, scheduler), 1):
            say(done, dealt.pieces, "judging the lots")
        summary = _summed(work, dealt.pieces)
        _gather(work, dealt, output, rulesets)
        work.end()
    except OSError as error:
        raise _unwritable(
            work.folder, f"it cannot be written: {error.strerror or error}"
        ) from error
    return Screening(
        file=file, variants=variants, rulesets=rulesets, summary=summary, bounds=dealt.bounds,
        size_m=dealt.size_m, output=output,
    )  # fmt: skip


def _silent(done: int, total: int, what: str) -> None:
    """Tell nobody."""


def _unwritable(output: Path, says: str, do: str = "") -> BadInput:
    problem = Problem(Place(output.as_posix()), says, do)
    return BadInput("the table cannot be written", [problem])


def _refuse_other(output: Path) -> None:
    """Something is there already that this program did not write: a former table is replaced."""
    if not output.is_file() or output.is_symlink() or output.suffix.lower() != ".parquet":
        refuse_taken(output)
        return
    import pyarrow as pa
    import pyarrow.parquet

    try:
        known = pyarrow.parquet.read_schema(output).metadata or {}
    except (OSError, pa.ArrowInvalid):
        known = {}
    if _MARK not in known:
        refuse_taken(output)


def _digest(
    file: TownFile, variants: Sequence[Variant], rulesets: Sequence[RuleSet], lots_a_piece: int
) -> str:  # fmt: skip
    """What tells whether a former run did the same work."""
    from checker.papers.job import version

    for name in file.files:
        look_at(name.path, name.place)
    paths = dict.fromkeys(own for name in file.files for own in files_of(name.path))
    documents = [own.text for rules in rulesets for own in rules.documents.values()]
    own = [f"{variant.key} {variant.place_id} {variant.limit}" for variant in variants]
    texts = [_VERSION, version(), str(lots_a_piece), file.document.text, *own, *documents]
    return digest_of(paths, texts)


def _summed(work: WorkFolder, pieces: int) -> Summary:
    found: Summary | None = None
    for piece in range(pieces):
        own = Summary.from_bytes(work.path(f"part-{piece}.json").read_bytes())
        if found is None:
            found = own
        else:
            found.add(own)
    assert found is not None
    return found


def _gather(work: WorkFolder, dealt: Dealt, output: Path, rulesets: Sequence[RuleSet]) -> None:
    """The parts as one table, which appears whole or not at all."""
    import pyarrow as pa
    import pyarrow.parquet

    schema = pa.unify_schemas([own.schema for own in _parts(work, dealt)])
    output.parent.mkdir(parents=True, exist_ok=True)
    if output.suffix.lower() == ".gpkg":
        _gather_geopackage(work, dealt, output)
        return
    geo: dict[str, Any] = {"encoding": "WKB", "geometry_types": []}
    geo["crs"] = dealt.projjson if dealt.projjson is not None else _projjson(dealt.reference)
    meta = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": geo}}
    titles = [rules.title for rules in rulesets]
    schema = schema.with_metadata(
        {b"geo": json.dumps(meta).encode(), _MARK: json.dumps([_VERSION, *titles]).encode()}
    )
    with (
        work.whole("table.parquet") as path,
        pyarrow.parquet.ParquetWriter(
            path, schema, compression="zstd", use_dictionary=_texts(schema)
        ) as writer,
    ):
        for own in _parts(work, dealt):
            writer.write_table(own.cast(schema))
    work.path("table.parquet").replace(output)


def _parts(work: WorkFolder, dealt: Dealt) -> Iterator[Any]:
    """The table of each piece."""
    import pyarrow as pa

    for piece in range(dealt.pieces):
        with pa.memory_map(str(work.path(f"part-{piece}.arrow"))) as source:
            yield pa.ipc.open_file(source).read_all()


def _texts(schema: Any) -> list[str]:
    """The columns of which a word stands in many rows: all texts but the names of the lots."""
    import pyarrow as pa

    return [
        own.name
        for own in schema
        if own.name != "lot" and (pa.types.is_dictionary(own.type) or pa.types.is_string(own.type))
    ]


def _projjson(reference: str) -> Any:
    if not reference:
        return None
    import pyproj

    return pyproj.CRS.from_user_input(reference).to_json_dict()


def _gather_geopackage(work: WorkFolder, dealt: Dealt, output: Path) -> None:
    import pyarrow as pa

    from checker.site.gis_files import gis_library

    pyogrio = gis_library(output.name)
    with work.whole("table.gpkg") as path, warnings.catch_warnings():
        # TownLayers without a reference give a table without one, which the library warns of.
        warnings.simplefilter("ignore")
        for place, own in enumerate(_parts(work, dealt)):
            plain = [
                column.cast(pa.string()) if pa.types.is_dictionary(column.type) else column
                for column in own.columns
            ]
            pyogrio.raw.write_arrow(
                pa.table(plain, names=own.column_names), path, layer="lots", driver="GPKG",
                geometry_name="geometry", geometry_type="Unknown", crs=dealt.reference or None,
                append=place > 0,
            )  # fmt: skip
    work.path("table.gpkg").replace(output)
