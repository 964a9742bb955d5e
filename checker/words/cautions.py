"""What every report says, whatever it found. Common practice, no source."""

from __future__ import annotations

from typing import Final

SHORT: Final = "No survey, no permit: local codes and licensed people decide."
"""One line, for what has room for no more: drawings, a screen, a sheet of a workbook."""

CAUTIONS: Final = (
    (
        "This is a check of a drawing against rules that people typed into a file. It is no "
        "survey, no legal advice and no permit, and nobody has sealed it."
    ),
    (
        "Defer to the local code and to licensed professionals. Where this report and the "
        "authority differ, the authority is right. A reviewer's silence is no approval."
    ),
    (
        "Only a licensed surveyor can certify the boundary and the areas; only a licensed "
        "engineer, where the place asks for one, can certify the design."
    ),
    "Have buried utilities located before any digging, and keep easements as they are.",
    (
        "Digging beside a pool shell, a footing or a wall, high groundwater, and emptying a pool "
        "can bring down or lift a structure: ask an engineer first."
    ),
    (
        "Metal, wiring and paving near a pool are part of its electric bonding: a licensed "
        "electrician checks it before anything is covered. Suction covers and barriers stay "
        "complete throughout."
    ),
    "Water must not be sent onto a neighbour's land in a new place or in greater force.",
    "Paving that was put in against the rules may have to come out again.",
)
