"""The pages and answers of the board. The server opens no path that a client names: its three files and one
flight are all there is.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from typing import Any, Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from planner.app.board.session import Session
from planner.quantities.errors import Finding, InputRefused
from planner.views.svg import clean
from planner.views.words import about, cautions

_KINDS: Final = {"page.html": "text/html", "board.js": "text/javascript", "board.css": "text/css"}


def board_app(session: Session, stop: Callable[[], None]) -> Starlette:
    """The application, without its guard.

    Parameters: `session`; `stop` is called when the page asks the program to stop. Raises: nothing.
    """
    texts = {name: files("planner.app.board").joinpath(name).read_text(encoding="utf-8") for name in _KINDS}
    texts["page.html"] = _filled(texts["page.html"], session)

    def static(name: str) -> Callable[[Request], Response]:
        return lambda _: Response(texts[name], media_type=_KINDS[name])

    async def start(_: Request) -> Response:
        return JSONResponse(session.start())

    async def plan(request: Request) -> Response:
        return JSONResponse(_answered(session.answer, await request.body()))

    async def file(request: Request) -> Response:
        def made(values: Any, _: bool) -> dict[str, Any]:
            try:
                name, text = session.file(values)
            except InputRefused as refused:
                return {"refused": [str(finding) for finding in refused.findings]}
            return {"name": name, "text": text}

        return JSONResponse(_answered(made, await request.body()))

    async def stopped(_: Request) -> Response:
        stop()
        return JSONResponse({"stopped": True})

    routes = [
        Route("/", static("page.html")),
        Route("/board.js", static("board.js")),
        Route("/board.css", static("board.css")),
        Route("/start", start),
    ]
    routes += [
        Route("/plan", plan, methods=["POST"]),
        Route("/file", file, methods=["POST"]),
        Route("/stop", stopped, methods=["POST"]),
    ]
    return Starlette(routes=routes)


def _answered(work: Callable[[Any, bool], dict[str, Any]], body: bytes) -> dict[str, Any]:
    """The answer to a body of JSON `{"values": {...}, "moving": true}`; one that is none is told like any
    other wrong input.
    """
    try:
        # Constants and numbers beyond a float are no JSON of ours; a reader of numbers that is asked for no
        # integers of endless length.
        data = json.loads(body, parse_int=float, parse_constant=_no_constant)
        values, moving = data["values"], data.get("moving") is True
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        finding = Finding("board-values", "the request is not what this page sends", 'needed {"values": {}}')
        return {"refused": [str(finding.at("the page", 1, 1))]}
    return work(values, moving)


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _filled(page: str, session: Session) -> str:
    """The page with its title, and with the cautions in it, so that they are there whatever else fails."""
    plan = session.plan
    told = ", ".join((about(plan), *session.changed_before))
    listed = "".join(f"<li>{clean(each)}</li>" for each in cautions(plan))
    return page.replace("<!-- about -->", clean(told)).replace("<!-- cautions -->", listed)
