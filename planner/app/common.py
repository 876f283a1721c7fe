"""What every command shares: options, the console, and how a refusal is told."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from typing import IO, TYPE_CHECKING, Annotated, Any, Final, cast, overload

import typer

from planner.quantities.errors import InputRefused
from planner.quantities.errors import refuse_option as refuse_option

if TYPE_CHECKING:
    from datetime import date

    from rich.console import Console

    from planner.facts.grades import Grade
    from planner.quantities.units import Dimension, Display, Quantity, UnitSystem
    from planner.records.aircraft.record import Aircraft
    from planner.views.blocks import Page

INSIDE: Final = 0
NOT_INSIDE: Final = 1
BAD_INPUT: Final = 2

Json = Annotated[
    bool, typer.Option("--json", help="Print the result as JSON, all numbers in the units their keys name.")
]
Working = Annotated[
    bool, typer.Option("--working", help="Also print every line of arithmetic with its figures, as on paper.")
]
AircraftName = Annotated[str, typer.Argument(help="Id or path of a profile.", metavar="AIRCRAFT")]
UNITS_VARIABLE: Final = "PLANNER_UNITS"
_SYSTEMS: Final = ("metric", "us", "uk")
_UNITS_HELP: Final = "Units shown: metric, us or uk; else those of the profile. Input states its own units."


def _as_asked(context: typer.Context, parameter: typer.CallbackParam, value: str) -> str:
    """The units asked for on the command line or by the environment; nothing where they are only the option's
    default. An unknown system is refused before anything is read.
    """
    source = context.get_parameter_source(str(parameter.name))
    if source is None or source.name not in ("COMMANDLINE", "ENVIRONMENT"):
        return ""
    if value and value not in _SYSTEMS and not context.resilient_parsing:
        raise unknown(
            "--units", "units-unknown", value, "a system of units", _SYSTEMS, "needed metric, us or uk"
        )
    return value


Units = Annotated[str, typer.Option("--units", envvar=UNITS_VARIABLE, help=_UNITS_HELP, callback=_as_asked)]


def exit_code(inside: bool) -> int:
    """The exit code where all is shown inside, or right, and where not."""
    return INSIDE if inside else NOT_INSIDE


def ended(inside: bool) -> typer.Exit:
    """The end of a command, by what it found."""
    return typer.Exit(exit_code(inside))


def group(words: str) -> typer.Typer:
    """Commands under one name, with its help."""
    return typer.Typer(no_args_is_help=True, rich_markup_mode=None, help=words)


def display(units: str, aircraft: Aircraft | None = None) -> Display:
    """The reader's units: `--units`, else PLANNER_UNITS, else those of the aircraft's profile, else
    metric.
    """
    from planner.quantities.units import Display

    return Display(
        cast("UnitSystem", units or (aircraft.units if aircraft is not None else None) or "metric")
    )


PIPE_WIDTH: Final = 100  # columns: a pipe has none of its own, and a fixed one keeps files the same


def console(stderr: bool = False) -> Console:
    """A console as wide as the terminal (COLUMNS rules; 100 in a pipe), plain where NO_COLOR or a pipe asks
    for it. A text printed on it is cleaned of what a terminal takes for a command.
    """
    from planner.app.streams import Styled
    from planner.views.terminal import Screen

    stream = sys.stderr if stderr else sys.stdout
    width = None if stream.isatty() or "COLUMNS" in os.environ else PIPE_WIDTH
    height = (
        None if stream.isatty() else 25
    )  # asked for with every line where it is not known; no block depends on it
    return Screen(
        file=cast("IO[str]", Styled(stream)),
        width=width,
        height=height,
        highlight=False,
        soft_wrap=False,
        emoji=False,
        markup=False,
        # rich leaves bold and dim where colour is not wanted; who sets it wants plain text.
        color_system=None if os.environ.get("NO_COLOR") else "auto",
    )


def note(text: str, style: str = "") -> None:
    """A line beside the result, on stderr."""
    console(stderr=True).print(text, style=style, soft_wrap=True)


def page() -> Page:
    """A page whose blocks are shown as they come."""
    from planner.views.blocks import Page

    return Page(console())


def print_json(data: Any) -> None:
    """One JSON document on stdout; NaN and infinities can not get out. Signs that are not seen, or that the
    encoding lacks, are escaped.
    """
    import json

    ascii_only = not (sys.stdout.encoding or "").lower().startswith("utf")
    text = json.dumps(data, indent=2, ensure_ascii=ascii_only, allow_nan=False)
    if not text.isascii() or "\x7f" in text:
        text = "".join(
            sign
            if sign.isprintable() or sign == "\n"
            else json.dumps(sign)[1:-1]
            if sign != "\x7f"
            else "\\u007f"
            for sign in text
        )
    sys.stdout.write(f"{text}\n")


def reader(words: Sequence[str]) -> Display:
    """The units asked for by the words of a command line, or the environment, for a refusal that leaves the
    command; else metric.
    """
    if not any(word.startswith("--units") for word in words):
        words = ["--units", os.environ.get(UNITS_VARIABLE, "")]
    for word, after in pairwise([*words, ""]):
        wish = after if word == "--units" else word.removeprefix("--units=")
        if word.startswith("--units") and wish in ("us", "uk"):
            return display(wish)
    return display("")


def refuse(refused: InputRefused, as_json: bool, shown: Display) -> int:
    """Tell every finding: as JSON on stdout, else one line each on stderr, in the reader's units. Returns
    exit code 2.
    """
    if as_json:
        print_json(
            {"schema": "planner/findings/1", "findings": [finding.as_json() for finding in refused.findings]}
        )
    else:
        from planner.quantities.sentences import finding_line

        count = len(refused.findings)
        sys.stderr.write("".join(f"{finding_line(finding, shown)}\n" for finding in refused.findings))
        sys.stderr.write(f"{count} thing{'s' if count > 1 else ''} to mend; nothing was computed.\n")
    return BAD_INPUT


@overload
def quantity(text: str, option: str, *dimensions: Dimension) -> Quantity: ...
@overload
def quantity(text: str | None, option: str, *dimensions: Dimension) -> Quantity | None: ...
def quantity(text: str | None, option: str, *dimensions: Dimension) -> Quantity | None:
    """A quantity typed as an option, None where it is not given; a refusal names the option."""
    from planner.quantities.options import read_option

    return None if text is None else read_option(text, option, *dimensions)


def must_be_new(name: object) -> None:
    """Refuse to write a file that is there, before anything is worked out."""
    if os.path.exists(str(name)):
        message = "the file exists and is not overwritten"
        raise refuse_option(str(name), "file-exists", message, "needed a new name")


def unknown(
    option: str, code: str, name: str, kind: str, known: Iterable[str], needed: str = ""
) -> InputRefused:
    """What is said of a name that is none of those `known`, with the one that was meant."""
    from planner.quantities.errors import closest

    return refuse_option(option, code, f"'{name}' is not {kind}", needed, closest(name, known))


def both_given(option: str, names: str, needed: str = "needed one of them") -> InputRefused:
    """What is said of options that exclude one another."""
    return refuse_option(option, "option-conflict", f"{names} are both given", needed)


@contextmanager
def in_range(option: str, code: str, needed: str) -> Iterator[None]:
    """What the engine finds out of its range is refused at an option."""
    from planner.quantities.errors import OutOfRange

    try:
        yield
    except OutOfRange as error:
        raise refuse_option(option, code, error.words, needed) from None


def stated_day(option: str, text: str, code: str, needed: str, wrong: str = "", hint: str = "") -> date:
    """A day typed as an option; what is none is refused."""
    from datetime import date

    try:
        return date.fromisoformat(text)
    except ValueError:
        raise refuse_option(option, code, wrong or f"'{text}' is not a day", needed, hint) from None


def chosen_grade(name: str) -> Grade:
    """The grade of that id; an unknown one is refused."""
    from planner.facts.grades import GRADES

    if name not in GRADES:
        raise unknown("--grade", "grade-unknown", name, "a known fuel grade", GRADES)
    return GRADES[name]
