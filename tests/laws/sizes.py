"""How often a law is tried: as often as it says, or `LAW_TIMES` times that in a longer run."""

from __future__ import annotations

import os

from hypothesis import settings


def tried(count: int) -> settings:
    """Settings for a law that is tried so often."""
    return settings(max_examples=count * int(os.environ.get("LAW_TIMES", "1")))
