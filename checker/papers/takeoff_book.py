"""The order of the whole job as a workbook: numbers as numbers, sums as formulas, texts inert."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

from checker.pages.archive import fixed_zip
from checker.pages.pdf_writer import need
from checker.pages.word_writer import EPOCH
from checker.papers.takeoff import CAUTION, TOTAL, TakeOffRow, takeoff_rows, whole_order

if TYPE_CHECKING:
    from pathlib import Path

    from checker.core.units import System
    from checker.findings.checked import Checked

_NUMBERS: Final = frozenset(
    {"in_place", "least", "usual", "most", "order", "cost", "cost_high", "hours"}
)
_WIDTHS: Final = {"item": 34, "note": 60, "order_of": 20, "surface": 18}


def take_off_workbook(
    checked: Checked, order_sizes: Path | None = None, system: System | None = None
) -> bytes:
    """Two sheets: line by line, and what to order in all with the sums of cost and hours.

    The arguments are those of `takeoff.take_off`.

    Raises:
        MissingLibrary: XlsxWriter is not installed.
    """
    xlsxwriter = need("xlsxwriter", "XlsxWriter", "an .xlsx file")
    raw = io.BytesIO()
    book = xlsxwriter.Workbook(raw, {"in_memory": True, "strings_to_formulas": False})
    book.set_properties({"title": "Take-off", "author": "", "created": EPOCH})
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    units = system or checked.system
    rows = takeoff_rows(*whole_order(checked, order_sizes, units), units)
    for name, shown in (
        ("By area", [row for row in rows if row.surface != TOTAL]),
        ("To order", [row for row in rows if row.surface == TOTAL]),
    ):
        sheet = book.add_worksheet(name)
        sheet.freeze_panes(1, 0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        for column, field in enumerate(TakeOffRow._fields):
            sheet.set_column(column, column, _WIDTHS.get(field, 11))
            sheet.write_string(0, column, field.replace("_", " "), head)
        for line, row in enumerate(shown, 1):
            for column, (field, text) in enumerate(zip(TakeOffRow._fields, row, strict=True)):
                if field in _NUMBERS and text:
                    sheet.write_number(line, column, float(text.replace(",", "")))
                elif text:
                    sheet.write_string(line, column, text, wrapped)
        last = len(shown) + 1
        if name == "To order" and shown:
            sheet.write_string(last, 2, "In all", head)
            for field in ("cost", "cost_high", "hours"):
                if any(getattr(row, field) for row in shown):
                    column = TakeOffRow._fields.index(field)
                    letter = chr(ord("A") + column)
                    total = sum(float((getattr(r, field) or "0").replace(",", "")) for r in shown)
                    sheet.write_formula(
                        last, column, f"=SUM({letter}2:{letter}{last})", head, total
                    )
        sheet.write_string(last + 2, 0, f"Caution: {CAUTION}")
    book.close()
    return fixed_zip(raw.getvalue())
