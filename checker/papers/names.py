"""Names of papers and files, and the order in which a reviewer opens them."""

from __future__ import annotations

import re
from typing import Final

ORDER: Final = (
    "cover", "site-plan", "coverage-worksheet", "narrative", "pavement-section",
    "details", "drainage-calculations", "overflow-statement", "deviation-request", "upkeep-plan",
    "sequence", "certifications", "data-sheet", "cautions", "preflight", "closing-set",
    "resubmittal",
)  # fmt: skip
NUMBERS: Final = {name: str(index) for index, name in enumerate(ORDER, 1)}
"""The number of each document, by which the others refer to it."""

DRAWN_ON: Final = (
    f"Drawn on document {NUMBERS['site-plan']}, Site plan, of the same revision and date."
)
"""How tables name the sheets, as the sheets name the tables."""


def paper_id(document: str) -> str:
    """The id of a paper that a rule names in words: "Soil report, signed" is `soil-report-signed`.

    Example:
        >>> paper_id("Soil report, signed"), paper_id("erosion-plan")
        ('soil-report-signed', 'erosion-plan')
    """
    return "-".join(re.findall(r"[a-z0-9]+", document.lower()))
