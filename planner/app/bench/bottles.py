"""`planner density bottles`: the kept calibrations of the bottles."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import INSIDE, NOT_INSIDE, Json, console, print_json, refuse_option

if TYPE_CHECKING:
    from planner.density.bench.steps.calibration import CalibrationsFound, VolumeShift
    from planner.density.bench.steps.results import BottleBench
    from planner.records.document import Document


def calibration(bench: BottleBench, document: Document, keep: bool) -> tuple[VolumeShift | None, str]:
    """The change since the bottle's last calibration, and what was kept in words."""
    from planner.density.bench import calibrations
    from planner.density.bench.steps.calibration import change_since_last

    new = calibrations.from_bench(bench, document)
    if new is None:
        return None, ""
    change = change_since_last(new, calibrations.kept())
    if not keep:
        return change, ""
    if any(finding.code == "bench-heavier-than-water" for finding in bench.findings):
        return change, "The volume is not kept: the two fillings may be swapped."
    acknowledged = bench.acknowledged
    path, written = calibrations.keep(new, acknowledged)
    if gone := next(
        (each.void for each in calibrations.kept().of(new.bottle) if each.digest == new.digest), ""
    ):
        return change, f"This sheet's calibration, in {path}, is void since {gone}."
    return change, (
        f"The volume of bottle {new.bottle} is kept in {path}."
        if written
        else f"This sheet's calibration was kept already, in {path}."
    )


def _write_chart(name: str, kept: CalibrationsFound, out: Path | None) -> None:
    from planner.quantities.errors import closest
    from planner.quantities.files import write_new
    from planner.views.bench.bench_text import chart_svg

    if out is None:
        raise refuse_option(
            "--out", "option-missing", "no file is named for the chart", "needed --out chart.svg"
        )
    drawing = chart_svg(name, kept)
    if not drawing:
        hint = closest(name, {each.bottle for each in kept.calibrations})
        raise refuse_option(
            "--chart",
            "calibration-chart",
            f"'{name}' has fewer than two calibrations in use",
            "needed a bottle with two",
            hint,
        )
    write_new(out, drawing.encode())
    console(stderr=True).print(f"{out} written", soft_wrap=True)


def bottles(
    void: Annotated[
        str | None,
        typer.Option(
            "--void", help="Take the calibration of this number out of use. It stays listed, marked."
        ),
    ] = None,
    why: Annotated[str, typer.Option("--why", help="For --void: the reason, kept with it.")] = "",
    chart: Annotated[
        str | None, typer.Option("--chart", help="Write the control chart of this bottle as OUT.svg instead.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="For --chart: the file to write; it must not exist.")
    ] = None,
    json: Json = False,
) -> None:
    """List the kept calibrations: every bottle with its volumes by date and their spread. Exit code 1 where
    the last one moved by more than U.

    Example: planner density bottles
    """
    from datetime import date

    from planner.density.bench import calibrations
    from planner.views.bench.bench_text import bottles_json, render_bottles

    if void is not None:
        gone = calibrations.void(calibrations.kept(), void, why, date.today())
        console(stderr=True).print(
            f"calibration {gone.digest[:8]} of bottle {gone.bottle} is void since {gone.void}", soft_wrap=True
        )
    found, where = calibrations.kept(), str(calibrations.folder())
    if chart is not None:
        return _write_chart(chart, found, out)
    print_json(bottles_json(found, where)) if json else render_bottles(found, where, console())
    raise typer.Exit(NOT_INSIDE if any(found.moved(each.bottle) for each in found.calibrations) else INSIDE)
