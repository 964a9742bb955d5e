"""DXF drawings: units, layers with their states, blocks, and what is passed over and said.

Heavy and only imported when a DXF is read. The drawing unit comes from the header ($INSUNITS: 1
inch, 2 foot, 6 metre, 21 US survey foot and so on, as the DXF reference lists them); where it is
absent the site file must say it.
"""

from __future__ import annotations

import logging
from collections import Counter
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Struct, field
from checker.core.units import UNIT
from checker.files.opening import read_bytes
from checker.site.arcs import signed_area_m2
from checker.site.doubts import PLAUSIBLE_M2
from checker.site.drawn_layers import MAX_PIECES, MAX_VERTICES, Drawing, counted_from
from checker.site.dxf_entities import WORDS, Passed, pieces_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from checker.site.clean import Notes

MAX_DXF_BYTES: Final = 40_000_000
MAX_BLOCK_DEPTH: Final = 10
MAX_INSERTS: Final = 20_000
INSUNITS: Final = {
    1: "in", 2: "ft", 3: "mi", 4: "mm", 5: "cm", 6: "m", 7: "km", 10: "yd", 21: "us survey ft",
}  # fmt: skip


class _Walk(Struct):
    """One walk over the model space."""

    drawing: Drawing
    size_m: float
    passed: Passed = field(default_factory=Passed)
    pieces_count: int = 0
    vertices_count: int = 0
    inserts_count: int = 0
    missing_blocks: set[str] = field(default_factory=set)
    xrefs: set[str] = field(default_factory=set)


def read_dxf(path: Path, shown: str, options: dict[str, Any], notes: Notes) -> Drawing | None:
    """The layers of a DXF file.

    Args:
        path: The file.
        shown: How messages name it.
        options: `unit` and `origin` when the site file gives them.
        notes: Where problems and repairs go.

    Returns:
        None after a problem.

    Raises:
        BadInput: It is no DXF file, or a library is missing.
    """
    with _log_kept() as said:
        document = _open(path, shown, notes)
    unit = _unit(document, shown, options.get("unit"), notes)
    drawing = Drawing(file=shown, unit=unit or "ft", folds_case=True)
    walk = _Walk(drawing, UNIT[drawing.unit].size_si)
    broken = [text for text in said if "invalid" in text]
    if broken:
        notes.repair(
            Place(shown), f"{len(broken)} x broken number mended, compare with the original: "
            f"{broken[0][:100]}",
        )  # fmt: skip
    try:
        with _log_kept():
            _states(document, drawing)
            for entity in document.modelspace():
                _visit(entity, "", 0, "", walk)
    except BadInput:
        raise
    except Exception as error:  # a third-party parser on a file of unknown origin
        raise _bad(shown, f"is damaged: {_short(error)}", "save it again as DXF") from error
    if unit is None:
        _ask_unit(walk, shown, notes)
        return None
    if origin := options.get("origin"):
        pieces = (piece for layer in drawing.layers.values() for piece in layer.pieces)
        counted_from(pieces, origin, walk.size_m)
    _tell(document, walk, shown, notes)
    return drawing


