"""`--set` and `--save`: a flight changed on the command line, for every command that reads one."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.app.common import must_be_new, refuse_option
from planner.quantities.frozen import frozen

if TYPE_CHECKING:
    from rich.console import Console

    from planner.plan.results import Plan
    from planner.quantities.errors import Finding
    from planner.records.aircraft.record import Aircraft
    from planner.records.flight.record import Flight
    from planner.records.store import Loaded
    from planner.views.records.changed_text import ChangedValue


def _files(incomplete: str) -> list[str]:
    from planner.app.given.completing import files  # late: only a shell that completes asks

    return files(incomplete)


def _keys(ctx: typer.Context, incomplete: str) -> list[str]:
    from planner.app.given.completing import keys

    return keys(str(ctx.params.get("file") or next(iter(ctx.args), "")), incomplete)


File = Annotated[
    str,
    typer.Argument(
        help="The flight file, or - for standard input; with --set also an aircraft, by id or profile.",
        metavar="FILE",
        autocompletion=_files,
    ),
]
Set = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        help=(
            "Change a value of the flight, as often as needed: 'rear seats 2=170 lb', fuel=full,"
            " temperature='30 degC'."
        ),
        metavar="'KEY=VALUE'",
        autocompletion=_keys,
    ),
]
Save = Annotated[
    str, typer.Option("--save", help="Write the flight with what was set to a new file.", metavar="OUT.yaml")
]


@frozen(kw_only=True)
class ReadFlight:
    """A flight with its aircraft, the `values` set in it, and where it was saved; `given` is in words what
    had not to be set without a file.
    """

    flight: Loaded[Flight]
    aircraft: Loaded[Aircraft]
    values: tuple[ChangedValue, ...] = ()
    given: str = ""
    out: str = ""
    without_file: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """Everything that was changed, for people; empty where nothing was."""
        return (*(each.words for each in self.values), *filter(None, [self.given]))

    @property
    def json(self) -> dict[str, Any]:
        """The same for programs, to be added to a result; empty where nothing was changed."""
        if not self.values:
            return {}
        listed = [
            {"where": each.where, "from": each.before, "to": each.now, "set": each.by} for each in self.values
        ]
        return {"changed": listed} | ({"saved": self.out} if self.out else {})

    def planned(self) -> list[tuple[str, Plan]]:
        """The plan of the flight, or of each leg by its name."""
        from planner.plan import plan_flight

        if not self.flight.record.legs:
            return [("", plan_flight(self.flight, self.aircraft))]
        from planner.search.legs import plan_legs

        return [(leg.name, leg.plan) for leg in plan_legs(self.flight, self.aircraft)]

    def show(self, screen: Console) -> None:
        """Tell what was changed, before the report."""
        if self.words:
            from planner.views.blocks import Page
            from planner.views.records.changed_text import render_changed

            page = Page(screen)
            render_changed(page, self.words, self.without_file)
            if self.out:
                page.paragraph(f"Written: {self.out}")


def read_flight(file: str, settings: Sequence[str] | None, save: str = "") -> ReadFlight:
    """The flight of a file, or of an aircraft's id without one, with everything set; raises InputRefused with
    every finding.
    """
    from planner.records.store import load_flight_file

    without_file = _is_aircraft(file, bool(settings))
    if not settings:
        if save:
            raise refuse_option("--save", "option-missing", "nothing was changed", "needed --set 'KEY=VALUE'")
        if without_file:
            message, needed = "this is an aircraft and no flight", "needed a flight file, or --set"
            raise refuse_option(file, "set-missing", message, needed, "such as --set fuel=full")
        flight, aircraft = load_flight_file(file)
        return ReadFlight(flight=flight, aircraft=aircraft)
    if save:
        must_be_new(save)
    return _changed(file, settings, without_file, save)


def _is_aircraft(name: str, look_inside: bool) -> bool:
    """Whether it is the id of an aircraft; with `look_inside`, also whether it is a profile's file."""
    from planner.records.document import read
    from planner.records.store import profile_ids

    if not os.path.exists(name):  # unlike Path's it takes a name that no disk could hold
        return name in profile_ids()
    value = read(name).value if look_inside and os.path.isfile(name) else None
    return isinstance(value, dict) and "profile" in value


def _changed(file: str, settings: Sequence[str], without_file: bool, save: str) -> ReadFlight:
    from planner.quantities.errors import InputRefused
    from planner.records.store import load_aircraft, load_flight_file
    from planner.views.records.changed_text import changed_values

    before, given = None, ""
    changes, wrong = _pairs(settings)
    try:
        if without_file:
            from planner.records.writing.without_file import flight_without_file

            flight = flight_without_file(load_aircraft(file), file, changes)
            given = _given(flight)
        else:
            loaded, _ = load_flight_file(file)
            before, flight = loaded.document, loaded.with_(changes)
    except InputRefused as refused:
        raise InputRefused([*wrong, *(_named(each) for each in refused.findings)]) from None
    if wrong:
        raise InputRefused(wrong)
    asked = [f"{key}={value}" for key, value in changes.items()]
    values = tuple(sorted(changed_values(before, flight), key=lambda each: asked.index(each.by)))
    # A notice stands at the option that brought it up, whoever finds it.
    document = replace(
        flight.document, varied={place: f"--set {option}" for place, option in flight.document.varied.items()}
    )
    flight = replace(flight, document=document, notices=tuple(_named(each) for each in flight.notices))
    assert flight.aircraft is not None  # every flight is checked against one
    read = ReadFlight(
        flight=flight,
        aircraft=flight.aircraft,
        values=values,
        given=given,
        out=save,
        without_file=without_file,
    )
    if save:
        from planner.records.writing.saving import saved

        read.planned()  # it is written once it is known that it can be planned
        head = f"# Made of {file if file != '-' else 'standard input'} with:\n"
        told = "".join(f"# {each.words}\n" for each in values if each.words.isprintable())
        fits = (
            "# Comments below are those of that file and may no longer fit.\n" if before is not None else ""
        )
        saved(flight, Path(save), f"{head}{told}{fits}")
    return read


def _named(finding: Finding) -> Finding:
    """A finding of what was set stands at the option."""
    return (
        finding
        if finding.line or finding.path.startswith("--set")
        else replace(finding, path=f"--set {finding.path}")
    )


def _given(flight: Loaded[Flight]) -> str:
    """What was not set, as the profile or the grade leaves no choice."""
    record, varied = flight.record, flight.document.varied
    found = {("category",): f"category {record.category}", ("fuel", "grade"): f"grade {record.fuel.grade}"}
    rest = [words for place, words in found.items() if place not in varied]
    rest += ["the grade's standard density with its band"] if record.fuel.density.standard else []
    return f"not set: {', '.join(rest)}" if rest else ""


def _pairs(settings: Sequence[str]) -> tuple[dict[str, object], list[Finding]]:
    """KEY=VALUE taken apart, and everything that is none."""
    from planner.quantities.errors import Finding

    found: dict[str, object] = {}
    wrong: list[Finding] = []
    for text in settings:
        key, sign, value = text.partition("=")
        key = key.strip()
        if not key or not sign:
            hint = "such as --set 'rear seats 2=170 lb', or --set fuel=full"
            finding = Finding("set-form", "this sets nothing", "needed KEY=VALUE", hint)
        elif key in found:
            finding = Finding("option-conflict", f"'{key}' is set twice", "needed one of the two")
        else:
            found[key] = value.strip()
            continue
        wrong.append(finding.at(f"--set {text}", 0, 0))
    return found, wrong
