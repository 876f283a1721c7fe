"""`planner compare`: two to five loadings beside each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import Json, Units, console, display, ended, print_json, refuse_option
from planner.app.given.changing import ReadFlight, Set, read_flight
from planner.app.given.options import helped

if TYPE_CHECKING:
    from planner.plan.comparing import ComparedLoading

Files = Annotated[
    list[str],
    typer.Argument(
        help="Flight files, one of them - for standard input; with --set also aircraft, by id or profile.",
        metavar="FILE...",
    ),
]


@helped(against="With --set: also each file as it stands, beside what is set in it.")
def compare(
    files: Files, settings: Set = None, against: bool = False, json: Json = False, units: Units = "metric"
) -> None:
    """Set two to five loadings beside each other: masses, fuel, the margin to every limit, and the
    differences.

    Each leg of a file with `legs:` counts as a loading. What --set changes is changed in every file.

    Exit code: 0 only where every loading is shown inside, 1 otherwise.

    Example: planner compare docs/flights/demo.yaml docs/flights/full-tanks.yaml

    Example: planner compare docs/flights/demo.yaml --set 'rear seats 2=100 kg' --set fuel=full --against
    """
    from planner.plan.comparing import FEWEST, MOST, worst_compared

    reads = list(_read(files, settings, against))
    loadings = [loading for read in reads for loading in _planned(read)]
    if not FEWEST <= len(loadings) <= MOST:
        loadings_ = f"{len(loadings)} loading{'' if len(loadings) == 1 else 's'} to compare"
        hint = "name one more file, or --set with --against" if len(loadings) < FEWEST else "leave some out"
        raise refuse_option("FILE", "compare-count", loadings_, f"needed {FEWEST} to {MOST}", hint)
    shown = display(units, reads[0].aircraft.record)
    if json:
        from planner.views.flight.compare_text import compared_json

        print_json(compared_json(loadings))
    else:
        from planner.views.flight.compare_text import render_compared

        render_compared(loadings, shown, console())
    raise ended(worst_compared(loadings) == "inside")


def _read(files: Sequence[str], settings: Sequence[str] | None, against: bool) -> Iterator[ReadFlight]:
    """Every file, as it stands and as it is set; everything wrong in any of them is told at once."""
    from planner.quantities.errors import Finding, InputRefused

    if against and not settings:
        raise refuse_option("--against", "option-missing", "nothing was changed", "needed --set 'KEY=VALUE'")
    if files.count("-") * (2 if against else 1) > 1:
        message = "standard input can be read once"
        raise refuse_option("-", "option-conflict", message, "needed a file for each loading")
    wrong: dict[Finding, None] = {}
    for file in files:
        for changed in [None, settings] if against else [settings]:
            try:
                yield read_flight(file, changed)
            except InputRefused as refused:
                wrong |= dict.fromkeys(refused.findings)
    if wrong:
        raise InputRefused(list(wrong))


def _planned(read: ReadFlight) -> list[ComparedLoading]:
    """The loadings of one flight: its own, or one for each leg."""
    from planner.plan.comparing import ComparedLoading

    told, file = tuple(read.json.get("changed", [])), read.flight.document.path
    return [
        ComparedLoading(plan=plan, file=file, name=name and f"leg {name}", changes=read.words, json=told)
        for name, plan in read.planned()
    ]
