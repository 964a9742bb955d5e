"""A screening from files to a table and a report: the sample town, whole and in pieces."""

from __future__ import annotations

import importlib.util
import os
import shutil
import warnings
from pathlib import Path
from typing import Any, Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.screen import areas, layer_files, overlays, run, work

pa: Final[Any] = pytest.importorskip("pyarrow")
pq: Final[Any] = pytest.importorskip("pyarrow.parquet")

ROOT: Final = Path(__file__).parents[2]
SAMPLE: Final = ROOT / "samples/fallow-reach"


def drawn(folder: Path, lots: int) -> Path:
    """The sample town, drawn with fewer lots."""
    spec = importlib.util.spec_from_file_location("make", SAMPLE / "make.py")
    assert spec is not None
    assert spec.loader is not None
    make = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(make)
    make.written(folder, lots)
    return folder / "town.yaml"


@pytest.fixture(scope="module")
def town(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return drawn(tmp_path_factory.mktemp("town"), 120)


def copied(town: Path, folder: Path) -> Path:
    shutil.copytree(town.parent, folder)
    return folder / "town.yaml"


def edited(town: Path, folder: Path, old: str, new: str) -> Path:
    """A copy of the town whose town file reads otherwise in one place."""
    path = copied(town, folder)
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")
    return path


def reason(town: Path, out: Path, **options: Any) -> str:
    with pytest.raises(BadInput) as caught:
        api.screen(town, out, **options)
    return str(caught.value)


def test_pieces_and_the_order_of_rows_do_not_matter(town: Path, tmp_path: Path) -> None:
    whole = run.screen(town, tmp_path / "1.parquet")
    for size in (60, 17):
        several = run.screen(town, tmp_path / f"{size}.parquet", lots_a_piece=size)
        assert pq.read_table(several.output).equals(pq.read_table(whole.output))
        assert several.summary.to_bytes() == whole.summary.to_bytes()
    other = copied(town, tmp_path / "shuffled")
    for name in ("lots", "surfaces"):
        path = other.with_name(f"{name}.parquet")
        table = pq.read_table(path)
        # Surfaces that are alike but for their order would be seen otherwise: turn lots alone.
        rows = list(range(len(table)))
        pq.write_table(table.take(rows[::-1] if name == "lots" else rows), path)
    shuffled = api.screen(other, tmp_path / "shuffled.parquet")
    key = [("lot", "ascending")]
    assert (
        pq.read_table(shuffled.output).sort_by(key).equals(pq.read_table(whole.output).sort_by(key))
    )


def test_the_table_says_what_a_check_of_one_lot_says(town: Path, tmp_path: Path) -> None:
    """Each lot of the files as a site file of its own, read and checked by itself."""
    import shapely

    found = api.screen(town, tmp_path / "out.parquet")
    table = {row["lot"]: row for row in pq.read_table(found.output).to_pylist()}
    lots = pq.read_table(town.with_name("lots.parquet")).to_pylist()
    surfaces = pq.read_table(town.with_name("surfaces.parquet")).to_pylist()
    shore = shapely.from_wkb(
        pq.read_table(town.with_name("shoreline.parquet"))["geometry"][0].as_py()
    )
    for surface in surfaces:
        surface["shape"] = shapely.from_wkb(surface["geometry"])
    kinds = {
        "house": "roof", "garage": "roof", "drive": "asphalt", "walk": "concrete-slab",
        "terrace": "stone-slab", "pavers": "sand-set-pavers", "deck": "wood-deck",
        "pool": "pool-water", "parking": "permeable-paving",
    }  # fmt: skip
    purposes = {"house": "dwelling", "garage": "garage", "drive": "drive", "walk": "walk"}
    ruleset = api.load_ruleset("reed-mere")
    checked = 0
    for lot in lots[::7]:
        row = table[lot["lot"]]
        if row["problem"]:
            continue
        outline = shapely.from_wkb(lot["geometry"])
        text = [
            "format: site/1", "title: t", "place: reed-mere", "units: m", "rest_of_lot: lawn",
            f"lot: {{boundary: {{points: {_points(outline)}}}}}",
            f"features: [{{id: shore, kind: shoreline, shape: {{line: {_points(shore)}}}}}]",
            "surfaces:",
        ]  # fmt: skip
        for number, own in enumerate(surfaces):
            if own["kind"] == "hedge" or not own["shape"].intersects(outline):
                continue
            more = [f"purpose: {purposes[own['kind']]}"] if own["kind"] in purposes else []
            more += [f"placed_on: '{own['built']}'"] if own["built"] else []
            text.append(
                f"  - {{id: s{number}, material: {kinds[own['kind']]}, stage: existing, "
                f"shape: {{points: {_points(own['shape'])}}}, attributes: {{{', '.join(more)}}}}}"
            )
        if lot["width"]:
            text.append(f"facts: {{lot_width: {lot['width']} m}}")
        path = tmp_path / "one.yaml"
        path.write_text("\n".join(text), "utf-8")
        read_text("\n".join(text), "one.yaml")
        alone = api.check(api.load_site(path), ruleset)
        for finding in alone.verdict.findings:
            assert row[f"{finding.rule} status"] == finding.status, (lot["lot"], finding.rule)
            if finding.measured is not None and row[f"{finding.rule} measured"] is not None:
                measured = row[f"{finding.rule} measured"]
                assert measured == pytest.approx(finding.measured.value_si, rel=1e-9, abs=1e-6)
        checked += 1
    assert checked > 10


def _points(shape: Any) -> str:
    import shapely

    points = shapely.get_coordinates(shape).tolist()
    if shape.geom_type == "Polygon":
        points = points[:-1]
    return str([[float(x), float(y)] for x, y in points])


def test_a_former_run_is_gone_on_with(
    town: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed after two of four pieces: what is done is not done again, and the bytes are alike."""
    from checker.screen import piece, spread

    whole = run.screen(town, tmp_path / "whole.parquet", lots_a_piece=30)
    done: list[int] = []
    real = piece.worked

    def stops(job: Any, number: int) -> int:
        if len(done) == 2:
            raise KeyboardInterrupt
        done.append(number)
        return real(job, number)

    monkeypatch.setattr(spread, "worked", stops)
    with pytest.raises(KeyboardInterrupt):
        run.screen(town, tmp_path / "out.parquet", lots_a_piece=30)
    assert not (tmp_path / "out.parquet").exists()
    parts = {p.name: p.stat().st_mtime_ns for p in tmp_path.glob("out.parquet.work/part-*")}
    assert len(parts) == 4
    seen: dict[str, int] = {}

    def watched(job: Any, number: int) -> int:
        found = real(job, number)
        folder = Path(job.folder)
        seen.update({p.name: p.stat().st_mtime_ns for p in folder.glob("part-*")})
        return found

    monkeypatch.setattr(spread, "worked", watched)
    again = run.screen(town, tmp_path / "out.parquet", lots_a_piece=30)
    assert {name: seen[name] for name in parts} == parts
    assert again.output.read_bytes() == whole.output.read_bytes()
    assert not (tmp_path / "out.parquet.work").exists()


def plainly_written(layer: Path) -> None:
    """The layer so that a text in it can be put in the place of another, byte for byte."""
    table = pq.read_table(layer)
    pq.write_table(table, layer, use_dictionary=False, compression="NONE", write_statistics=False)


def test_a_former_run_of_other_inputs_is_not_gone_on_with(
    town: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed after two of four pieces; then a layer changes, but not its size or its time."""
    from checker.screen import piece, spread

    path = copied(town, tmp_path / "t")
    layer = path.with_name("surfaces.parquet")
    plainly_written(layer)
    real = piece.worked

    def stops(job: Any, number: int) -> int:
        if number == 2:
            raise KeyboardInterrupt
        return real(job, number)

    monkeypatch.setattr(spread, "worked", stops)
    out = tmp_path / "out.parquet"
    with pytest.raises(KeyboardInterrupt):
        run.screen(path, out, lots_a_piece=30)
    assert (tmp_path / "out.parquet.work/part-1.arrow").is_file()
    monkeypatch.undo()
    before, raw = layer.stat(), layer.read_bytes()
    assert raw.count(b"walk") > 10
    layer.write_bytes(raw.replace(b"walk", b"deck"))
    os.utime(layer, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert layer.stat().st_size == before.st_size
    found = run.screen(path, out, lots_a_piece=30)
    anew = run.screen(path, tmp_path / "anew.parquet", lots_a_piece=30)
    assert found.output.read_bytes() == anew.output.read_bytes()


@pytest.mark.parametrize("companion", ["lots.dbf", "lots.prj"])
def test_what_lies_beside_a_shapefile_is_an_input_too(tmp_path: Path, companion: str) -> None:
    for name in ("lots.shp", companion):
        (tmp_path / name).write_bytes(b"as it was")
    files = layer_files.files_of(tmp_path / "lots.shp")
    before = work.digest_of(files, ["text"])
    (tmp_path / companion).write_bytes(b"as it is.")
    assert work.digest_of(files, ["text"]) != before


def test_a_lot_that_cannot_be_measured_is_told_and_the_others_are_judged(
    town: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The geometry library doubles a part of one lot."""
    whole = run.screen(town, tmp_path / "whole.parquet", compiled_too=False)
    real = overlays.parts_by_overlay

    def doubles(layers: Any, members: Any, lots: Any = None) -> Any:
        parts = real(layers, members, lots)
        parts.area[layers.ids[parts.lot] == "1-2"] *= 2
        return parts

    monkeypatch.setattr(areas, "parts_by_overlay", doubles)
    found = run.screen(town, tmp_path / "out.parquet", compiled_too=False, lots_a_piece=50)
    told = dict(found.summary.problem_lots)
    assert set(told) == {"1-1", "1-2"}
    assert "cannot be measured reliably" in told["1-2"]
    rows, before = (
        {row["lot"]: row for row in pq.read_table(one.output).to_pylist()} for one in (found, whole)
    )
    assert rows.pop("1-2")["verdict"] == "not judged"
    assert before.pop("1-2")["verdict"] != "not judged"
    assert rows.keys() == before.keys()
    for name, row in rows.items():
        for column, value in row.items():
            # The library rounds otherwise where it measures from another corner.
            is_number = isinstance(value, float)
            was = before[name][column]
            assert value == (pytest.approx(was, rel=1e-9, abs=1e-9) if is_number else was)


def test_what_is_broken_is_told_and_not_mended(town: Path, tmp_path: Path) -> None:
    found = api.screen(town, tmp_path / "out.parquet")
    told = found.summary.problem_lots
    assert [lot for lot, _ in told] == ["1-1"]
    assert "broken: Self-intersection" in told[0][1]
    row = next(r for r in pq.read_table(found.output).to_pylist() if r["lot"] == "1-1")
    assert row["verdict"] == "not judged"
    assert "Self-intersection" in row["problem"]


def test_a_value_without_a_material_is_told_on_its_lots(town: Path, tmp_path: Path) -> None:
    other = edited(town, tmp_path / "t", "        walk: concrete-slab\n", "")
    found = api.screen(other, tmp_path / "out.parquet")
    says = "surfaces.parquet: 'walk' of 'kind' has no material in the town file"
    assert found.summary.problems[says] > 100


def test_other_limits_and_rule_sets_side_by_side(town: Path, tmp_path: Path) -> None:
    found = api.screen(
        town, tmp_path / "out.parquet", places=["reed-mere", "hollin-mere"],
        limits=["cover-share=20%,60%"],
    )  # fmt: skip
    strict = found.summary.variants[2]
    lax = found.summary.variants[3]
    assert strict.changed[0] > 0
    assert lax.rules["cover-share"].statuses[0] == 0
    table = pq.read_table(found.output)
    before = table["1:reed-mere verdict"].to_pylist()
    after = table["3:cover-share=20% verdict"].to_pylist()
    met = {"passes", "passes with conditions", "does not apply"}
    told = [
        b in met and a not in met for b, a in zip(before, after, strict=True) if a != "not judged"
    ]
    assert sum(told) == strict.changed[0]
    assert max(map(len, api.screening_text(found).split("\n"))) <= 80
    text = api.screening_pages(found)["screening.md"]
    assert "No longer pass" in text
    assert "1-1" in text
    # By how much, from the columns of the table that was written: measured less limit, by limit.
    columns = [table[f"3:cover-share=20% cover-share {word}"].to_pylist()
               for word in ("measured", "limit")]  # fmt: skip
    far = {
        lot: (measured - limit) / limit
        for lot, measured, limit, is_told in zip(
            table["lot"].to_pylist(), *columns,
            [b in met and a not in met for b, a in zip(before, after, strict=True)], strict=True,
        )
        if is_told and measured is not None and measured >= limit
    }  # fmt: skip
    assert len(strict.changed_lots) == sum(strict.changed)
    listed = strict.changed_lots[: len(far)]
    assert [own.beyond for own in listed] == pytest.approx(sorted(far.values())[::-1])
    # Behind them those that a number does not tell.
    assert all(own.now is None or own.beyond < 0 for own in strict.changed_lots[len(far) :])
    for own in listed:
        assert own.beyond == pytest.approx(far[own.lot])
        assert own.was is not None
        assert own.now is not None
        # The same cover under a limit of 20 % less room.
        assert own.was.measured == own.now.measured
        assert own.was.margin > 0 > own.now.margin
    assert "Beyond it by" in text


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("unit: m\n", "", "lots.parquet names no coordinate reference; say 'unit: ft'"),
        ("id: lot\n", "id: parcel\n", "lots.parquet has no column 'parcel'"),
        ("house: roof", "house: ruof", "'ruof' is no material; did you mean 'roof'?"),
        ("file: lots.parquet", "file: lots.csv", "'lots.csv' is no layer that can be read"),
        ("file: lots.parquet", "file: none.parquet", "there is no file 'none.parquet'"),
        ("place: reed-mere", "place: reed-more", "there is no rule set 'reed-more'"),
        ("column: kind\n      values", "column: kinds\n      values", "has no column 'kinds'"),
    ],
)
def test_what_a_town_file_has_wrong(
    town: Path, tmp_path: Path, old: str, new: str, says: str
) -> None:
    assert says in reason(edited(town, tmp_path / "t", old, new), tmp_path / "out.parquet")


def test_a_file_in_disguise_is_not_opened(town: Path, tmp_path: Path) -> None:
    other = copied(town, tmp_path / "t")
    other.with_name("lots.parquet").write_text("<VRTDataset/>")
    assert "is no Parquet file, whatever its name says" in reason(other, tmp_path / "o.parquet")


def test_nothing_of_others_is_written_over(town: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.parquet"
    pq.write_table(pa.table({"a": [1]}), out)
    assert "is there already" in reason(town, out)
    layer = town.with_name("lots.parquet")
    before = layer.read_bytes()
    assert "is there already" in reason(town, layer)
    assert layer.read_bytes() == before
    assert "no kind of table" in reason(town, tmp_path / "out.csv")
    (tmp_path / "x.parquet.work").mkdir()
    assert "was not made by this program" in reason(town, tmp_path / "x.parquet")


@pytest.mark.parametrize("ending", ["gpkg", "fgb", "shp"])
def test_other_formats_give_the_same_verdicts(town: Path, tmp_path: Path, ending: str) -> None:
    pyogrio = pytest.importorskip("pyogrio")
    import shapely

    whole = api.screen(town, tmp_path / "out.parquet")
    other = copied(town, tmp_path / "t")
    text = other.read_text("utf-8")
    for name, kind in (("lots", "Polygon"), ("surfaces", "Polygon"), ("shoreline", "LineString")):
        table = pq.read_table(other.with_name(f"{name}.parquet"))
        shapes = table["geometry"].to_numpy()
        assert len(shapely.from_wkb(shapes)) == len(table)
        table = table.replace_schema_metadata(None)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            pyogrio.raw.write_arrow(
                table, other.with_name(f"{name}.{ending}"), layer=name, geometry_name="geometry",
                geometry_type=kind, crs=None,
                driver={"gpkg": "GPKG", "fgb": "FlatGeobuf", "shp": "ESRI Shapefile"}[ending],
        )  # fmt: skip
    other.write_text(text.replace(".parquet", f".{ending}"), "utf-8")
    found = api.screen(other, tmp_path / f"{ending}.parquet")
    columns = ["lot", "verdict", "village-cover measured", "problem"]
    own, first = (
        pq.read_table(one.output).select(columns).sort_by("lot").to_pylist()
        for one in (found, whole)
    )
    for mine, theirs in zip(own, first, strict=True):
        assert mine["lot"] == theirs["lot"]
        assert mine["verdict"] == theirs["verdict"]


def test_a_geopackage_is_written_too(town: Path, tmp_path: Path) -> None:
    pyogrio = pytest.importorskip("pyogrio")
    out = tmp_path / "out.gpkg"
    api.screen(town, out)
    meta, table = pyogrio.read_arrow(out)
    assert table.num_rows == 120
    assert "verdict" in table.column_names
    assert meta["geometry_type"] is not None
