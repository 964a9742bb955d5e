"""Two hundred connections left open, each in the middle of something, keep nobody from drawing."""

from __future__ import annotations

import io
import socket
from contextlib import ExitStack
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from checker.board.desk import Desk
from checker.board.guard import Tickets
from checker.board.serve import LOOPBACK
from checker.board.survey import looked_at
from checker.core.problems import BadInput
from tests.board.driving import served_at

SAMPLE = "fernhollow-before"
MANY = 200


def asked(port: int, head: str, body: bytes = b"") -> socket.socket:
    """A request, as far as it is sent."""
    line = socket.create_connection((LOOPBACK, port), timeout=30)
    line.sendall(head.encode() + body)
    return line


def answer(line: socket.socket) -> str:
    """The first line of what comes back."""
    with line, line.makefile("rb") as stream:
        return stream.readline().decode()


def test_many_connections_left_open(path: Path) -> None:
    keys = Tickets()
    with served_at(Desk(path), keys) as port, ExitStack() as open_ones:
        host = f"{LOOPBACK}:{port}"
        secret = f"Host: {host}\r\nX-Board-Secret: {keys.secret}\r\n"
        post = (
            f"POST /changes HTTP/1.1\r\n{secret}Origin: http://{host}\r\n"
            "Content-Type: application/json\r\nContent-Length: 1000\r\n\r\n"
        )
        stream = (
            f"GET /plan HTTP/1.1\r\n{secret}Connection: Upgrade\r\nUpgrade: websocket\r\n"
            "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n"
        )
        # Half a head, half a body, an upgrade to a stream that is not served.
        ways = (("GET /plan HTTP/1.1\r\nHo", b""), (post, b'{"revision": 0'), (stream, b""))
        for number in range(MANY):
            open_ones.enter_context(asked(port, *ways[number % 3]))
        own = asked(port, f"GET /standing HTTP/1.1\r\n{secret}\r\n")
        assert answer(own) == "HTTP/1.1 200 OK\r\n"
        stranger = asked(port, f"GET /plan HTTP/1.1\r\nHost: {host}\r\n\r\n")
        assert answer(stranger) == "HTTP/1.1 403 Forbidden\r\n"


def pdf(pages: int) -> bytes:
    """A PDF with so many empty pages."""
    kids = " ".join(f"{number + 3} 0 R" for number in range(pages))
    objects = [
        "1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj",
        f"2 0 obj<</Type/Pages/Kids[{kids}]/Count {pages}>>endobj",
        *(
            f"{number + 3} 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 600 800]>>endobj"
            for number in range(pages)
        ),
    ]
    return ("%PDF-1.4\n" + "\n".join(objects) + "\ntrailer<</Root 1 0 R>>\n").encode()


def test_a_survey_of_five_thousand_pages_is_told() -> None:
    with pytest.raises(BadInput, match="has 5000 pages"):
        looked_at("survey.pdf", pdf(5000))
    assert looked_at("survey.pdf", pdf(3), 3).pages == 3


@given(st.sampled_from(["a.png", "a.jpg", "a.pdf"]), st.binary(max_size=200), st.integers(0, 300))
def test_what_begins_like_a_survey_and_is_none(name: str, rest: bytes, at: int) -> None:
    """The first bytes are right, what follows is spoilt: a picture or a refusal, never more."""
    out = io.BytesIO()
    Image.new("L", (40, 30), 200).save(out, "JPEG" if name == "a.jpg" else "PNG")
    raw = pdf(1) if name == "a.pdf" else out.getvalue()
    spoilt = raw[: max(at, 8)] + rest + raw[max(at, 8) + len(rest) :]
    try:
        sheet = looked_at(name, spoilt)
    except BadInput:
        return
    assert sheet.png.startswith(b"\x89PNG")
