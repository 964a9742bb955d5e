"""Who may speak to the board: one browser on this machine and no one else.

The page is served from a loopback address under a port of its own. A request must name exactly that
host; one for data must carry the secret as a header, which alone forces a question that is never
granted to another origin. There is no cookie, and nothing is loaded from elsewhere.
"""

from __future__ import annotations

import hmac
import secrets
import time
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    Receive = Callable[[], Awaitable[Any]]
    Send = Callable[[Any], Awaitable[None]]
    App = Callable[[Any, Any, Any], Awaitable[None]]

SECRET_HEADER: Final = b"x-board-secret"
MOST_BODY_BYTES: Final = 2_000_000
MOST_FILE_BYTES: Final = 40_000_000
FILES: Final = "/files/"
"""Under this path whole files are handed in, as bytes of no kind."""
TICKET_S: Final = 60.0

OPEN_PATHS: Final = ("/", "/enter", "/static/")
"""What holds nobody's data: the empty page, its parts, and the door."""

_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "img-src 'self' data: blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Final = (
    (b"content-security-policy", _POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


class Tickets:
    """The ticket that opens the page once, and the secret that its requests carry."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._tickets: dict[str, float] = {}
        self.secret = secrets.token_urlsafe(32)

    def ticket(self) -> str:
        """A new ticket, good once and for a minute."""
        made = secrets.token_urlsafe(24)
        self._tickets[made] = self._clock() + TICKET_S
        return made

    def secret_for(self, ticket: str) -> str | None:
        """The secret for a ticket that is good; it is used up then."""
        for known, ends in list(self._tickets.items()):
            if hmac.compare_digest(known.encode(), ticket.encode()):
                del self._tickets[known]
                return self.secret if self._clock() < ends else None
        return None

    def fits(self, given: bytes) -> bool:
        """Whether a request carries the secret."""
        return hmac.compare_digest(given, self.secret.encode())


class Guard:
    """Lets a request through to the board, or answers it with 403 or 413.

    Args:
        app: What is guarded.
        keys: The ticket and secret.
        host: The only host name there is, e.g. 127.0.0.1:41234.
    """

    def __init__(self, app: App, keys: Tickets, host: str) -> None:
        self._app, self._keys, self._host = app, keys, host.encode()

    async def __call__(self, scope: dict[str, Any], receive: Receive, send: Send) -> None:
        """JsonAnswer a request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        reason = self.reason(scope)
        if reason:
            await _answer(send, 403, reason)
            return
        sent = 0
        most = MOST_FILE_BYTES if scope["path"].startswith(FILES) else MOST_BODY_BYTES

        async def bounded() -> Any:  # noqa: ANN401 - what the server gives
            nonlocal sent
            message = await receive()
            sent += len(message.get("body", b""))
            if sent > most:
                raise TooLarge
            return message

        async def with_headers(message: dict[str, Any]) -> None:
            if message["type"] == "http.response.start":
                own = {name for name, _ in message.get("headers", ())}
                message["headers"] = [
                    *message.get("headers", ()),
                    *(pair for pair in HEADERS if pair[0] not in own),
                ]
            await send(message)

        try:
            await self._app(scope, bounded, with_headers)
        except TooLarge:
            await _answer(send, 413, "that is too much at once")

    def reason(self, scope: dict[str, Any]) -> str:
        """Why a request is turned away; empty when it is not."""
        path = scope["path"]
        headers: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.lower(), []).append(value)
        if headers.get(b"host") != [self._host]:
            return "wrong host"
        site = headers.get(b"sec-fetch-site", [b"same-origin"])
        is_entry = path == "/" and scope["method"] == "GET"
        if site not in ([b"same-origin"], [b"none"]) and not is_entry:
            return "from elsewhere"
        origin = headers.get(b"origin")
        if origin is not None and origin != [b"http://" + self._host]:
            return "from elsewhere"
        if scope["method"] not in {"GET", "POST"}:
            return "no such request"
        if scope["method"] == "POST":
            if origin is None:
                return "from nowhere"
            kind = headers.get(b"content-type", [b""])[0].partition(b";")[0]
            wanted = b"application/octet-stream" if path.startswith(FILES) else b"application/json"
            if kind != wanted:
                return "not of the kind that is taken here"
        if path in OPEN_PATHS or path.startswith("/static/"):
            return ""
        given = headers.get(SECRET_HEADER, [])
        return "" if len(given) == 1 and self._keys.fits(given[0]) else "no secret"


class TooLarge(Exception):
    """A body is longer than is taken."""


async def _answer(send: Send, status: int, text: str) -> None:
    body = text.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
