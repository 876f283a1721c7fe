"""Running the board on this computer: the loopback address only, a port of its own, until it is told to
stop.
"""

from __future__ import annotations

import asyncio
import secrets
import socket
from collections.abc import Callable
from typing import Any, Final

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from planner.app.board.app import board_app
from planner.app.board.guard import Guard
from planner.app.board.session import Session

ADDRESS: Final = "127.0.0.1"
HEAD_PATIENCE: Final = (
    5.0  # s for the head of a request, once its first byte has come or its connection stands
)
MOST_CONNECTIONS: Final = 100
IDLE: Final = 30  # s after which a connection without a request is closed


class PatientProtocol(H11Protocol):
    """A connection that is closed where its sender dawdles over the head of a request; where there are too
    many, the one that has dawdled longest makes room for the new one.

    So neither a flood nor slow clients can use up the connections of others. One that had a request answered
    and waits for the next is never closed for a new one; who lacks the secret gets no such connection.
    """

    _waiting: asyncio.TimerHandle | None = None
    _turned_away = False

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as in the class it comes from
        if len(self.connections) >= MOST_CONNECTIONS:
            dawdling = [
                each for each in self.connections if isinstance(each, PatientProtocol) and each.dawdles
            ]
            if not dawdling:
                self._turned_away = True
                transport.abort()
                return
            min(dawdling, key=lambda each: each.until).transport.abort()
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Begin to wait with the first byte of a request, stop when its head is there."""
        if self._turned_away:
            return
        before = self.cycle
        if self._waiting is None and (before is None or before.response_complete):
            self._wait()
        super().data_received(data)
        if self.cycle is not before:
            self._stop_waiting()

    def eof_received(self) -> None:
        if not self._turned_away:
            super().eof_received()

    def connection_lost(self, exc: Exception | None) -> None:
        self._stop_waiting()
        if not self._turned_away:
            super().connection_lost(exc)

    @property
    def dawdles(self) -> bool:
        """Whether the head of a request is still to come."""
        return self._waiting is not None and not self.transport.is_closing()

    @property
    def until(self) -> float:
        """When the patience with it ends [s], by the clock of the loop."""
        return self._waiting.when() if self._waiting is not None else 0.0

    def _wait(self) -> None:
        self._waiting = self.loop.call_later(HEAD_PATIENCE, self.transport.abort)

    def _stop_waiting(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None


class Board:
    """The server: made with its address known, so that it can be told before it runs."""

    def __init__(self, session: Session, port: int = 0) -> None:
        """Take the port (0: any that is free) on the loopback address. Raises OSError where it is taken."""
        self.socket = socket.socket(
            socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP
        )  # named, or the loop leaves small writes waiting
        try:
            self.socket.bind((ADDRESS, port))
            self.socket.listen(MOST_CONNECTIONS)  # from now on who comes early waits, and is not refused
        except OSError:
            self.socket.close()
            raise
        self.port: int = self.socket.getsockname()[1]
        self.token = secrets.token_urlsafe(24)
        guarded: Any = Guard(board_app(session, self.stop), self.token, self.port)
        config = uvicorn.Config(
            guarded,
            http=PatientProtocol,
            ws="none",
            lifespan="off",
            loop="asyncio",
            log_config=None,
            log_level="error",
            access_log=False,
            proxy_headers=False,
            server_header=False,
            date_header=False,
            timeout_keep_alive=IDLE,
            timeout_graceful_shutdown=2,
            h11_max_incomplete_event_size=16 * 1024,
        )
        self.server = uvicorn.Server(config)

    @property
    def url(self) -> str:
        """The address of the page, the secret in it."""
        return f"http://{ADDRESS}:{self.port}/{self.token}/"

    def stop(self) -> None:
        """End after the answers under way."""
        self.server.should_exit = True

    def run(self, ready: Callable[[], None] | None = None) -> None:
        """Serve until stopped, by the page, by `stop` or by Ctrl-C; `ready` is called once requests are
        answered.
        """

        async def serve() -> None:
            serving = asyncio.create_task(self.server.serve(sockets=[self.socket]))
            while not self.server.started and not serving.done():
                await asyncio.sleep(0.005)
            # From here on Ctrl-C is the server's to answer: whoever is told the address may stop it at once.
            if ready is not None and self.server.started:
                ready()
            await serving

        try:
            asyncio.run(serve())
        except KeyboardInterrupt:
            pass  # that is how it is stopped
        finally:
            self.socket.close()
