"""The page without anyone's data: served at once, while the board behind it is being loaded."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import CheckerError

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.board.guard import App, Receive, Send

HERE: Final = Path(__file__).parent
TYPES: Final = {".js": b"text/javascript", ".css": b"text/css", ".svg": b"image/svg+xml"}
STATIC: Final = {
    "/static/" + path.relative_to(HERE / "static").as_posix(): path
    for path in sorted((HERE / "static").rglob("*"))
    if path.suffix in TYPES
}


class Shell:
    """Answers for the page and its parts; all else waits for the board behind it.

    Args:
        load: Makes the board's application, in a thread that begins at once.
    """

    def __init__(self, load: Callable[[], App]) -> None:
        loader = ThreadPoolExecutor(1)
        self._app = loader.submit(load)
        loader.shutdown(wait=False)

    async def __call__(self, scope: dict[str, Any], receive: Receive, send: Send) -> None:
        """Answer a request."""
        path = scope.get("path", "")
        if path == "/":
            await _answer(send, 200, b"text/html; charset=utf-8", page().encode())
        elif path in STATIC:
            kind = TYPES[STATIC[path].suffix] + b"; charset=utf-8"
            await _answer(send, 200, kind, STATIC[path].read_bytes())
        elif path.startswith("/static/"):
            await _answer(send, 404, b"text/plain", b"")
        else:
            try:
                app = await asyncio.wrap_future(self._app)
            except CheckerError as wrong:
                await _answer(send, 503, b"text/plain; charset=utf-8", str(wrong).encode())
                return
            await app(scope, receive, send)


def page() -> str:
    """The page; it names all its modules, so that the browser asks for them at once."""
    text = (HERE / "templates" / "board.html").read_text(encoding="utf-8")
    early = "".join(
        f'<link rel="modulepreload" href="{path[1:]}">\n' for path in STATIC if path.endswith(".js")
    )
    return text.replace("</head>", early + "</head>")


async def _answer(send: Send, status: int, kind: bytes, body: bytes) -> None:
    headers = [(b"content-type", kind), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
