"""What differs between two pieces of data makes the one from the other: here, and on the page."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.board.differences import difference

LEAVES = st.none() | st.booleans() | st.integers(-2, 2) | st.sampled_from(["", "a", "__proto__"])
NAMES = st.sampled_from(["id", "a", "b", "is", "in", "gone", "__proto__", "constructor"])
DATA = st.recursive(
    LEAVES,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(NAMES, inner, max_size=4)
        | st.lists(
            st.fixed_dictionaries({"id": st.sampled_from("abc"), "v": inner}),
            max_size=3, unique_by=lambda entry: entry["id"],
        )
    ),
    max_leaves=12,
)  # fmt: skip


def made(before: Any, told: Any) -> Any:
    """The other piece of data, as `static/differences.js` makes it."""
    if not told:
        return before
    if "is" in told:
        return told["is"]
    if "in" in told:
        kept = {key: value for key, value in before.items() if key not in told["gone"]}
        kept |= {key: None for key in told["in"] if key not in kept}
        return {key: made(value, told["in"].get(key)) for key, value in kept.items()}
    old = {entry["id"]: entry for entry in before}
    return [made(old.get(name), told["of"].get(name)) for name in told["ids"]]


def plain(data: Any) -> str:
    """As it is sent, where 1 is no true."""
    return json.dumps(data, sort_keys=True)


@given(DATA, DATA)
def test_the_one_is_made_from_the_other(before: Any, after: Any) -> None:
    told = difference(before, after)
    assert plain(made(before, msgspec.json.decode(msgspec.json.encode(told)))) == plain(after)
    assert (told is None) == (plain(before) == plain(after))


def test_what_is_the_same_is_left_out() -> None:
    rows = [{"id": f"s-{number}", "rings": [[0, number]]} for number in range(200)]
    moved = [*rows[:7], {"id": "s-7", "rings": [[1, 7]]}, *rows[8:]]
    told = difference({"surfaces": rows, "lot": {}}, {"surfaces": moved, "lot": {}})
    assert told is not None
    assert told["in"]["surfaces"]["of"] == {"s-7": {"in": {"rings": {"is": [[1, 7]]}}, "gone": []}}


@pytest.mark.parametrize(("before", "after"), [(1, True), (0, False), (1, 1.0), ([1], [True])])
def test_equal_things_that_are_written_otherwise_differ(before: Any, after: Any) -> None:
    assert difference(before, after) == {"is": after}
