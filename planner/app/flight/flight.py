"""`planner flight`: the main job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.app.common import (
    Json,
    Units,
    Working,
    both_given,
    console,
    display,
    ended,
    page,
    print_json,
    refuse_option,
)
from planner.app.given.changing import File, ReadFlight, Save, Set, read_flight
from planner.app.given.options import helped

if TYPE_CHECKING:
    from planner.flight.envelope import Verdict
    from planner.plan import Plan
    from planner.quantities.units import Display
    from planner.search.legs import LegPlan
    from planner.sureness.chance import Chance


@helped(
    brief="Print at most 15 lines: verdict, what decides, states, fuel, caution.",
    certainty="Also print every uncertainty budget and what measuring better would buy.",
    draws=("Draw the inputs at random N times, for the chance of being inside.", "N"),
    seed="Seed of the draws: the same seed gives the same answer.",
)
def flight(
    file: File,
    settings: Set = None,
    save: Save = "",
    working: Working = False,
    brief: bool = False,
    certainty: bool = False,
    draws: int | None = None,
    seed: int = 1,
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
        needed = "needed 1 to 1000000000 draws and a seed of zero or more"
        raise refuse_option("--draws", "draws-range", f"{draws} draws with seed {seed}", needed)
    longer = {"--json": json, "--working": working, "--certainty": certainty, "--draws": draws is not None}
    if brief and any(longer.values()):
        other = next(name for name, given in longer.items() if given)
        raise both_given("--brief", f"--brief and {other}", "needed one of the two")
    read = read_flight(file, settings, save)
    shown = display(units, read.aircraft.record)
    legs: Sequence[LegPlan] = ()
    if read.flight.record.legs:
        from planner.search.legs import PUMP_STEPS, plan_legs, worst_of

        legs = plan_legs(read.flight, read.aircraft, PUMP_STEPS[shown.system])
        plans, names, verdict = [leg.plan for leg in legs], [leg.name for leg in legs], worst_of(legs)
    else:
        plans, names = [plan_flight(read.flight, read.aircraft)], [""]
        verdict = plans[0].verdict
    drawn = [_draw(plan, draws, seed) if draws else None for plan in plans]
    if brief:
        _brief(read, plans, shown, names)
    elif json:
        print_json(_json(legs, plans, drawn, verdict, shown if working else None) | read.json)
    else:
        how: dict[str, Any] = {"with_working": working, "with_certainty": certainty}
        with console() as screen:  # written as one piece: a pipe's reader is woken once
            read.show(screen)
            if legs:
                from planner.views.flight.legs_text import render_legs

                render_legs(legs, shown, screen, drawn=drawn, **how)
            else:
                from planner.views.flight.flight_text import render_flight

                screen.print(*render_flight(plans[0], shown, drawn=drawn[0], **how))
    # Drawing can only make an answer more careful: an inside that fails 97.7 % of the draws is not shown.
    fine = verdict == "inside" and all(one is None or one.shown for one in drawn)
    raise ended(fine)


def _json(
    legs: Sequence[LegPlan],
    plans: Sequence[Plan],
    drawn: Sequence[Chance | None],
    verdict: Verdict,
    lines: Display | None,
) -> dict[str, Any]:
    """The plan for programs; of several legs that of the first with all of them in it."""
    if not legs:
        from planner.views.flight.flight_json import whole_json

        return whole_json(plans[0], drawn[0], lines)
    from planner.views.flight.digest import digest
    from planner.views.flight.flight_json import flight_json
    from planner.views.flight.legs_text import legs_json

    each = legs_json(legs, drawn, lines)
    summary = " ".join(f"Leg {leg['number']}, {leg['name']}: {leg['plan']['summary']}" for leg in each)
    whole = flight_json(plans[0]) | {"verdict": verdict, "summary": summary, "legs": each}
    return whole | {"digest": digest(whole)}


def _brief(read: ReadFlight, plans: Sequence[Plan], shown: Display, legs: Sequence[str]) -> None:
    """The plan in few lines, or that of every leg, after one line of what was changed."""
    from planner.views.flight.flight_text import render_brief

    shows = page()
    if read.words:
        shows.paragraph(f"Changed: {'; '.join(read.words)}.", first="")
    if read.out:
        shows.paragraph(f"Written: {read.out}", first="")
    for number, (plan, name) in enumerate(zip(plans, legs, strict=True), 1):
        leg = f"leg {number}: {name}" if name else ""
        render_brief(shows, plan, shown, leg, last=number == len(plans))


def _draw(plan: Plan, draws: int, seed: int) -> Chance:
    """The draws, with a progress bar on stderr once they take longer than a second."""
    from planner.app.progress import Progress
    from planner.sureness.chance import chance

    with Progress("drawing", draws) as progress:
        return chance(plan, draws, seed, progress.at)
