"""A sample of the long run of spoilt files; the command is `python -m tests.faults.mutations`."""

from __future__ import annotations

from tests.faults import killing
from tests.faults.mutations import run


def test_spoilt_files_go_the_whole_way_or_are_refused() -> None:
    found, wrong = run(400, 2026)
    assert wrong == []
    assert found.total() == 400
    for kind in ("site text", "site values", "rules", "costs", "rain", "drawing"):
        assert found[f"{kind}: refused"] > 3, found
        assert found[f"{kind}: judged"] > 0, found


def test_a_check_killed_at_random_leaves_no_mix() -> None:
    """A few of the hundred trials of `python -m tests.faults.killing 100`."""
    killed, _ = killing.run(3)
    assert killed > 0
