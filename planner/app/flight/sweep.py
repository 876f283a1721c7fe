"""`planner sweep`: many loadings of one flight at once."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from planner.app.common import (
    Json,
    Units,
    both_given,
    console,
    display,
    must_be_new,
    print_json,
    refuse_option,
)
from planner.app.given.changing import File, Save, Set, read_flight
from planner.app.given.options import helped
from planner.app.progress import Progress

if TYPE_CHECKING:
    from planner.plan.results import Plan
    from planner.sweep.sweep_run import LoadingSource, Taker
    from planner.views.sweep.sweep_csv import SweepCsv
    from planner.views.sweep.sweep_text import SweepReport

_ROWS_CHECKED = 8192


@helped(
    vary=(
        "A station, 'STATION 2' for one seat, 'fuel' or 'fuel TANK', and its range; up to four times.",
        "'NAME=a..b UNIT'",
    ),
    steps=("Values of each range, both ends included; or one number for each: 20,40.", "N"),
    table=("Loadings as CSV, headers such as 'front seats [kg]'.", "IN.csv"),
    chart="Draw the picture also when a file is written.",
    csv=("Write every loading as CSV; - for standard output.", "OUT"),
    npz=("Write every answer as numpy arrays in SI.", "OUT"),
    resume="Continue the rows of a sweep to --csv that was stopped.",
)
def sweep(
    file: File,
    vary: list[str] | None = None,
    settings: Set = None,
    save: Save = "",
    steps: str = "25",
    table: Path | None = None,
    chart: bool = False,
    csv: str | None = None,
    npz: Path | None = None,
    resume: bool = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Try many loadings of one flight: every combination of some ranges, or every row of a table, each
    checked through the whole flight.

    A loading is the flight with the varied figures typed in. Exit code 0 when all were computed, whatever the
    verdicts.

    Example: planner sweep docs/flights/demo.yaml --vary 'front seats=50..220 kg' --vary 'fuel=0..144 L'

    Example: planner sweep docs/flights/demo.yaml --table docs/flights/loadings.csv

    Example: planner sweep docs/flights/demo.yaml --set 'temperature=35 degC' --vary 'fuel=0..144 L'
    """
    from planner.api import MOST_LOADINGS
    from planner.plan import plan_flight
    from planner.sweep.sweep_ranges import read_ranges
    from planner.sweep.sweep_run import Grid, Kept, RangeSource, Summary, planned_again, run
    from planner.sweep.sweeping import compile_sweep
    from planner.views.sweep.sweep_csv import SweepCsv, agreeing, too_many
    from planner.views.sweep.sweep_text import SweepReport, render_sweep, sweep_json

    _options_fit(vary, table, csv, npz, resume, json or chart)
    read = read_flight(file, settings, save)
    flight, aircraft = read.flight, read.aircraft
    shown = display(units, aircraft.record)
    plan = plan_flight(flight, aircraft)
    axes = read_ranges(plan, vary, _steps(steps)) if vary else ()
    source: LoadingSource = _table(plan, table) if table is not None else RangeSource(plan, axes)
    model = compile_sweep(plan, source.targets)
    summary = Summary(len(source.targets))
    to_stdout = csv == "-" or (table is not None and csv is None and npz is None and not json)
    grid = Grid(axes) if axes and not json and (chart or (csv is None and npz is None)) else None
    if npz is not None and source.total > MOST_LOADINGS:
        raise too_many(source.total, MOST_LOADINGS, str(npz), "use --csv, which streams")
    kept = Kept(source.total, len(source.targets)) if npz is not None else None
    takers: list[Taker] = [summary, *(each for each in (grid, kept) if each is not None)]
    written: list[str] = []

    def checked() -> tuple[int, float]:
        """The tightest loadings planned one by one; nothing is given its name on the disk before they
        agree.
        """
        return agreeing(planned_again(flight, aircraft, plan, source.targets, summary), file)

    if to_stdout or csv is not None:
        written += _csv(
            SweepCsv(model, source), None if to_stdout else Path(str(csv)), resume, takers, checked
        )
    else:
        with Progress("loadings", source.total) as progress:
            run(model, source, takers, progress.at)
    again = checked()
    if npz is not None and kept is not None:
        from planner.views.sweep.sweep_array import write_npz

        write_npz(npz, kept, source.targets, plan)
        written.append(str(npz))
    result = SweepReport(
        plan=plan,
        targets=source.targets,
        axes=axes,
        table=str(table or ""),
        summary=summary,
        grid=grid,
        replanned=again,
        written=tuple(written),
    )
    if to_stdout:
        read.show(console(stderr=True))
        _tell_beside(result)
    elif json:
        print_json(sweep_json(result) | read.json)
    else:
        screen = console()
        read.show(screen)
        render_sweep(result, shown, screen)


def _options_fit(
    vary: list[str] | None, table: Path | None, csv: str | None, npz: Path | None, resume: bool, report: bool
) -> None:
    """Options that need or exclude one another."""
    if not vary and table is None:
        needed = "needed --vary 'front seats=50..220 kg', or --table IN.csv"
        raise refuse_option("--vary", "option-missing", "nothing to vary", needed)
    if vary and table is not None:
        raise both_given("--table", "--vary and --table")
    if resume and (csv is None or csv == "-"):
        raise refuse_option("--resume", "option-missing", "--resume continues a file", "needed --csv OUT")
    if csv == "-" and report:
        message = "rows and a report can not share standard output"
        needed = "needed --csv OUT, or neither --json nor --chart"
        raise refuse_option("--csv", "option-conflict", message, needed)
    if npz is not None:
        if csv is not None:
            raise both_given("--npz", "--csv and --npz")
        must_be_new(npz)


def _steps(text: str) -> list[int]:
    parts = [part.strip() for part in text.split(",")]
    if not all(part.isascii() and part.isdigit() and len(part) < 9 for part in parts):
        needed = "needed a whole number such as 25, or one for each --vary: 20,40"
        raise refuse_option("--steps", "sweep-steps", f"'{text}' is not a number of values", needed)
    return [int(part) for part in parts]


def _table(plan: Plan, path: Path) -> LoadingSource:
    """The table, every cell read and checked before anything is computed."""
    from planner.sweep.sweep_run import TableSource
    from planner.sweep.sweep_table import check_table, open_table

    opened = open_table(plan, path)
    with open(path, "rb") as stream:
        lines = sum(chunk.count(b"\n") for chunk in iter(lambda: stream.read(1 << 20), b""))
    total = 0
    with Progress("checking the table", lines) as progress:
        for total in check_table(plan, opened, _ROWS_CHECKED):
            progress.at(total)
    return TableSource(plan, opened, total)


def _csv(
    table: SweepCsv, path: Path | None, resume: bool, takers: list[Taker], checked: Callable[[], object]
) -> list[str]:
    """Rows to a file, or to standard output where `path` is None; returns the file written."""
    from planner.views.sweep.sweep_csv import write_file, write_stream

    with Progress("loadings", table.source.total) as progress:
        if path is None:
            write_stream(table, sys.stdout, takers, progress.at)
            return []
        done = write_file(table, path, resume, takers, progress.at, checked)
    if done:
        sys.stderr.write(f"{done:,} rows were there already; continued after them.\n")
    return [str(path)]


def _tell_beside(report: SweepReport) -> None:
    """Where the rows themselves are standard output, the result and the cautions go beside them."""
    from planner.views.blocks import Page
    from planner.views.sweep.sweep_text import counts
    from planner.views.words import cautions

    page = Page(console(stderr=True))
    page.paragraph(counts(report), "bold", first="", rest="")
    page.bullets(cautions(report.plan))
