"""The guard, bare: no server and no board behind it."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from checker.board.guard import MOST_BODY_BYTES, Guard, Tickets

HOST = "127.0.0.1:4444"
JSON = ("content-type", "application/json")
ORIGIN = ("origin", f"http://{HOST}")


async def behind(scope: dict[str, Any], receive: Any, send: Any) -> None:  # noqa: ARG001
    while (await receive()).get("more_body"):
        pass
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"in"})


def ask(
    path: str, *headers: tuple[str, str], method: str = "GET", keys: Tickets | None = None,
    body: bytes = b"", host: str | None = HOST,
) -> tuple[int, dict[bytes, bytes]]:  # fmt: skip
    given = list(headers) + ([("host", host)] if host is not None else [])
    scope = {
        "type": "http", "method": method, "path": path,
        "headers": [(name.encode(), value.encode()) for name, value in given],
    }  # fmt: skip
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    async def asked() -> None:
        await Guard(behind, keys or Tickets(), HOST)(scope, receive, send)

    # In a thread of its own: the browser's driver has a loop running in this one.
    with ThreadPoolExecutor(1) as aside:
        aside.submit(asyncio.run, asked()).result()
    return sent[0]["status"], dict(sent[0]["headers"])


@pytest.fixture
def keys() -> Tickets:
    return Tickets()


def test_the_empty_page_its_parts_and_the_door_are_open() -> None:
    assert ask("/")[0] == 200
    assert ask("/static/main.js")[0] == 200
    assert ask("/enter", JSON, ORIGIN, method="POST")[0] == 200


def test_data_needs_the_secret(keys: Tickets) -> None:
    assert ask("/plan", keys=keys)[0] == 403
    assert ask("/plan", ("x-board-secret", "x"), keys=keys)[0] == 403
    assert ask("/plan", ("x-board-secret", keys.secret), keys=keys)[0] == 200
    twice = [("x-board-secret", keys.secret)] * 2
    assert ask("/plan", *twice, keys=keys)[0] == 403


@pytest.mark.parametrize(
    "host", ["localhost:4444", "127.0.0.1:4445", "127.0.0.1", "example.org:4444", "", None]
)
def test_another_host_is_turned_away(keys: Tickets, host: str | None) -> None:
    secret = ("x-board-secret", keys.secret)
    assert ask("/plan", secret, keys=keys, host=host)[0] == 403
    assert ask("/", host=host)[0] == 403


@pytest.mark.parametrize(
    "header",
    [
        ("origin", "http://example.org"),
        ("origin", "null"),
        ("origin", "http://127.0.0.1:4445"),
        ("origin", "https://127.0.0.1:4444"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ],
)
def test_what_comes_from_elsewhere_is_turned_away(keys: Tickets, header: tuple[str, str]) -> None:
    secret = ("x-board-secret", keys.secret)
    assert ask("/plan", secret, header, keys=keys)[0] == 403
    posted = [secret, JSON, header] + ([ORIGIN] if header[0] != "origin" else [])
    assert ask("/changes", *posted, method="POST", keys=keys)[0] == 403


def test_a_post_names_its_origin_and_is_json(keys: Tickets) -> None:
    secret = ("x-board-secret", keys.secret)
    assert ask("/changes", secret, JSON, method="POST", keys=keys)[0] == 403
    form = ("content-type", "text/plain")
    assert ask("/changes", secret, form, ORIGIN, method="POST", keys=keys)[0] == 403
    assert ask("/changes", secret, JSON, ORIGIN, method="POST", keys=keys)[0] == 200
    assert ask("/changes", secret, JSON, ORIGIN, method="PUT", keys=keys)[0] == 403


def test_the_door_of_the_page_may_be_opened_from_a_file() -> None:
    assert ask("/", ("sec-fetch-site", "cross-site"))[0] == 200


def test_a_long_body_is_cut_off(keys: Tickets) -> None:
    secret = ("x-board-secret", keys.secret)
    body = b"x" * (MOST_BODY_BYTES + 1)
    assert ask("/changes", secret, JSON, ORIGIN, method="POST", keys=keys, body=body)[0] == 413


@pytest.mark.parametrize("path", ["/", "/plan"])
def test_every_answer_carries_the_policy(path: str) -> None:
    headers = ask(path)[1]
    assert b"default-src 'none'" in headers[b"content-security-policy"]
    assert headers[b"x-content-type-options"] == b"nosniff"
    assert headers[b"referrer-policy"] == b"no-referrer"
    assert b"access-control-allow-origin" not in headers


def test_a_ticket_opens_once_and_for_a_minute() -> None:
    now = [0.0]
    keys = Tickets(lambda: now[0])
    ticket, late = keys.ticket(), keys.ticket()
    assert keys.secret_for("wrong") is None
    assert keys.secret_for(ticket) == keys.secret
    assert keys.secret_for(ticket) is None
    now[0] = 61.0
    assert keys.secret_for(late) is None
