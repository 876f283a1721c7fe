"""What a hostile page, a hostile neighbour or a broken client may try on the board, without a browser: raw
bytes on loopback.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.app.board.guard import BURST, MOST_BYTES, PER_SECOND, Guard, Message
from planner.app.board.serve import HEAD_PATIENCE, MOST_CONNECTIONS, Board

Serve = Callable[..., Board]
ROOT = Path(__file__).resolve().parents[2]


def raw(board: Board, data: bytes, patience: float = 10.0) -> bytes:
    """Everything that comes back for these bytes until the other side closes or falls silent."""
    with socket.create_connection(("127.0.0.1", board.port), timeout=patience) as line:
        line.sendall(data)
        parts = []
        try:
            while chunk := line.recv(1 << 16):
                parts.append(chunk)
        except (TimeoutError, ConnectionResetError):
            pass
        return b"".join(parts)


Answer = tuple[int, dict[str, str], bytes]
NOTHING = b'{"values": {}}'


def request(
    board: Board, path: str = "plan", method: str = "POST", body: bytes = NOTHING, **changed: str | None
) -> Answer:
    """(status, headers, body) of one request that the page itself would send, but for what is `changed` (None
    leaves a header out).
    """
    headers: dict[str, str | None] = {"Host": f"127.0.0.1:{board.port}", "Connection": "close"}
    if method == "POST":
        headers |= {
            "Origin": f"http://127.0.0.1:{board.port}",
            "Content-Type": "application/json",
            "Content-Length": str(len(body)),
        }
    headers |= {name.replace("_", "-"): value for name, value in changed.items()}
    target = path if path.startswith("/") else f"/{board.token}/{path}"
    head = f"{method} {target} HTTP/1.1\r\n" + "".join(
        f"{name}: {value}\r\n" for name, value in headers.items() if value is not None
    )
    return parsed(raw(board, head.encode("latin-1") + b"\r\n" + (body if method == "POST" else b"")))


def parsed(answer: bytes) -> Answer:
    head, _, body = answer.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    found = dict(line.lower().split(": ", 1) for line in lines)
    return int(first.split()[1]), found, body


def alive(board: Board) -> bool:
    status, _, body = request(board)
    return status == 200 and json.loads(body)["verdict"] == "INSIDE"


def test_the_page_s_own_request_is_answered(serve: Serve) -> None:
    board = serve()
    status, headers, body = request(board)
    assert status == 200
    assert json.loads(body)["verdict"] == "INSIDE"
    assert headers["content-security-policy"].startswith("default-src 'none'; script-src 'self'")
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["cache-control"] == "no-store"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-content-type-options"] == "nosniff"
    assert "server" not in headers


def test_it_listens_on_the_loopback_address_only(serve: Serve) -> None:
    board = serve()
    assert board.socket.getsockname()[0] == "127.0.0.1"
    lines = [line.split() for line in Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]]
    listening = [
        line[1].split(":")[0]
        for line in lines
        if line[3] == "0A" and int(line[1].split(":")[1], 16) == board.port
    ]
    assert listening == ["0100007F"], "127.0.0.1 as the kernel writes it"


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example:{port}", "[::1]:{port}", ""]
)
def test_a_forged_host_is_refused(host: str, serve: Serve) -> None:
    """A name that was made to point here (DNS rebinding) asks for its own host."""
    board = serve()
    for method, path in (("GET", ""), ("POST", "plan")):
        assert request(board, path, method, Host=host.format(port=board.port))[0] in (400, 421)
    assert alive(board)


def test_two_hosts_are_refused(serve: Serve) -> None:
    board = serve()
    head = (
        f"GET /{board.token}/ HTTP/1.1\r\nHost: 127.0.0.1:{board.port}\r\nHost: evil.example\r\nConnection:"
        " close\r\n\r\n"
    )
    assert parsed(raw(board, head.encode()))[0] in (400, 421)


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "null",
        "http://127.0.0.1:1",
        "https://127.0.0.1:{port}",
        "http://localhost:{port}",
        None,
    ],
)
@pytest.mark.parametrize("path", ["plan", "file", "stop"])
def test_a_request_from_another_page_is_refused(path: str, origin: str | None, serve: Serve) -> None:
    board = serve()
    assert request(board, path, Origin=None if origin is None else origin.format(port=board.port))[0] == 403
    assert not board.server.should_exit
    assert alive(board)


def test_what_the_browser_says_of_its_sender_counts(serve: Serve) -> None:
    board = serve()
    assert request(board, Sec_Fetch_Site="cross-site")[0] == 403
    assert request(board, Sec_Fetch_Site="same-site")[0] == 403
    assert request(board, Sec_Fetch_Site="same-origin")[0] == 200


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", None]
)
def test_what_a_form_of_another_page_could_send_is_refused(kind: str | None, serve: Serve) -> None:
    assert request(serve(), Content_Type=kind)[0] == 415


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/plan",
        "/x/plan",
        "/{cut}/plan",
        "/{token}x/plan",
        "/{token}",
        "//{token}/plan",
        "/PLAN",
        "/{lower}/plan",
        "/é/plan",
    ],
)
def test_without_the_secret_there_is_nothing(path: str, serve: Serve) -> None:
    board = serve()
    target = path.format(cut=board.token[:-1], token=board.token, lower=board.token.swapcase())
    for method in ("GET", "POST"):
        status, headers, body = request(board, target, method)
        assert status in (400, 404)
        assert board.token.encode() not in body
        assert status == 400 or headers["content-security-policy"]


PATHS = [
    "../serve.py",
    "..%2fserve.py",
    "%2e%2e/%2e%2e/etc/passwd",
    "serve.py",
    "controls.py",
    "board.js/../app.py",
    "/etc/passwd",
    "page.html",
    ".",
    "plan/",
]


@pytest.mark.parametrize("path", PATHS)
def test_no_path_leads_to_a_file(path: str, serve: Serve) -> None:
    board = serve()
    status, _, body = request(board, f"/{board.token}/{path}", "GET")
    assert status in (307, 404, 405)
    assert b"root:" not in body
    assert b"import" not in body


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "CONNECT"])
def test_other_methods_are_refused(method: str, serve: Serve) -> None:
    assert request(serve(), method=method)[0] in (400, 404, 405)


def test_work_is_not_done_for_a_link(serve: Serve) -> None:
    """A picture or a link in another page can only GET."""
    board = serve()
    for path in ("plan", "file", "stop"):
        assert request(board, path, "GET")[0] == 405
    assert not board.server.should_exit


def test_an_oversized_body_is_refused_by_its_length_and_by_its_bytes(serve: Serve) -> None:
    board = serve()
    assert request(board, body=b"x" * (MOST_BYTES + 1))[0] == 413
    assert request(board, body=b"", Content_Length="99999999999999999999")[0] in (400, 413)
    head = (
        f"POST /{board.token}/plan HTTP/1.1\r\nHost: 127.0.0.1:{board.port}\r\nOrigin:"
        f" http://127.0.0.1:{board.port}\r\nContent-Type: application/json\r\nTransfer-Encoding:"
        " chunked\r\nConnection: close\r\n\r\n"
    )
    chunk = b"1000\r\n" + b" " * 0x1000 + b"\r\n"
    assert parsed(raw(board, head.encode() + chunk * (MOST_BYTES // 0x1000 + 2)))[0] == 413
    assert alive(board)


def test_an_endless_head_is_refused(serve: Serve) -> None:
    board = serve()
    assert parsed(raw(board, b"GET / HTTP/1.1\r\n" + b"X-A: " + b"a" * 200_000))[0] in (400, 431)
    assert (
        parsed(
            raw(
                board,
                f"GET /{board.token}/?{'q' * 1000} HTTP/1.1\r\nHost: 127.0.0.1:{board.port}\r\nConnection:"
                " close\r\n\r\n".encode(),
            )
        )[0]
        == 414
    )
    assert alive(board)


BAD = [
    *(
        b"",
        b"{",
        b"[]",
        b"null",
        b"1",
        b'"x"',
        b"\xff\xfe",
        b'{"values": 1}',
        b'{"values": []}',
        b'{"values": {"c0": "80"}}',
        b'{"values": {"c0": null}}',
    ),
    *(
        b'{"values": {"c0": true}}',
        b'{"values": {"c0": [1]}}',
        b'{"values": {"c0": NaN}}',
        b'{"values": {"c0": Infinity}}',
        b'{"values": {"c0": 1e999}}',
    ),
    *(
        b'{"values": {"c0": -1}}',
        b'{"values": {"c0": 1e9}}',
        b'{"values": {"nothing": 1}}',
        b'{"values": {"../../etc/passwd": 1}}',
        b'{"other": {}}',
    ),
    *(
        b'{"values": {"c0": ' + b"9" * 5000 + b"}}",
        b"[" * 8000,
        b'{"values": ' * 1400,
        b'{"values": {"c0": 80, "c0": "x"}}',
    ),
]


@pytest.mark.parametrize("body", BAD, ids=lambda body: body[:28].decode("latin-1"))
@pytest.mark.parametrize("path", ["plan", "file"])
def test_malformed_json_is_told_and_nothing_is_computed(path: str, body: bytes, serve: Serve) -> None:
    board = serve()
    status, headers, answer = request(board, path, body=body)
    assert status == 200
    assert headers["content-type"] == "application/json"
    told = json.loads(answer)
    assert list(told) == ["refused"]
    assert told["refused"]
    assert "Traceback" not in answer.decode()
    assert alive(board)


def test_names_from_a_file_are_text_on_the_page(serve: Serve, tmp_path: Path) -> None:
    profile = (
        (ROOT / "aircraft_profiles/thornlea-t4.yaml")
        .read_text(encoding="utf-8")
        .replace("name: Thornlea T4", "name: <img src=x onerror=alert(1)>")
    )
    (tmp_path / "odd.yaml").write_text(profile, encoding="utf-8")
    flight = (
        (ROOT / "docs/flights/demo.yaml")
        .read_text(encoding="utf-8")
        .replace("aircraft: thornlea-t4", "aircraft: odd.yaml")
    )
    (tmp_path / "flight.yaml").write_text(flight, encoding="utf-8")
    _, _, body = request(serve(tmp_path / "flight.yaml"), "", "GET")
    assert b"<img" not in body
    assert b"&lt;img" in body


def test_a_thousand_requests_at_once_end_and_the_board_goes_on(serve: Serve) -> None:
    """Each is answered or turned away; none hangs, and the one after them is served."""
    board = serve()
    data = (
        f"POST /{board.token}/plan HTTP/1.1\r\nHost: 127.0.0.1:{board.port}\r\nOrigin:"
        f" http://127.0.0.1:{board.port}\r\nContent-Type: application/json\r\nContent-Length:"
        " 14\r\nConnection: close\r\n\r\n"
    ).encode() + b'{"values": {}}'

    async def one() -> int:
        try:
            reader, writer = await asyncio.open_connection("127.0.0.1", board.port)
            writer.write(data)
            answer = await asyncio.wait_for(reader.read(), 30)
            writer.close()
        except ConnectionError:
            return 0
        return int(answer.split()[1]) if answer else 0

    async def all_of_them() -> list[int]:
        return await asyncio.gather(*(one() for _ in range(1000)))

    start = time.monotonic()
    statuses = asyncio.run(all_of_them())
    assert len(statuses) == 1000
    assert set(statuses) <= {0, 200, 429}, "served, turned away at the door (0), or told that it is too many"
    assert statuses.count(200) >= 50
    assert statuses.count(429) + statuses.count(0) > 0, "the bounds were reached"
    assert time.monotonic() - start < 60
    time.sleep(1.0)
    assert alive(board)


def test_slow_clients_are_let_go_and_others_served_meanwhile(serve: Serve) -> None:
    """Dawdling over the head, or over the body, ends within the patience; more idle lines than the board
    takes do not lock it up for good.
    """
    board = serve()
    lines = [socket.create_connection(("127.0.0.1", board.port), timeout=20) for _ in range(20)]
    for line in lines:
        line.sendall(b"GET / HTTP/1.1\r\nX-Slow: ")
    body = (
        f"POST /{board.token}/plan HTTP/1.1\r\nHost: 127.0.0.1:{board.port}\r\nOrigin:"
        f" http://127.0.0.1:{board.port}\r\n"
    )
    slow_body = socket.create_connection(("127.0.0.1", board.port), timeout=20)
    slow_body.sendall((body + "Content-Type: application/json\r\nContent-Length: 14\r\n\r\n{").encode())
    assert alive(board), "others are served meanwhile"
    start = time.monotonic()
    dripping = threading.Event()

    def drip() -> None:
        """A byte now and then does not buy more time."""
        while not dripping.wait(0.5):
            try:
                lines[0].sendall(b"a")
            except OSError:
                return

    dripper = threading.Thread(target=drip)
    dripper.start()
    try:
        for line in lines:
            with contextlib.suppress(ConnectionResetError):
                assert line.recv(100) == b""
        assert parsed(slow_body.recv(4096))[0] == 408
        assert time.monotonic() - start < HEAD_PATIENCE + 5
    finally:
        dripping.set()
        dripper.join()
        for line in (*lines, slow_body):
            line.close()
    assert alive(board)


def test_idle_lines_without_end_do_not_lock_the_board_for_good(serve: Serve) -> None:
    board = serve()
    lines = [
        socket.create_connection(("127.0.0.1", board.port), timeout=20) for _ in range(MOST_CONNECTIONS + 20)
    ]
    start = time.monotonic()
    assert alive(board), "the line that waited longest makes room"
    assert time.monotonic() - start < HEAD_PATIENCE, "nobody had to wait for their patience to end"
    for line in lines:
        line.close()


def test_the_rate_is_bounded_by_the_clock() -> None:
    """The burst at once, then as many as the rate gives, whatever the computer's speed."""
    now = [0.0]
    statuses: list[int] = []

    async def app(_: Any, __: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    async def send(message: Message) -> None:
        if message["type"] == "http.response.start":
            statuses.append(message["status"])

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    guard = Guard(app, "secret", 5, clock=lambda: now[0])
    scope = {
        "type": "http",
        "method": "GET",
        "path": "/secret/",
        "query_string": b"",
        "headers": [(b"host", b"127.0.0.1:5")],
    }

    async def ask(times: int) -> None:
        for _ in range(times):
            await guard(scope, receive, send)

    honest = scope["path"]
    scope["path"] = "/guessed/"
    asyncio.run(ask(2 * int(BURST)))
    assert set(statuses) == {404}, "a stranger spends nothing of what the holder of the secret needs"
    statuses.clear()
    scope["path"] = honest
    asyncio.run(ask(int(BURST) + 50))
    assert statuses.count(200) == int(BURST)
    assert statuses.count(429) == 50
    statuses.clear()
    now[0] = 0.5
    asyncio.run(ask(int(BURST)))
    assert statuses.count(200) == int(PER_SECOND / 2)
