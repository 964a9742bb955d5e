"""The `levels` of a site file as records, or every problem in them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.problems import Problems
from checker.files.shape import check_shape
from checker.site.drainage import SpotLevel
from checker.site.drawn_fields import DrawnFields

if TYPE_CHECKING:
    from checker.files.source import Document


def read_levels(data: object, document: Document) -> tuple[SpotLevel, ...]:
    """The spot levels of a site file.

    Args:
        data: What stands under `levels`; None when nothing does.
        document: The file, for places.

    Raises:
        BadInput: With every problem found.
    """
    if data is None:
        return ()
    shaped: list[dict[str, Any]] = check_shape("levels", data, document, ("levels",))
    problems, found = Problems(), []
    for index, item in enumerate(shaped):
        fields = DrawnFields(item, document, ("levels", index), f"level {index + 1}", problems)
        level_m, at = fields.level_m("level"), fields.point("at")
        if level_m is None or at is None:
            continue
        found.append(
            SpotLevel(
                at=at,
                level_m=level_m,
                what=item.get("what", "ground"),
                is_proposed=item.get("stage") == "proposed",
            )
        )
    problems.stop_if_any(f"{document.file} cannot be used")
    return tuple(found)
