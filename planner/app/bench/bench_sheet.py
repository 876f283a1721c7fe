"""What the commands that work out a sheet of the bench take and do alike."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from inspect import signature
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, NoReturn, TypeVar

import typer

from planner.app.bench.bench_options import file_or_options, kept_as, named, parameters
from planner.app.common import Json, Units, Working, console, display, ended, note, page, print_json
from planner.app.given.options import helped, options_of_both
from planner.quantities.errors import InputRefused
from planner.quantities.frozen import frozen

if TYPE_CHECKING:
    from planner.density.bench.steps.calibration import VolumeShift
    from planner.density.bench.steps.results import Bench
    from planner.quantities.units import Display
    from planner.records.document import Document

R = TypeVar("R")

File = Annotated[
    str | None,
    typer.Argument(
        help="The sheet, or - for standard input; without it, the options are the sheet.", metavar="[FILE]"
    ),
]
KeepAs = Annotated[
    Path | None,
    typer.Option(
        "--keep", help="Write readings given by options to this file as a sheet; it must not exist."
    ),
]
# What every sheet states; the liquid first of all.
_LIQUID: Final = {
    "liquid": "A grade (see 'planner density grades'), or water, salt water, cooking oil, lamp oil."
}
_EVERY: Final = {
    "batch > density": "Density the supplier declares for the batch.",
    "batch > at": "Its temperature, where it is not 15 degC.",
    "batch > certificate": "Number of the batch certificate.",
    "aircraft": "Aircraft in whose tanks an error is told in kilograms.",
    "id": "What is written on the bottle or the hydrometer.",
    "date": "Year-month-day; today where left out.",
    "place": "Where.",
    "observer": "Who measured.",
}


@frozen(kw_only=True)
class SheetAsked:
    """A sheet to be worked out: its `file`, or what `options` say of it; and how it is told."""

    kind: str
    file: str | None
    options: dict[str, Any]
    acknowledged: bool
    keep_as: Path | None
    working: bool
    json: bool
    shown: Display

    @property
    def named(self) -> bool:
        """Whether it says whose it is: only then is anything kept under the name."""
        return self.file is not None or self.options["id"] is not None

    def document(self) -> Document:
        """The file, or the sheet that the options stand for."""
        return file_or_options(self.file, self.kind, self.options)

    def worked(self, work: Callable[[str], R]) -> R:
        """Do `work`, told where the cautions were acknowledged; a refusal shows them where they were not, and
        names options instead of keys.
        """
        from planner.facts.cautions import SAMPLE

        try:
            return work("beside the sheet" if self.acknowledged else "in the sheet")
        except InputRefused as refused:
            if any(finding.code == "bench-cautions" for finding in refused.findings):
                head = "Handling cautions, all of them to be read before fuel is weighed or floated:"
                sys.stderr.write("\n  - ".join([head, *SAMPLE]) + "\n")
            raise InputRefused(named(refused.findings)) from None

    def tell(
        self, bench: Bench, document: Document, change: VolumeShift | None = None, kept: str = ""
    ) -> NoReturn:
        """Show a worked-out sheet, and leave by the exit code of what it says."""
        from planner.views.bench.bench_words import suspect

        bench = kept_as(self.keep_as, bench, document)
        bench = replace(bench, findings=named(bench.findings))
        if self.json:
            from planner.views.bench.bench_json import bench_json
            from planner.views.bench.bench_working import working as lines

            data = bench_json(bench, self.shown, change, kept)
            print_json(data | ({"working": lines(bench)} if self.working else {}))
        else:
            from planner.views.bench.bench_text import render_bench

            render_bench(bench, self.shown, console(), change, self.working, kept)
        raise ended(not suspect(bench))


def sheet_command(readings: Mapping[str, str]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """A command that works out a sheet: what every sheet takes, and its own `readings` with their words."""

    def command(own: Callable[..., None]) -> Callable[..., None]:
        kind = own.__name__

        @helped(
            acknowledge_cautions="I have read the handling cautions and follow them.",
            cautions="Show the handling cautions and stop.",
            blank="Write an empty sheet with a word on every key to this file, and stop.",
        )
        def work(
            file: File = None,
            acknowledge_cautions: bool = False,
            cautions: bool = False,
            keep_as: KeepAs = None,
            blank: Path | None = None,
            working: Working = False,
            json: Json = False,
            units: Units = "metric",
            **options: Any,
        ) -> None:
            _instead(kind, blank, cautions, json)
            mine = {name: options.pop(name) for name in signature(own).parameters.keys() & options}
            asked = SheetAsked(
                kind=kind,
                file=file,
                options=options,
                acknowledged=acknowledge_cautions,
                keep_as=keep_as,
                working=working,
                json=json,
                shown=display(units),
            )
            own(asked, **mine)

        return options_of_both(work, own, parameters({**_LIQUID, **readings}), parameters(_EVERY))

    return command


def _show_cautions(as_json: bool) -> None:
    from planner.facts.cautions import ACKNOWLEDGEMENT, CLASSROOM, SAMPLE

    told = {
        "schema": "planner/cautions/1",
        "sample": list(SAMPLE),
        "classroom": CLASSROOM,
        "acknowledgement": ACKNOWLEDGEMENT,
    }
    if as_json:
        return print_json(told)
    shows, said = page(), "'cautions_acknowledged: true' or --acknowledge-cautions says:"
    shows.bullets([*SAMPLE, CLASSROOM])
    return shows.paragraph(f"To acknowledge them, {said} {ACKNOWLEDGEMENT}")


def _instead(kind: str, out: Path | None, cautions: bool, as_json: bool) -> None:
    """What is done instead of working a sheet out: an empty one written, or the cautions shown; then the
    command ends.
    """
    from datetime import date

    from planner.quantities.files import write_new
    from planner.records.sheets.bench_blank import blank

    if out is not None:
        write_new(out, blank(kind, date.today().isoformat()).encode())
        note(f"{out} written. Fill it in, then: planner density {kind} {out}")
    elif cautions:
        _show_cautions(as_json)
    else:
        return
    raise typer.Exit()
