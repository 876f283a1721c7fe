"""`planner board`: a page on this computer for the classroom and the briefing table."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.app.common import BAD_INPUT, INSIDE, Json, Units, console, display, print_json, refuse_option
from planner.app.given.changing import File, Save, Set, read_flight

if TYPE_CHECKING:
    from planner.app.board.serve import Board


def board(
    file: File,
    settings: Set = None,
    save: Save = "",
    port: Annotated[
        int,
        typer.Option("--port", help="The port on this computer; 0 takes any that is free.", min=0, max=65535),
    ] = 0,
    open_page: Annotated[bool, typer.Option("--open", help="Open the page in the browser.")] = False,
    check: Annotated[
        bool,
        typer.Option(
            "--check", help="Start, ask for the page and one plan, stop: shows that the board works here."
        ),
    ] = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Serve a page on this computer: move loads, fuel, temperature and density, and see verdict, picture and
    fuel plan follow.

    It serves until you press Ctrl-C here or stop it on the page. It answers this computer only, and only the
    address it prints, which holds a secret. The flight file is not changed; the page saves a new one.

    Example: planner board docs/flights/demo.yaml --check

    Example: planner board docs/flights/demo.yaml --set 'baggage=30 kg' --check
    """
    try:
        from planner.app.board.serve import Board
    except ImportError:
        hint = f"install them: {sys.executable} -m pip install 'starlette>=0.45' 'uvicorn>=0.34'"
        raise refuse_option(
            "board",
            "board-no-server",
            "the board needs starlette and uvicorn, which are not installed",
            hint=hint,
        ) from None
    from planner.app.board.session import Session

    read = read_flight(file, settings, save)
    flight, aircraft = read.flight, read.aircraft
    if flight.record.legs:
        several = f"the flight has {len(flight.record.legs) + 1} legs"
        raise refuse_option(
            "FILE", "board-legs", several, "the board shows one", "copy the file and take 'legs:' out"
        )
    session = Session(flight, aircraft, display(units, aircraft.record), read.words)
    try:
        server = Board(session, port)
    except OSError as error:
        raise refuse_option(
            "--port",
            "board-port",
            f"port {port} cannot be used: {error.strerror}",
            "needed a free port",
            "leave --port out",
        ) from None
    if check:
        found = _checked(server) | read.json
        if not json:
            read.show(console())
        _tell_check(found, json)
    else:
        if not json:
            read.show(console())
        with _way_in(server, open_page) as page:

            def ready() -> None:
                _tell(server, {"file": file, **read.json}, json)
                if page is not None:
                    import threading
                    import webbrowser

                    threading.Thread(target=webbrowser.open, args=(page,), daemon=True).start()

            server.run(ready)
        if not json:
            console().print("Stopped.")
    raise typer.Exit(INSIDE)


def _tell(server: Board, about: dict[str, Any], json: bool) -> None:
    if json:
        print_json({"schema": "planner/board/1", "url": server.url, **about})
    else:
        screen = console()
        screen.print(f"The board for {about['file']} is at", soft_wrap=True)
        screen.print(f"  {server.url}", soft_wrap=True)
        screen.print("Open it in a browser on this computer. Stop it with Ctrl-C here, or on the page.")
    sys.stdout.flush()


@contextmanager
def _way_in(server: Board, wanted: bool) -> Iterator[str | None]:
    """A file only this user can read that leads to the page: the command line of a browser is seen by every
    user of the computer, and the secret must not stand on it.
    """
    if not wanted:
        yield None
        return
    import tempfile

    from planner.views.svg import clean

    with tempfile.TemporaryDirectory(prefix="planner-board-") as folder:
        path = Path(folder) / "board.html"
        refresh = f'<meta http-equiv="refresh" content="0; url={clean(server.url)}">'
        path.write_text(
            f'<!DOCTYPE html><meta charset="utf-8"><title>Board</title>{refresh}\n', encoding="utf-8"
        )
        yield path.as_uri()


def _checked(server: Board) -> dict[str, Any]:
    """Ask the running board for its page and for one plan."""
    import json
    import threading
    import urllib.request

    found: dict[str, Any] = {}

    def ask() -> None:
        try:
            # No proxy stands between this computer and itself.
            opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
            with opener.open(server.url, timeout=10) as answer:
                found["page_bytes"] = len(answer.read())
            headers = {"Content-Type": "application/json", "Origin": f"http://127.0.0.1:{server.port}"}
            with opener.open(
                urllib.request.Request(f"{server.url}plan", b'{"values": {}}', headers), timeout=10
            ) as answer:
                found["verdict"] = json.load(answer)["verdict"].lower()
        except OSError as error:
            found["error"] = str(error)
        finally:
            server.stop()

    server.run(threading.Thread(target=ask, daemon=True).start)
    return found


def _tell_check(found: dict[str, Any], json: bool) -> None:
    if json:
        print_json({"schema": "planner/board/1", "works": "error" not in found, **found})
    elif "error" in found:
        console(stderr=True).print(f"The board does not answer: {found['error']}")
    else:
        console().print(
            f"The board works here: its page came ({found['page_bytes']} bytes), and the plan is"
            f" {found['verdict']}."
        )
    if "error" in found:
        raise typer.Exit(BAD_INPUT)
