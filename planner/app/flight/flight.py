"""`planner flight`: the main job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from planner.app.common import (
    INSIDE,
    NOT_INSIDE,
    Json,
    Units,
    Working,
    console,
    display,
    print_json,
    refuse_option,
)
from planner.app.given.changing import File, ReadFlight, Save, Set, read_flight

if TYPE_CHECKING:
    from planner.plan import Plan
    from planner.quantities.units import Display
    from planner.sureness.chance import Chance


def flight(
    file: File,
    settings: Set = None,
    save: Save = "",
    working: Working = False,
    brief: Annotated[
        bool,
        typer.Option("--brief", help="Print at most 15 lines: verdict, what decides, states, fuel, caution."),
    ] = False,
    certainty: Annotated[
        bool,
        typer.Option(
            "--certainty", help="Also print every uncertainty budget and what measuring better would buy."
        ),
    ] = False,
    draws: Annotated[
        int | None,
        typer.Option(
            "--draws", help="Draw the inputs at random N times, for the chance of being inside.", metavar="N"
        ),
    ] = None,
    seed: Annotated[
        int, typer.Option("--seed", help="Seed of the draws: the same seed gives the same answer.")
    ] = 1,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Plan a flight: density, fuel, mass and balance in every state and through the whole burn.

    Example: planner flight docs/flights/demo.yaml --working

    A file with `legs:` is planned leg by leg, with what to put in at each stop.

    Example: planner flight docs/flights/not-shown-inside.yaml --certainty --draws 100000

    Example: planner flight docs/flights/demo.yaml --brief

    With --set values are changed without touching the file, by the keys of docs/formats.md; with an
    aircraft's id in place of FILE they are all there is.

    Example: planner flight docs/flights/demo.yaml --set 'rear seats 2=170 lb' --set fuel=full

    Example: planner flight corvedale-sextet --set rules=us-vfr-day --set 'front seats=80 kg' --set fuel=full --set 'temperature=20 degC' --set 'cruise=45 min'
    """  # noqa: E501 - an example is one line to copy
    from planner.plan import plan_flight

    if (draws is not None and not 1 <= draws <= 1_000_000_000) or seed < 0:
        raise refuse_option(
            "--draws",
            "draws-range",
            f"{draws} draws with seed {seed}",
            "needed 1 to 1000000000 draws and a seed of zero or more",
        )
    longer = {"--json": json, "--working": working, "--certainty": certainty, "--draws": draws is not None}
    if brief and any(longer.values()):
        other = next(name for name, given in longer.items() if given)
        raise refuse_option(
            "--brief", "option-conflict", f"--brief and {other} are both given", "needed one of the two"
        )
    read = read_flight(file, settings, save)
    loaded, aircraft = read.flight, read.aircraft
    shown = display(units, aircraft.record)
    if loaded.record.legs:
        _legs(read, shown, json, working, certainty, draws, seed, brief)
    plan = plan_flight(loaded, aircraft)
    drawn = _draw(plan, draws, seed) if draws else None
    if brief:
        _brief(read, [plan], shown)
    elif json:
        from planner.views.flight.flight_json import whole_json

        print_json(whole_json(plan, drawn, shown if working else None) | read.json)
    else:
        from planner.views.flight.flight_text import render_flight

        with console() as screen:  # written as one piece: a pipe's reader is woken once
            read.show(screen)
            render_flight(plan, shown, screen, with_working=working, with_certainty=certainty, drawn=drawn)
    # Drawing can only make an answer more careful: an inside that fails 97.7 % of the draws is not shown.
    fine = plan.verdict == "inside" and (drawn is None or drawn.shown)
    raise typer.Exit(INSIDE if fine else NOT_INSIDE)


def _legs(
    read: ReadFlight,
    shown: Display,
    json: bool,
    working: bool,
    certainty: bool,
    draws: int | None,
    seed: int,
    brief: bool,
) -> NoReturn:
    """A file of several legs: each planned with what the one before left; the exit code is that of the
    worst.
    """
    from planner.search.legs import PUMP_STEPS, plan_legs, worst_of

    legs = plan_legs(read.flight, read.aircraft, PUMP_STEPS[shown.system])
    drawn = [_draw(leg.plan, draws, seed) if draws else None for leg in legs]
    if brief:
        _brief(read, [leg.plan for leg in legs], shown, [leg.name for leg in legs])
    elif json:
        from planner.views.flight.digest import digest
        from planner.views.flight.flight_json import flight_json
        from planner.views.flight.legs_text import legs_json

        each = legs_json(legs, drawn, shown if working else None)
        summary = " ".join(f"Leg {leg['number']}, {leg['name']}: {leg['plan']['summary']}" for leg in each)
        whole = flight_json(legs[0].plan) | {"verdict": worst_of(legs), "summary": summary, "legs": each}
        print_json(whole | {"digest": digest(whole)} | read.json)
    else:
        from planner.views.flight.legs_text import render_legs

        with console() as screen:
            read.show(screen)
            render_legs(legs, shown, screen, with_working=working, with_certainty=certainty, drawn=drawn)
    fine = worst_of(legs) == "inside" and all(one is None or one.shown for one in drawn)
    raise typer.Exit(INSIDE if fine else NOT_INSIDE)


def _brief(read: ReadFlight, plans: Sequence[Plan], shown: Display, legs: Sequence[str] = ("",)) -> None:
    """The plan in few lines, or that of every leg, after one line of what was changed."""
    from planner.views.blocks import Page
    from planner.views.flight.flight_text import render_brief

    page = Page(console())
    if read.words:
        page.paragraph(f"Changed: {'; '.join(read.words)}.", first="")
    if read.out:
        page.paragraph(f"Written: {read.out}", first="")
    for number, (plan, name) in enumerate(zip(plans, legs, strict=True), 1):
        leg = f"leg {number}: {name}" if name else ""
        render_brief(page, plan, shown, leg, last=number == len(plans))


def _draw(plan: Plan, draws: int, seed: int) -> Chance:
    """The draws, with a progress bar on stderr once they take longer than a second."""
    from planner.app.progress import Progress
    from planner.sureness.chance import chance

    with Progress("drawing", draws) as progress:
        return chance(plan, draws, seed, progress.at)
