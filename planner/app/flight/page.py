"""`planner page`: one file that plans a flight in any browser, offline, for one aircraft or a club's."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.app.common import Json, Units, console, display, print_json, refuse_option, stated_day
from planner.app.flight.sheet import Replace, show_kept, write

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from planner.records.aircraft.record import Aircraft
    from planner.views.page.building import BuiltPage

ValidUntil = Annotated[
    str,
    typer.Option(
        "--valid-until",
        help="Day after which the page asks whether the mass record still holds; else the next due.",
        metavar="YYYY-MM-DD",
    ),
]


def page(
    names: Annotated[
        list[str],
        typer.Argument(
            help="Aircraft, by id or profile, and last the file to write (.html).", metavar="AIRCRAFT... OUT"
        ),
    ],
    valid_until: ValidUntil = "",
    replace: Replace = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Write a page that plans a flight on a telephone or a wall, from a file, with no network and no program.

    It holds the compiled aircraft and reckons what `planner flight` does: states, the whole burn, fuel and
    reserve, U and verdict. A digest over the model refuses a changed byte. It saves a flight that this
    program reads.

    Example: planner page thornlea-t4 thornlea.html --valid-until 2027-03-14

    Example: planner page thornlea-t4 corvedale-sextet club.html --valid-until 2027-03-14
    """
    from planner.records.store import load_aircraft
    from planner.views.page.building import page_of

    *wanted, out = names
    if not wanted:
        raise _no_page(out)
    if twice := next((name for name in wanted if wanted.count(name) > 1), ""):
        message = f"'{twice}' is named twice"
        raise refuse_option("AIRCRAFT", "page-twice", message, "needed each aircraft once")
    system = display(units).system if units else None
    aircraft = [(name, load_aircraft(name).record) for name in wanted]
    today = date.today()
    holds = until(valid_until, [each for _, each in aircraft])
    made = page_of(aircraft, holds, today, system=system)
    kept = written(Path(out), made, replace)
    told = told_of(Path(out), made, holds, kept)
    if json:
        print_json({"schema": "planner/page/1", "aircraft": wanted, **told})
    else:
        show_written(console(), told)


def _no_page(out: Path | str) -> Exception:
    needed = "needed one aircraft or more, then a file that ends in .html"
    return refuse_option("OUT", "page-format", f"'{out}' is not a page to write", needed)


def written(out: Path, made: BuiltPage, may_replace: bool | None) -> str:
    """Write a page; what was there is kept under the name returned where it may be replaced at all, and not
    kept where `may_replace` is None.
    """
    from planner.quantities.files import locked, replace

    if out.suffix.lower() != ".html":
        raise _no_page(out)
    data = made.text.encode()
    if may_replace is not None or not out.exists():
        return write(out, data, bool(may_replace))
    with locked(out):
        replace(out, data, out.read_bytes())
    return ""


def told_of(out: Path, made: BuiltPage, holds: date, kept: str) -> dict[str, Any]:
    """What is said of a page that was written."""
    from planner.facts.cautions import PLAN_SHORT

    size = len(made.text.encode())
    return {
        "out": str(out),
        "bytes": size,
        "kept": kept,
        "digest": made.digest,
        "valid_until": str(holds),
        "caution": PLAN_SHORT,
    }


def show_written(screen: Console, told: dict[str, Any]) -> None:
    """The same for people; a path is not broken, so that it can be copied."""
    size, digest = told["bytes"] / 1000, told["digest"][:16]
    screen.print(
        f"Written: {told['out']}, {size:.0f} kB, holds until {told['valid_until']}, digest {digest}.",
        soft_wrap=True,
    )
    show_kept(screen, told["kept"])
    screen.print(f"CAUTION: {told['caution']}")


def until(stated: str, aircraft: Sequence[Aircraft], otherwise: date | None = None) -> date:
    """The last day the page holds: as stated, else the first mass record that falls due, else `otherwise` or
    as asked at the keyboard.
    """
    due = [each.basic_empty.next_due for each in aircraft if each.basic_empty.next_due is not None]
    if not stated and len(due) == len(aircraft):
        return min(due)
    if not stated and otherwise is not None:
        return otherwise
    if not stated and sys.stdin.isatty():
        stated = typer.prompt("Last day on which the mass record holds (YYYY-MM-DD)")
    wrong = f"'{stated}' is no day" if stated else "no mass record says when it is next due"
    needed, hint = "needed the last day on which the record holds", "write --valid-until 2027-03-14"
    return stated_day("--valid-until", stated, "page-valid-until", needed, wrong, hint)