@contextmanager
def _log_kept() -> Iterator[list[str]]:
    """Keep what the library logs: it mends broken numbers and says so there alone."""
    said: list[str] = []

    class Keeper(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            said.append(record.getMessage())

    logger, keeper = logging.getLogger("ezdxf"), Keeper()
    propagates, logger.propagate = logger.propagate, False
    logger.addHandler(keeper)
    try:
        yield said
    finally:
        logger.removeHandler(keeper)
        logger.propagate = propagates


def _open(path: Path, shown: str, notes: Notes) -> Any:  # noqa: ANN401 - ezdxf's own document
    if not read_bytes(path, shown, MAX_DXF_BYTES).strip():
        raise _bad(shown, "is empty", "save it again as DXF")
    try:
        from ezdxf import recover
        from ezdxf.filemanagement import readfile
    except ImportError as error:
        do = "install it with: pip install '.[dxf]'"
        raise _bad(shown, "needs the library ezdxf to be read", do) from error
    try:
        return readfile(path)
    except Exception as first:  # a third-party parser on a file of unknown origin
        try:
            document, auditor = recover.readfile(path)
        except Exception as error:
            raise _bad(shown, "is no DXF file", "save it again as DXF") from error
        mended = len(auditor.fixes) + len(auditor.errors)
        faults = f"{mended} fault{'s' * (mended != 1)}"
        notes.repair(
            Place(shown),
            f"the DXF file is damaged ({_short(first)}); read with {faults} mended, compare it "
            "with the original",
        )
        return document


def _short(error: BaseException) -> str:
    text = " ".join(str(error).split())[:120].rstrip(".")
    return text or type(error).__name__


def _bad(shown: str, says: str, do: str) -> BadInput:
    return BadInput(f"{shown} cannot be read", [Problem(Place(shown), says, do)])


def _unit(document: Any, shown: str, asked: str | None, notes: Notes) -> str | None:  # noqa: ANN401
    code = document.header.get("$INSUNITS", 0)
    own = INSUNITS.get(code)
    if asked is not None and own is not None and own != asked:
        says = f"the drawing says that its unit is '{own}'"
        notes.repair(Place(shown), f"{says}; the site file says '{asked}', which was used")
    return asked or own


def _ask_unit(walk: _Walk, shown: str, notes: Notes) -> None:
    """Say what the largest outline would be in each unit in which it could be a lot."""
    areas = [
        abs(signed_area_m2(piece.rings[0])) / walk.size_m**2
        for layer in walk.drawing.layers.values()
        for piece in layer.pieces
        if piece.kind == "area" and piece.rings
    ]
    fits = [
        f"{notes.area(max(areas) * UNIT[unit].size_si ** 2)} in '{unit}'"
        for unit in ("ft", "m", "in", "mm")
        if areas and PLAUSIBLE_M2[0] <= max(areas) * UNIT[unit].size_si ** 2 <= PLAUSIBLE_M2[1]
    ]
    hint = f"; its largest outline would have {' or '.join(fits)}" if fits else ""
    says = f"the drawing does not say its unit{hint}"
    notes.problem(Place(shown), says, "say 'unit:' under 'drawing:' in the site file")


def _states(document: Any, drawing: Drawing) -> None:  # noqa: ANN401
    for entry in document.layers:
        layer = drawing.layer(entry.dxf.name)
        layer.state = "frozen" if entry.is_frozen() else "off" if entry.is_off() else ""


def _visit(entity: Any, layer_above: str, depth: int, block: str, walk: _Walk) -> None:  # noqa: ANN401
    """Take in one entity; blocks are unfolded, their layer 0 is the layer of the block."""
    kind = entity.dxftype()
    name = entity.dxf.layer
    if name == "0" and layer_above:
        name = layer_above
    known = walk.drawing.find(name)
    layer = known if known is not None else walk.drawing.layer(name)
    if kind == "INSERT":
        _unfold(entity, layer.name, depth, walk)
        return
    layer.counts[WORDS.get(kind, "other thing")] += 1
    found = pieces_of(entity, block, walk.drawing.file, walk.size_m, walk.passed)
    for piece in found:
        walk.pieces_count += 1
        walk.vertices_count += sum(len(ring) for ring in piece.rings)
        layer.pieces.append(piece)
    if walk.pieces_count > MAX_PIECES or walk.vertices_count > MAX_VERTICES:
        says = f"holds more than {MAX_PIECES:,} things or {MAX_VERTICES:,} points"
        raise _bad(walk.drawing.file, says, "save only the layers that matter")


def _unfold(insert: Any, layer: str, depth: int, walk: _Walk) -> None:  # noqa: ANN401
    name = insert.dxf.name
    block = insert.block()
    if block is None:
        walk.missing_blocks.add(name)
        return
    if block.block.is_xref or block.block.is_xref_overlay:
        walk.xrefs.add(block.block.dxf.get("xref_path", "") or name)
        return
    if depth >= MAX_BLOCK_DEPTH:
        says = f"has blocks nested more than {MAX_BLOCK_DEPTH} deep, at the block '{name}'"
        raise _bad(walk.drawing.file, says, "break the blocks up into their lines")
    for single in _singles(insert, walk):
        walk.inserts_count += 1
        if walk.inserts_count > MAX_INSERTS:
            says = f"unfolds to more than {MAX_INSERTS:,} blocks"
            raise _bad(walk.drawing.file, says, "save only the layers that matter")
        walk.passed.blocks[name] += 1
        for entity in single.virtual_entities(skipped_entity_callback=_skipped(walk)):
            _visit(entity, layer, depth + 1, name, walk)


def _singles(insert: Any, walk: _Walk) -> Iterator[Any]:  # noqa: ANN401
    if insert.mcount <= 1:
        yield insert
    elif insert.mcount > MAX_INSERTS:
        says = f"repeats a block {insert.mcount:,} times"
        raise _bad(walk.drawing.file, says, "break the blocks up into their lines")
    else:
        yield from insert.multi_insert()


def _skipped(walk: _Walk) -> Any:  # noqa: ANN401 - a callback of ezdxf's own shape
    def skipped(entity: Any, reason: str) -> None:  # noqa: ANN401, ARG001
        walk.passed.left_out[f"{WORDS.get(entity.dxftype(), 'thing')} in a block"] += 1

    return skipped


def _tell(document: Any, walk: _Walk, shown: str, notes: Notes) -> None:  # noqa: ANN401
    """Everything that was passed over or changed on the way, in a fixed order."""
    place = Place(shown)
    for layer in walk.drawing.layers.values():
        if layer.state and layer.pieces:
            notes.repair(
                place, f"the layer '{layer.name}' is {layer.state}; it was read all the same"
            )
    if walk.passed.blocks:
        told = ", ".join(f"{name} ({count})" for name, count in sorted(walk.passed.blocks.items()))
        notes.repair(place, f"blocks were unfolded: {told}")
    for name in sorted(walk.missing_blocks):
        notes.repair(place, f"the block '{name}' is used but not defined; nothing of it is counted")
    for name in sorted(walk.xrefs):
        says = f"the drawing refers to another one, '{name}', which was not read"
        notes.repair(place, f"{says}; put its lines into this file if any of them counts")
    if walk.passed.heights:
        says = f"{walk.passed.heights} x height (z) passed over"
        notes.repair(place, f"{says}; only the plan was read")
    for what, count in sorted(walk.passed.left_out.items()):
        notes.repair(place, f"left out: {count} x {what}")
    if walk.passed.splines:
        says = f"{walk.passed.splines} x spline read as short lines"
        notes.repair(place, f"{says}, within {notes.small(0.001)} of the curve")
    paper = Counter(
        WORDS.get(entity.dxftype(), "other thing")
        for layout in document.layouts
        if not layout.is_modelspace
        for entity in layout
        if entity.dxftype() != "VIEWPORT"
    )
    if paper:
        count = sum(paper.values())
        notes.repair(place, f"{count} thing{'s' * (count != 1)} on a sheet layout passed over; "
                     "only what is drawn at true size is read")  # fmt: skip
