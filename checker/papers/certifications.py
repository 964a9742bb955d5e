"""Certifications as blank forms: no name, seal, signature or date is ever filled in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import Block, Columns, Sign, para
from checker.pages.paper import Paper

if TYPE_CHECKING:
    from checker.papers.job import Job

_LICENSED: Final = ("Name", "Licence and state", "Signature and seal", "Date")
_PLAIN: Final = ("Name", "Signature", "Date")

FORMS: Final = (
    Sign(
        "Preparer",
        "I prepared the drawings and tables of this set from the sources named in it.",
        _PLAIN,
    ),
    Sign(
        "Surveyor",
        "The boundary and levels shown are from a survey made by me or under my direction. Its "
        "closure, vertical datum and day of field work:",
        ("Closure, datum, day of field work", *_LICENSED),
        has_seal=True,
    ),
    Sign(
        "Design engineer",
        "I have reviewed the drainage design of this set, and it meets the ordinance named here:",
        ("Ordinance and section", *_LICENSED),
        has_seal=True,
    ),
    Sign(
        "Owner",
        "To my knowledge what this set says is true and complete. I permit the office to enter the "
        "lot to look at the work.",
        _PLAIN,
    ),
    Sign(
        "Authorisation of the applicant by the owner",
        "The applicant named on the cover may act for me in this matter.",
        _PLAIN,
    ),
    Sign(
        "Contractor",
        "The work was built as the approved plans say, except as listed here:",
        ("Exceptions", "Name", "Licence", "Signature", "Date"),
    ),
    Sign(
        "Engineer, as built",
        "I have seen the work as built. In my judgement it does what the approved design does, "
        "except as listed here:",
        ("Exceptions", *_LICENSED),
        has_seal=True,
    ),
    Sign(
        "Soil tester",
        "The soaking rates and depths named in this set were measured by me at the places and "
        "depths shown.",
        ("Method and day", *_LICENSED),
    ),
    Sign(
        "Office",
        "Reviewed by:",
        ("Name", "Result", "Signature", "Date"),
    ),
)


def certifications(job: Job, number: str) -> Paper:
    """The blank forms."""
    del job
    said = (
        "Every line below is blank and is filled in by hand. Use the office's own wording where it "
        "has one. A form that is not needed here may be crossed out."
    )
    pairs = [FORMS[at : at + 2] for at in range(0, len(FORMS), 2)]
    blocks: tuple[Block, ...] = (
        para(said, "fine"),
        *(Columns(tuple((form,) for form in pair)) for pair in pairs),
    )
    return Paper(
        id="certifications", number=number, title="Certifications, unsigned", blocks=blocks
    )
