"""`planner sheet`: one page to print, tied to its figures by a digest."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from planner.app.common import Json, Units, console, display, ended, print_json, refuse_option
from planner.app.given.changing import File, ReadFlight, Save, Set, read_flight
from planner.app.progress import Progress

if TYPE_CHECKING:
    from rich.console import Console

    from planner.search.remedies.figures import Rounding
    from planner.search.remedies.headroom import Headroom
    from planner.search.varied import Case
    from planner.views.paper import Paper

FORMATS: Final = (".html", ".svg", ".pdf")
Leg = Annotated[
    int, typer.Option("--leg", help="Which leg, where the flight has several; each is shown alone.", min=0)
]
Replace = Annotated[
    bool, typer.Option("--replace", help="Where OUT exists, keep it as OUT.bak and write the new one.")
]


def sheet(
    file: File,
    out: Annotated[
        str,
        typer.Argument(help="The file to write; its ending says how: .html, .svg or .pdf.", metavar="OUT"),
    ],
    paper: Annotated[str, typer.Option("--paper", help="Paper of the one page: a4 or letter.")] = "a4",
    settings: Set = None,
    save: Save = "",
    leg: Leg = 0,
    replace: Replace = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Write one page to print: load, states and margins, fuel, picture, drain points, last-minute changes,
    cautions.

    The page carries a digest, the same that `planner flight --json` gives: paper and data of one plan belong
    together. The same flight file gives the same bytes. An existing OUT is refused; with --replace it is kept
    beside as OUT.bak, OUT.bak2 and so on.

    Example: planner sheet docs/flights/demo.yaml demo-sheet.html

    Example: planner sheet docs/flights/demo.yaml demo-sheet.svg --paper letter --units us

    Example: planner sheet docs/flights/demo.yaml less-fuel.html --set 'fuel.left=20 L' --set 'fuel.right=20 L'
    """  # noqa: E501 - an example is one line to copy
    from planner.facts.cautions import INVENTED, PLAN_SHORT
    from planner.search.remedies.figures import STEPS
    from planner.search.remedies.headroom import least_uplift
    from planner.views.paper import SMALLEST
    from planner.views.sheet.sheet import sheet_of, written
    from planner.views.words import cautions, verdict_sentence

    ending = Path(out).suffix.lower()
    if ending not in FORMATS:
        message = f"'{out}' does not end in .html, .svg or .pdf"
        needed = "needed an ending that says how to write the sheet"
        raise refuse_option("OUT", "sheet-format", message, needed)
    chosen = paper_of(paper)
    read = read_flight(file, settings, save)
    free(Path(out), replace)
    case, words, beside = leg_of(read, leg)
    plan = case.plan
    shown = display(units, plan.aircraft)
    steps, inside = STEPS[shown.system], plan.verdict == "inside"
    room = room_of(case, steps) if inside else None
    made = sheet_of(
        plan, shown, room, words, beside, read.words, None if inside else least_uplift(case, steps)
    )
    data, scale = written(made, ending, chosen)
    crowded = scale < SMALLEST - 1e-9
    kept = write(Path(out), data, replace)
    told = [each for each in cautions(plan) if each != INVENTED]
    if json:
        result = {
            "out": out,
            "format": ending[1:],
            "paper": chosen,
            "bytes": len(data),
            "kept": kept,
            "digest": made.digest,
            "verdict": plan.verdict,
        }
        print_json(
            {"schema": "planner/sheet/1", **result, "type_scale": scale, "crowded": crowded, "cautions": told}
            | read.json
        )
    else:
        screen = console()
        read.show(screen)
        screen.print(verdict_sentence(plan, shown))
        # A path is not broken, so that it can be copied.
        screen.print(f"Written: {out}, one page, {chosen}, digest {made.digest}.", soft_wrap=True)
        show_kept(screen, kept, crowded)
        screen.print(f"CAUTION: {PLAN_SHORT}")
    raise ended(inside)


def leg_of(read: ReadFlight, number: int) -> tuple[Case, str, tuple[str, ...]]:
    """The leg asked for, its name, and what is to be noticed about the other legs."""
    from planner.search.legs import plan_legs
    from planner.search.varied import case_of
    from planner.views.limit_words import VERDICT_WORDS

    flight, aircraft = read.flight, read.aircraft
    count = len(flight.record.legs) + 1
    if number > count or (number == 0 and count > 1):
        asked = f"there is no leg {number}" if number else "one leg is shown at a time"
        message = f"the flight has {count} leg{'s' if count > 1 else ''} and {asked}"
        raise refuse_option("--leg", "sheet-leg", message, f"needed --leg 1 to {count}")
    if count == 1:
        return case_of(flight, aircraft), "", ()
    legs = plan_legs(flight, aircraft)
    chosen = legs[number - 1]
    beside = [
        f"leg {place} of this flight, {each.name}: {VERDICT_WORDS[each.plan.verdict]}"
        for place, each in enumerate(legs, 1)
        if each is not chosen
    ]
    return chosen.case, f"leg {number} of {count}: {chosen.name}", tuple(beside)


def room_of(case: Case, steps: Rounding) -> Headroom:
    """The room for last-minute changes, rounded as the reader reads."""
    from planner.search.remedies.headroom import headroom

    with Progress("looking", 3) as progress:
        return headroom(case, steps, lambda done, _: progress.at(done))


def paper_of(name: str) -> Paper:
    """The paper of that name; another is refused."""
    if name == "a4" or name == "letter":
        return "letter" if name == "letter" else "a4"
    raise refuse_option("--paper", "sheet-paper", f"'{name}' is not a paper", "needed a4 or letter")


def show_kept(screen: Console, kept: str, crowded: bool = False) -> None:
    """Tell where the file is that was in the place of a written one, and how small its type is."""
    if crowded:
        screen.print("There is so much on it that the type is smaller than 5 points.")
    if kept:
        screen.print(f"The file that was there is now {kept}.", soft_wrap=True)


def free(path: Path, may_replace: bool) -> None:
    """Refuse a file that is there and must not be replaced: told before a search of seconds, not after it."""
    from planner.quantities.files import taken

    if path.exists() and not (may_replace and path.is_file()):
        raise taken(path, "or --replace, which keeps the old one beside it")


def write(path: Path, data: bytes, may_replace: bool) -> str:
    """Write a new file, or with `may_replace` put it in the place of one that is kept under a name of its
    own; returns that name or nothing.
    """
    from planner.quantities.files import locked, replace, write_new

    free(path, may_replace)
    if not path.exists():
        write_new(path, data)
        return ""
    with locked(path):
        old = path.read_bytes()
        if old == data:
            return ""
        number = 1
        while (kept := path.with_name(f"{path.name}.bak{number if number > 1 else ''}")).exists():
            number += 1
        write_new(kept, old)
        replace(path, data, old)
    return str(kept)
