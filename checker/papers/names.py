"""Names of papers and files: lower-case words with hyphens, no other signs."""

from __future__ import annotations

import re


def paper_id(document: str) -> str:
    """The id of a paper that a rule names in words: "Soil report, signed" is `soil-report-signed`.

    Example:
        >>> paper_id("Soil report, signed"), paper_id("erosion-plan")
        ('soil-report-signed', 'erosion-plan')
    """
    return "-".join(re.findall(r"[a-z0-9]+", document.lower()))
