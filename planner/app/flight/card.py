"""`planner card`: one sheet for the wall or the knee, proven cell by cell, and checked again at any time."""

from __future__ import annotations

import html
import re
import shlex
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

from planner.app.common import (
    Json,
    Units,
    console,
    display,
    ended,
    exit_code,
    print_json,
    refuse_option,
    stated_day,
)
from planner.app.flight.sheet import Replace, free, paper_of, show_kept, write
from planner.app.given.options import helped, taking, text_option
from planner.app.progress import Progress
from planner.quantities.errors import InputRefused

if TYPE_CHECKING:
    from planner.records.aircraft.record import Aircraft
    from planner.records.store import Loaded

FORMATS: Final = (".html", ".pdf")
_LASTS: Final = timedelta(days=365)  # common practice, no published source


_ABOARD: Final = typer.Option(
    "--aboard", help="What another station may hold; else nothing.", metavar="'STATION=MASS'"
)
_TYPED: Final = (
    text_option("category", "One of the profile's; else its first."),
    text_option("across", "The station of the columns and its masses.", "'STATION=a..b UNIT'"),
    text_option("across_step", "Width of a column: 20 kg or 50 lb."),
    text_option("down", "The same for the rows.", "'STATION=a..b UNIT'"),
    text_option("down_step", "Height of a row: 40 kg or 70 lb."),
    text_option("baggage", "The station whose most is told.", "'STATION=0..b UNIT'"),
    text_option("baggage_step", "Its steps: 5 kg or 10 lb."),
    text_option("fuel", "Usable fuel that every cell must allow; else half of it."),
    text_option("fuel_step", "Steps of fuel: 10 L or 2 gal."),
    text_option("pilot", "The lightest pilot: 50 kg or 110 lb."),
    text_option("heaviest", "The heaviest person: 120 kg or 260 lb."),
    text_option("aboard", "", default=None).replace(annotation=Annotated[list[str] | None, _ABOARD]),
    text_option("grade", "One grade of fuel; else all of the profile's."),
)


@taking("check", _TYPED)
@helped(
    check=("Make a card again and tell whether it still holds.", "OUT"),
    made=("The day it is made; else today.", "YYYY-MM-DD"),
    expires=("The day it expires; else a year later, or when the mass record is due.", "YYYY-MM-DD"),
    paper="Paper of the one page: a4 or letter.",
)
def card(
    aircraft: Annotated[str, typer.Argument(help="Id or path of a profile.", metavar="AIRCRAFT")] = "",
    out: Annotated[
        str, typer.Argument(help="The file to write; its ending says how: .html or .pdf.", metavar="OUT")
    ] = "",
    check: str = "",
    made: str = "",
    expires: str = "",
    paper: str = "a4",
    replace: Replace = False,
    json: Json = False,
    units: Units = "metric",
    **typed: Any,
) -> None:
    """Write a card for the wall: front row across, rear row down, and in each cell the most baggage and fuel
    for which every loading is shown inside all limits through the whole burn.

    Cells are proven by bounds over all their loadings, not tried; one that can not be shown stays empty.
    planner card --check OUT makes a card again from the line printed on it and compares: exit code 0 where it
    holds, 1 where not.

    Example: planner card thornlea-t4 t4-card.html

    Example: planner card thornlea-t4 t4-card.pdf --across 'front seats=60..200 kg' --across-step '35 kg'
    """
    from planner.records.store import load_aircraft
    from planner.search.card import Typed

    if check:
        raise typer.Exit(_checked(check, aircraft, json))
    if not aircraft or not out:
        message = "an aircraft and a file to write are needed"
        raise refuse_option("OUT", "card-arguments", message, "or --check FILE")
    ending = Path(out).suffix.lower()
    if ending not in FORMATS:
        message = f"'{out}' does not end in .html or .pdf"
        raise refuse_option("OUT", "card-format", message, "needed one of them")
    loaded = load_aircraft(aircraft)
    free(Path(out), replace)
    system = display(units, loaded.record).system
    day = _day("--made", made) if made else date.today()
    last = _day("--expires", expires) if expires else _lasts(loaded.record, day)
    if last < day:
        message = f"{last} is before the day it is made, {day}"
        raise refuse_option("--expires", "card-day", message, "needed a later day")
    kept = {"units": system, "paper": paper_of(paper), "made": str(day), "expires": str(last)}
    asked = Typed(**{**typed, "aboard": tuple(typed["aboard"] or ())})
    data, told, shown = _made(loaded, aircraft, Path(out).name, asked, kept)
    told |= {"out": out, "kept": write(Path(out), data, replace)}
    if json:
        print_json(told)
    else:
        screen = console()
        for text in shown:
            screen.print(text)
        screen.print(f"Written: {out}, digest {told['digest']}, expires {last}.", soft_wrap=True)
        show_kept(screen, told["kept"], told["crowded"])
        for text in told["cautions"]:
            screen.print(f"CAUTION: {text}")
    raise ended(any(cell["shown"] for cell in told["cells"]))


