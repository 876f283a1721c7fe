"""`planner density bottles`: the kept calibrations of the bottles."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from planner.app.common import Json, console, ended, note, print_json, refuse_option
from planner.app.given.options import helped

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
    path, written = calibrations.keep(new, bench.acknowledged)
    same = (each.void for each in calibrations.kept().of(new.bottle) if each.digest == new.digest)
    if gone := next(same, ""):
        return change, f"This sheet's calibration, in {path}, is void since {gone}."
    if written:
        return change, f"The volume of bottle {new.bottle} is kept in {path}."
    return change, f"This sheet's calibration was kept already, in {path}."


def _write_chart(name: str, kept: CalibrationsFound, out: Path | None) -> None:
    from planner.quantities.errors import closest
    from planner.quantities.files import write_new
    from planner.views.bench.bench_text import chart_svg

    if out is None:
        message = "no file is named for the chart"
        raise refuse_option("--out", "option-missing", message, "needed --out chart.svg")
    drawing = chart_svg(name, kept)
    if not drawing:
        hint = closest(name, {each.bottle for each in kept.calibrations})
        message = f"'{name}' has fewer than two calibrations in use"
        raise refuse_option("--chart", "calibration-chart", message, "needed a bottle with two", hint)
    write_new(out, drawing.encode())
    note(f"{out} written")


@helped(
    void="Take the calibration of this number out of use. It stays listed, marked.",
    why="For --void: the reason, kept with it.",
    chart="Write the control chart of this bottle as OUT.svg instead.",
    out="For --chart: the file to write; it must not exist.",
)
def bottles(
    void: str | None = None,
    why: str = "",
    chart: str | None = None,
    out: Path | None = None,
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
        note(f"calibration {gone.digest[:8]} of bottle {gone.bottle} is void since {gone.void}")
    found, where = calibrations.kept(), str(calibrations.folder())
    if chart is not None:
        return _write_chart(chart, found, out)
    print_json(bottles_json(found, where)) if json else render_bottles(found, where, console())
    raise ended(not any(found.moved(each.bottle) for each in found.calibrations))
