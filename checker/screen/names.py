"""The names of lots as text, and how many rows bear each."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from checker.screen.layer_files import refused
from checker.screen.town_file import plain_text

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.town_file import LotLayer


def names_of(column: Any) -> Any:
    """The names in a column as an Arrow column of texts; empty where a lot has none."""
    import pyarrow as pa

    kind = column.type
    if pa.types.is_string(kind) or pa.types.is_large_string(kind) or pa.types.is_integer(kind):
        return column.cast(pa.string()).fill_null("")
    values = column.to_pylist()
    return pa.chunked_array([["" if _is_none(v) else plain_text(v) for v in values]], pa.string())


def _is_none(value: object) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def rows_of_each(lots: LotLayer, names: Any) -> NDArray[np.int32]:
    """How many rows bear the name of each row, shape (n,); 1 where a row has none.

    Raises:
        BadInput: The column does not name lots: most rows share their name, or none has one.
    """
    coded = names.combine_chunks().dictionary_encode()
    index = coded.indices.to_numpy()
    texts = coded.dictionary.to_pylist()
    counts = np.bincount(index, minlength=len(texts)).astype(np.int32)
    named = np.array([bool(text) for text in texts], bool)
    says = f"'{lots.id}' of {lots.name.shown} does not name the lots: "
    do = "name as 'id' the column in which each lot has a value of its own"
    if not named.any():
        raise refused(lots.name.place, f"{says}it is empty in every row", do)
    counts[~named] = 1
    shared = int(counts[counts > 1].sum())
    if 2 * shared > len(index):
        most = int(counts.argmax())
        says += f"{shared:,} of {len(index):,} rows share theirs, "
        says += f"'{texts[most][:60]}' alone stands in {counts[most]:,}"
        raise refused(lots.name.place, says, f"{do}, or dissolve the parts of each lot into one")
    return np.asarray(counts[index])


def shared_name(lots: LotLayer, rows: int) -> str:
    """Why a lot is not judged whose name stands in several rows: each may be a part of it."""
    return (
        f"its id stands in {rows:,} rows of {lots.name.shown}: dissolve its parts into one "
        "outline, or give each row its own id"
    )
