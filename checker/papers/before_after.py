"""The table of what runs off the lot before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import AREA, FLOW, VOLUME
from checker.files.sources import source
from checker.files.tables import table
from checker.measure.drainage.before_after import running_off
from checker.measure.drainage.drawn import storms_of
from checker.measure.drainage.sheds import OPEN_RUNOFF, SEALED_RUNOFF
from checker.pages.blocks import Column, Table, TableRow, numbers

if TYPE_CHECKING:
    from checker.measure.drainage.before_after import RunningOff
    from checker.measure.drainage.rain import Which
    from checker.papers.drainage_tables import DrainageTables

SAYS: Final = (
    "Peak by the rational method with rain of five minutes, volume by the curve number of TR-55. "
    "Roofs, paving and full pools are one cover, all else is lawn in good state. New permeable "
    "paving counts as sealed here: what its stone holds back stands with the stores."
)


def before_after_sources() -> str:
    """Where the runoff shares and the curve numbers are from, to follow `SAYS`."""
    shares, curves = (table(name) for name in ("runoff-coefficients", "curve-numbers"))
    return (
        f" Runoff shares {SEALED_RUNOFF:g} and {OPEN_RUNOFF:g}: {source(shares.source).document}, "
        f"{shares.section}, upper ends. Curve numbers: {source(curves.source).document}, "
        f"{curves.section}."
    )


def before_after_table(tables: DrainageTables) -> Table:
    """Areas, runoff share, peak, curve number and volume of both states in each storm."""
    whiches: tuple[Which, ...] = ("design", "rare")
    rows: list[TableRow | tuple[str, ...]] = []
    for which in whiches:
        if which == "rare" and storms_of(tables.survey).rare is None:
            continue
        before = running_off(tables.survey, "existing", which)
        after = running_off(tables.survey, "proposed", which)
        rows.append(_row(tables, f"{which} storm, existing", f"{which}.before", before))
        rows.append(_row(tables, f"{which} storm, proposed", f"{which}.after", after))
        peak = after.peak_m3_per_s - before.peak_m3_per_s
        volume = after.volume_m3 - before.volume_m3
        cells = (
            "more after", "", "", tables.figure(f"{which}.more.peak", peak, FLOW), "",
            tables.figure(f"{which}.more.volume", volume, VOLUME),
        )  # fmt: skip
        rows.append(TableRow(cells, "total"))
    columns = (
        Column("Storm and state", width=1.6),
        *numbers("Sealed", "Runoff share", "Peak", "Curve number", "Volume"),
    )
    return Table("Runoff of the lot before and after", columns, tuple(rows))


def _row(tables: DrainageTables, title: str, key: str, found: RunningOff) -> tuple[str, ...]:
    return (
        title,
        tables.figure(f"{key}.sealed", found.sealed_m2, AREA),
        tables.brief.figures.add_text(
            f"water.{key}.share", "runoff share", f"{found.runoff_fraction:.3f}"
        ),
        tables.figure(f"{key}.peak", found.peak_m3_per_s, FLOW),
        tables.brief.figures.add_text(
            f"water.{key}.number", "curve number", f"{found.curve_number:.1f}"
        ),
        tables.figure(f"{key}.volume", found.volume_m3, VOLUME),
    )
