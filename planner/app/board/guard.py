"""Who may talk to the board, how much and how fast: checked before anything else looks at a request.

The board listens on this computer only, but any page open in a browser could send requests here, and a name
that points to this computer could be made to look like the board's own. So the address asked for must be the
board's, a secret stands in every path, a request that asks for work must come from the board's own page, and
size and rate are bounded.
"""

from __future__ import annotations

import asyncio
import hmac
import time
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BYTES: Final = 16 * 1024  # the figures of the largest aircraft are a few kilobytes
PATIENCE: Final = 5.0  # s for a whole request body; on this computer it takes milliseconds
PER_SECOND: Final = (
    150.0  # requests; a slider moved without pause asks once per picture of the screen, 60 times a second
)
BURST: Final = 300.0
LONGEST_QUERY: Final = 64

# Nothing is fetched from anywhere but the board itself, nothing is run that is not a file of it, nobody may
# frame it.
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Final = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


class Guard:
    """An ASGI application around another: lets through what may pass, with the body read and bounded, and
    adds the headers to every answer.
    """

    def __init__(self, app: App, token: str, port: int, clock: Callable[[], float] = time.monotonic) -> None:
        self.app, self.token, self.clock = app, token, clock
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self.left, self.seen = BURST, clock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return  # no websocket, no lifespan work

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", []), *HEADERS]}
            await send(message)

        status, words = self._refusal(scope)
        body = b""
        if not status and scope["method"] == "POST":
            status, words, body = await _body(receive)
        if status:
            await _say(guarded, status, words)
            return
        # The application sees the path behind the secret, and the body whole.
        inner = {**scope, "path": scope["path"][len(self.token) + 1 :], "root_path": ""}
        await self.app(inner, _once(body), guarded)

    def _refusal(self, scope: Scope) -> tuple[int, str]:
        """Status and words where a request may not pass, else 0."""
        headers: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.lower(), []).append(value)
        host = headers.get(b"host", [])
        if len(host) != 1 or host[0].decode("latin-1").lower() not in self.hosts:
            return 421, "this address is not the board's"
        # Compared in constant time, so that the secret cannot be felt for.
        first = scope["path"].split("/", 2)[1:2]
        if (
            not first
            or not hmac.compare_digest(first[0].encode("utf-8", "replace"), self.token.encode())
            or len(scope["path"]) <= len(self.token) + 1
        ):
            return 404, "not found"
        # Only now, so that nobody without the secret spends what its holder needs.
        if not self._in_time():
            return 429, "too many requests"
        if len(scope["query_string"]) > LONGEST_QUERY:
            return 414, "too long"
        if scope["method"] == "POST":
            return self._foreign(headers, host[0].decode("latin-1").lower())
        if scope["method"] not in ("GET", "HEAD"):
            return 405, "not that way"
        return 0, ""

    @staticmethod
    def _foreign(headers: dict[bytes, list[bytes]], host: str) -> tuple[int, str]:
        """A request for work must say that it comes from the board's own page, and that it brings JSON."""
        if headers.get(b"origin") != [f"http://{host}".encode()] or headers.get(
            b"sec-fetch-site", [b"same-origin"]
        ) != [b"same-origin"]:
            return 403, "this did not come from the board's page"
        kind = headers.get(b"content-type", [b""])[0].split(b";")[0].strip().lower()
        if kind != b"application/json":
            return 415, "needed JSON"
        length = headers.get(b"content-length", [b"0"])[0]
        if not length.isdigit() or int(length) > MOST_BYTES:
            return 413, "too large"
        return 0, ""

    def _in_time(self) -> bool:
        """A bucket that fills at the rate and holds the burst: every request with the secret takes one."""
        now = self.clock()
        self.left = min(BURST, self.left + (now - self.seen) * PER_SECOND)
        self.seen = now
        if self.left < 1.0:
            return False
        self.left -= 1.0
        return True


async def _body(receive: Receive) -> tuple[int, str, bytes]:
    """The whole body, or why not: it grows too large, comes too slowly, or its sender has gone."""
    parts: list[bytes] = []
    size = 0
    try:
        async with asyncio.timeout(PATIENCE):
            while True:
                message = await receive()
                if message["type"] != "http.request":
                    return 400, "gone", b""
                parts.append(message.get("body", b""))
                size += len(parts[-1])
                if size > MOST_BYTES:
                    return 413, "too large", b""
                if not message.get("more_body", False):
                    return 0, "", b"".join(parts)
    except TimeoutError:
        return 408, "too slow", b""


def _once(body: bytes) -> Receive:
    sent = False

    async def receive() -> Message:
        nonlocal sent
        if sent:
            return {"type": "http.disconnect"}
        sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receive


async def _say(send: Send, status: int, words: str) -> None:
    """A short answer in plain text, after which the connection closes: what is left of a refused body is not
    waited for.
    """
    data = words.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(data)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": data})
