"""`planner flight`: the main job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from planner.app.common import INSIDE, NOT_INSIDE, Json, Units, console, display, print_json, refuse_option

if TYPE_CHECKING:
    from planner.plan import Plan
    from planner.quantities.units import Display
    from planner.records.aircraft.record import Aircraft
    from planner.records.flight.record import Flight
    from planner.records.store import Loaded
    from planner.sureness.chance import Chance


def flight(
    file: Annotated[str, typer.Argument(help="The flight file, or - for standard input.", metavar="FILE")],
    working: Annotated[
        bool,
        typer.Option("--working", help="Also print every line of arithmetic with its figures, as on paper."),
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
    """
    from planner.plan import plan_flight
    from planner.records.store import load_flight_file

    shown = display(units)
    if (draws is not None and not 1 <= draws <= 1_000_000_000) or seed < 0:
        raise refuse_option(
            "--draws",
            "draws-range",
            f"{draws} draws with seed {seed}",
            "needed 1 to 1000000000 draws and a seed of zero or more",
        )
    loaded, aircraft = load_flight_file(file)
    shown = display(units, aircraft.record)
    if loaded.record.legs:
        _legs(loaded, aircraft, shown, json, working, certainty, draws, seed)
    plan = plan_flight(loaded, aircraft)
    drawn = _draw(plan, draws, seed) if draws else None
    if json:
        from planner.sureness.sureness import sureness
        from planner.views.flight.certainty_text import certainty_json
        from planner.views.flight.flight_json import flight_json

        result = flight_json(plan)
        result["certainty"] = certainty_json(plan, sureness(plan), drawn)
        if working:
            from planner.views.flight.working import working as lines

            result["working"] = lines(plan, shown)
        print_json(result)
    else:
        from planner.views.flight.flight_text import render_flight

        render_flight(plan, shown, console(), with_working=working, with_certainty=certainty, drawn=drawn)
    # Drawing can only make an answer more careful: an inside that fails 97.7 % of the draws is not shown.
    fine = plan.verdict == "inside" and (drawn is None or drawn.shown)
    raise typer.Exit(INSIDE if fine else NOT_INSIDE)


def _legs(
    loaded: Loaded[Flight],
    aircraft: Loaded[Aircraft],
    shown: Display,
    json: bool,
    working: bool,
    certainty: bool,
    draws: int | None,
    seed: int,
) -> NoReturn:
    """A file of several legs: each planned with what the one before left; the exit code is that of the
    worst.
    """
    from planner.search.legs import PUMP_STEPS, plan_legs, worst_of

    legs = plan_legs(loaded, aircraft, PUMP_STEPS[shown.system])
    drawn = [_draw(leg.plan, draws, seed) if draws else None for leg in legs]
    if json:
        from planner.views.flight.digest import digest
        from planner.views.flight.flight_json import flight_json
        from planner.views.flight.legs_json import legs_json

        each = legs_json(legs, drawn, shown if working else None)
        summary = " ".join(f"Leg {leg['number']}, {leg['name']}: {leg['plan']['summary']}" for leg in each)
        whole = flight_json(legs[0].plan) | {"verdict": worst_of(legs), "summary": summary, "legs": each}
        print_json(whole | {"digest": digest(whole)})
    else:
        from planner.views.flight.legs_text import render_legs

        render_legs(legs, shown, console(), with_working=working, with_certainty=certainty, drawn=drawn)
    fine = worst_of(legs) == "inside" and all(one is None or one.shown for one in drawn)
    raise typer.Exit(INSIDE if fine else NOT_INSIDE)


def _draw(plan: Plan, draws: int, seed: int) -> Chance:
    """The draws, with a progress bar on stderr once they take longer than a second."""
    from planner.app.progress import Progress
    from planner.sureness.chance import chance

    with Progress("drawing", draws) as progress:
        return chance(plan, draws, seed, progress.at)
