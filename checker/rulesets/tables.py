"""Regions and counting tables of a rule-set file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.algebra import nodes as n
from checker.algebra.regions import RegionRule
from checker.algebra.tables import CountRow, CountTable
from checker.core.problems import did_you_mean
from checker.core.units import AREA, LENGTH, RATIO

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.core.problems import Place
    from checker.core.words import DataPath
    from checker.rulesets.rule_file import RuleFile
    from checker.rulesets.rules import Example


def read_region(name: str, file: RuleFile) -> RegionRule:
    """How a region of a file is made."""
    item = file.data["regions"][name]
    at = ("regions", name)
    makings = [key for key in ("overlay", "kind", "yard", "band", "lot") if key in item]
    if len(makings) != 1:
        file.wrong(
            at,
            f"the region '{name}' is made in {len(makings)} ways",
            "give exactly one of overlay, kind, yard, band, lot",
        )
        makings = makings[:1] or ["overlay"]
    making = makings[0]
    depth = None
    if "depth" in item:
        depth = file.kind(file.number(item["depth"], (*at, "depth")), LENGTH, (*at, "depth"))
    if making == "lot" and not file.yes(item, "lot", at):
        file.wrong((*at, "lot"), "'lot: no' makes no region", "write 'lot: yes'")
    return RegionRule(
        id=name,
        title=item["title"],
        making=making,  # type: ignore[arg-type]
        of="" if making == "lot" else item.get(making, ""),
        depth=depth,
        over_m=file.size_si(item, "over", LENGTH, at) or 0.0,
        up_to_m=file.size_si(item, "up_to", LENGTH, at),
        is_beyond_lot=file.yes(item, "beyond_lot", at),
        is_touching=file.yes(item, "touching", at),
        least_width_m=file.size_si(item, "least_width", LENGTH, at) or 0.0,
    )


class Tables:
    """Reads the counting tables of all files; a later file replaces a table whole.

    Args:
        files: The files, adopted ones first.
    """

    def __init__(self, files: Sequence[RuleFile]) -> None:
        self._owner: dict[str, RuleFile] = {
            name: file for file in files for name in file.group("counts")
        }
        self._busy: list[str] = []

    def tables(self) -> dict[str, CountTable]:
        """Every table, by the measure it makes."""
        return {name: self._table(name, file) for name, file in self._owner.items()}

    def examples(self) -> dict[str, tuple[Example, ...]]:
        """The worked examples of every table."""
        return {
            name: file.examples(file.group("counts")[name], ("counts", name))
            for name, file in self._owner.items()
        }

    def says_levels(self, name: str) -> bool:
        """Whether the file of a table says which of several surfaces over one spot counts."""
        return "levels" in self._owner[name].group("counts")[name]

    def place(self, name: str) -> Place:
        """Where a table stands."""
        return self._owner[name].place(("counts", name))

    def _table(self, name: str, file: RuleFile) -> CountTable:
        item = file.group("counts")[name]
        at: DataPath = ("counts", name)
        otherwise = None
        if item["otherwise"] != "cannot tell":
            otherwise = file.reader.number(item["otherwise"], (*at, "otherwise"), "surface")
        return CountTable(
            name=name,
            title=item["title"],
            rows=self._rows(name, file),
            otherwise=otherwise,
            levels=item.get("levels", "heaviest"),
            clause=file.clause(item, at),
        )

    def _rows(self, name: str, file: RuleFile) -> tuple[CountRow, ...]:
        """The rows of a table; a row that names another table stands for all rows of that."""
        rows: list[CountRow] = []
        self._busy.append(name)
        for index, row in enumerate(file.group("counts")[name]["rows"]):
            at: DataPath = ("counts", name, "rows", index)
            if "rows_of" not in row:
                if "weight" not in row:
                    file.wrong(at, "'weight' is missing", "give a share from 0 to 1, or 'rows_of'")
                    continue
                rows.append(_row(file, row, at))
                continue
            other = row["rows_of"]
            beside = sorted(set(row) - {"rows_of"})
            if beside:
                file.wrong((*at, beside[0]), f"'{beside[0]}' cannot stand beside 'rows_of'")
            if other not in self._owner:
                file.wrong(
                    (*at, "rows_of"),
                    f"'{other}' is no counting table of this set",
                    did_you_mean(other, self._owner),
                )
            elif other in self._busy:
                file.wrong((*at, "rows_of"), f"'{other}' takes its rows from itself", "remove it")
            else:
                rows += self._rows(other, self._owner[other])
        self._busy.pop()
        return tuple(rows)


def _row(file: RuleFile, row: Mapping[str, Any], at: DataPath) -> CountRow:
    parser = file.reader
    where = parser.where(row["where"], (*at, "where")) if "where" in row else n.always()
    cap = None
    if "exempt_up_to" in row:
        place = (*at, "exempt_up_to")
        cap = file.kind(parser.number(row["exempt_up_to"], place), AREA, place)
    if "otherwise" in row and "needs" not in row:
        file.wrong((*at, "otherwise"), "'otherwise' is for a need that fails", "add 'needs'")
    if "width_of" in row and "least_width" not in row:
        file.wrong((*at, "width_of"), "'width_of' says what is so wide", "add 'least_width'")
    return CountRow(
        where=where,
        weight=_weight(file, row["weight"], (*at, "weight")),
        otherwise=_weight(file, row.get("otherwise", 1), (*at, "otherwise")),
        title=row.get("title", ""),
        needs=tuple(
            parser.condition(need, (*at, "needs", i), "surface")
            for i, need in enumerate(row.get("needs", ()))
        ),
        each_over_m2=file.size_si(row, "each_over", AREA, at),
        exempt_first_m2=file.size_si(row, "exempt_first", AREA, at) or 0.0,
        exempt_up_to=cap,
        beyond=row.get("beyond", "excess"),
        drop_outer=_width(file, row, "drop_outer", at),
        drop_inner=_width(file, row, "drop_inner", at),
        least_width=_width(file, row, "least_width", at),
        width_of=row.get("width_of", "piece"),
        clause=file.clause(row, at),
    )


def _width(file: RuleFile, row: Mapping[str, Any], key: str, at: DataPath) -> n.Number | None:
    """The width of a strip that does not count: a length, or an expression of one."""
    if key not in row:
        return None
    place = (*at, key)
    node = file.kind(file.reader.number(row[key], place, "surface"), LENGTH, place)
    if isinstance(node, n.Fixed) and node.amount.value_si < 0:
        file.wrong(place, f"'{row[key]}' is below zero")
    return node


def _weight(file: RuleFile, data: object, at: DataPath) -> n.Number:
    node = file.reader.number(data, at, "surface")
    if isinstance(node, n.Fixed) and not 0 <= node.amount.value_si <= 1:
        file.wrong(at, f"the weight '{data}' is not from 0 to 1", "write it like 0.5 or 50 %")
        return node
    return file.kind(node, RATIO, at)