def _made(
    loaded: Loaded[Aircraft], name: str, out: str, typed: Any, kept: dict[str, str]
) -> tuple[bytes, dict[str, Any], list[str]]:
    """The card as bytes and as data, and its sentences; `kept` is what an option that was not given stands
    for.
    """
    from planner.search.card import bands, read_ask
    from planner.search.card import card as proven
    from planner.views.paper import SMALLEST
    from planner.views.sheet.card_text import STYLE, card_json, card_sheet, sentences
    from planner.views.sheet.sheet import written

    shown = display(kept["units"] if kept["units"] in ("us", "uk") else "")
    ask = read_ask(loaded.record, typed, shown)
    cells = len(bands(ask.across[1])) * len(bands(ask.down[1]))
    with Progress("proving", cells) as progress:
        result = proven(loaded, ask, progress.at)
    days = date.fromisoformat(kept["expires"]), date.fromisoformat(kept["made"])
    line, again = _line(name, out, typed, kept), f"planner card --check {shlex.quote(out)}"
    sheet = card_sheet(result, loaded.record, shown, *days, line, again)
    data, scale = written(sheet, Path(out).suffix.lower(), paper_of(kept["paper"]), STYLE)
    told = card_json(result, loaded.record, *days) | {"type_scale": scale, "crowded": scale < SMALLEST - 1e-9}
    return data, told, sentences(result, shown)


def _line(name: str, out: str, typed: Any, kept: dict[str, str]) -> str:
    """The command that makes the card again, on any day."""
    words = ["planner", "card", name, out]
    options = {key: getattr(typed, key) for key in type(typed).__dataclass_fields__}
    for key, value in {**options, **kept}.items():
        for each in value if isinstance(value, tuple) else [value]:
            if each:
                words += [f"--{key.replace('_', '-')}", each]
    return shlex.join(words)


def _checked(path: str, aircraft: str, as_json: bool) -> int:
    """Make the card in a file again and compare: the same to the byte, and not expired, or what is not."""
    from planner.quantities.errors import Finding
    from planner.records.store import load_aircraft
    from planner.search.card import Typed
    from planner.views.paper import described
    from planner.views.sheet.card_text import MADE_BY

    try:
        on_file = Path(path).read_bytes()
    except OSError as error:
        message = f"'{path}' can not be read: {error}"
        raise refuse_option("--check", "card-unreadable", message, "needed a card") from None
    text = on_file.decode(errors="replace")
    found = re.search(rf'<ul id="{MADE_BY}"[^>]*><li>(.*?)</li>', text)
    line = html.unescape(found[1]) if found is not None else described(text).partition(" ")[2]
    try:
        words = shlex.split(line)
    except ValueError:
        words = []
    names, pairs = words[2:4], list(zip(words[4::2], words[5::2], strict=False))
    options: dict[str, Any] = {key.removeprefix("--").replace("-", "_"): value for key, value in pairs}
    kept = {key: options.pop(key, "") for key in ("units", "paper", "made", "expires")}
    fields = set(Typed.__dataclass_fields__)
    if len(names) < 2 or len(words) % 2 or not all(kept.values()) or not options.keys() <= fields:
        message = f"'{path}' has no line that says how it was made"
        raise refuse_option("--check", "card-no-line", message, "needed a card as .html or .pdf")
    options.pop("aboard", None)
    typed = Typed(aboard=tuple(value for key, value in pairs if key == "--aboard"), **options)
    for key in ("made", "expires"):
        _day(f"--{key}", kept[key])
    try:
        data, told, _ = _made(load_aircraft(aircraft or names[0]), names[0], names[1], typed, kept)
    except InputRefused as refused:
        message, needed = "the card can not be made again", "needed the profile it was made from"
        why = Finding("card-cannot-be-made", message, needed)
        raise InputRefused([why.at(path, 1, 1), *refused.findings]) from None
    same, today = data == on_file, date.today()
    expired = date.fromisoformat(kept["expires"]) < today
    digest = str(told["digest"])
    printed = digest in text
    holds = same and not expired
    if as_json:
        print_json(
            {
                "schema": "planner/card-check/1",
                "file": path,
                "digest": digest,
                "digest_on_card": printed,
                "same": same,
                "expires_on": kept["expires"],
                "expired": expired,
                "holds": holds,
                "cautions": told["cautions"],
            }
        )
    else:
        screen = console()
        if same:
            screen.print(f"{path}: made again, every figure is the same; digest {digest}.", soft_wrap=True)
        elif printed:
            other = " (or its PDF comes from another version of typst)" if text.startswith("%PDF") else ""
            screen.print(f"{path}: DOES NOT HOLD: it was changed after it was made{other}.", soft_wrap=True)
        else:
            screen.print(
                f"{path}: DOES NOT HOLD: made again it has the digest {digest}; the profile, its mass record"
                " or the program has changed. Make it anew.",
                soft_wrap=True,
            )
        if expired:
            screen.print(f"{path}: EXPIRED on {kept['expires']}. Make it anew.", soft_wrap=True)
        for caution in told["cautions"]:
            screen.print(f"CAUTION: {caution}")
    return exit_code(holds)


def _day(option: str, text: str) -> date:
    return stated_day(option, text, "card-day", "needed one such as 2026-05-31")


def _lasts(aircraft: Aircraft, day: date) -> date:
    """A year, or until the mass record is due; a record due already does not make the card older than its
    day.
    """
    due = aircraft.basic_empty.next_due
    return day + _LASTS if due is None else max(min(day + _LASTS, due), day)
