"""The other places where the planner says the same: a row of a sweep and the printed sheet."""

from __future__ import annotations

import csv
import io
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from planner.app.app import app
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.views.blocks import Panel, Sheet, Table, found
from planner.views.html import row_kind
from planner.views.sheet.sheet import sheet_of
from tests.oracle.compare import Difference, _u_fits, _verdict_open
from tests.oracle.engine import RANK, Answer, Check

PRINTED = 2e-8  # share of a figure: the table of a sweep prints nine digits
_GROUPS = {
    "load": ("kg", 1.0),
    "mass": ("kg", 1.0),
    "forward": ("mm", 1e3),
    "aft": ("mm", 1e3),
    "lateral": ("mm", 1e3),
}


def surfaces_of(flight: Loaded[Flight], plan: Plan, data: dict[str, Any], answer: Answer) -> list[Difference]:
    """What sweep and sheet say differently."""
    return [*_sweep(flight, answer), *_sheet(sheet_of(plan, Display()), data)]


def _group(check: Check) -> str:
    if check.where == "load":
        return "load"
    if "mass" in check.name:
        return "mass"
    return check.name.split(" ")[0].rstrip(",")


def _column(flight: Flight) -> tuple[str, float] | None:
    """A station with one exact figure: typing it in again changes nothing."""
    for name, masses in flight.load.items():
        if len(masses) == 1 and not masses[0].u and type(masses[0]).__name__ == "Quantity":
            return f"{name} [kg]", masses[0].value
    return None


def _sweep(flight: Loaded[Flight], answer: Answer) -> Iterator[Difference]:
    column = _column(flight.record)
    if column is None:
        return
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "one.csv"
        table.write_text(f"{column[0]}\n{column[1]!r}\n", encoding="utf-8")
        result = CliRunner().invoke(app, ["sweep", flight.document.path, "--table", str(table), "--csv", "-"])
    if isinstance(result.exception, InputRefused):
        finding = result.exception.findings[0]
        yield Difference(f"sweep refused: {finding.code}", "sweep", finding.message, "a row")
        return
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        yield Difference("sweep failed", "sweep", repr(result.exception), "a row")
        return
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    if not rows:
        yield Difference("sweep without a row", "sweep", result.output[-200:], "a row")
        return
    yield from _row(rows[0], answer)


def _row(row: dict[str, Any], answer: Answer) -> Iterator[Difference]:
    for group, (unit, factor) in _GROUPS.items():
        checks = [
            check
            for check in answer.checks.values()
            if _group(check) == group and not (group == "load" and check.value == 0)
        ]
        cell = row.get(f"{group} margin [{unit}]", "")
        if not checks or not cell:
            continue
        least = min(checks, key=lambda check: check.margin)
        margin, error = float(cell) / factor, max(check.step_error for check in checks)
        if abs(margin - least.margin) > PRINTED * max(1.0, abs(least.limit), abs(least.margin)) + error:
            yield Difference(
                f"sweep margin {group}",
                f"{least.where}, {least.name}",
                margin,
                least.margin,
                margin > least.margin,
            )
            continue
        level = [check for check in checks if check.margin - least.margin <= error + 1e-9]
        u = float(row[f"{group} U [{unit}]"] or 0.0) / factor
        if not any(_u_fits(u, check, 0.03)[0] for check in level):
            small = all(_u_fits(u, check, 0.03)[1] for check in level)
            yield Difference(f"sweep U {group}", f"{least.where}, {least.name}", u, least.u, small)
    shaky = [
        check
        for check in answer.checks.values()
        if _verdict_open(check, 0.03) or check.worst_on_the_way not in ("", check.verdict)
    ]
    if row["verdict"] != answer.verdict and not shaky:
        yield Difference(
            "sweep verdict",
            "sweep",
            row["verdict"],
            answer.verdict,
            RANK[row["verdict"]] < RANK[answer.verdict],
        )


def _printed(text: str) -> tuple[float, float]:
    """A printed figure and half of its last digit."""
    figure = text.split(" ")[0].replace("−", "-").replace(",", "").lstrip("+")
    decimals = len(figure.partition(".")[2])
    return float(figure), 0.5 * 10.0**-decimals * (1 + 1e-9)


def _sheet(sheet: Sheet, data: dict[str, Any]) -> Iterator[Difference]:
    # The loud words at the head: "NOT SHOWN INSIDE: no limit is passed, ...".
    loud = re.match("[A-Z ]*[A-Z]", found(sheet.blocks, Panel, "verdict").texts[0])
    if loud is None or loud[0] != data["verdict"].upper():
        yield Difference("sheet verdict", "sheet", str(loud and loud[0]), data["verdict"])
    for row, state in zip(found(sheet.blocks, Table, "states").rows, data["states"], strict=True):
        for cell, figure, what in ((1, state["mass_kg"], "mass"), (2, state["cg_m"], "CG")):
            value, half = _printed(row.cells[cell])
            if abs(value - figure) > half:
                yield Difference(f"sheet {what}", state["name"], value, figure)
        wrong = any(limit["verdict"] != "inside" for limit in state["limits"])
        if (row_kind(row) == "alarm") != wrong:
            yield Difference("sheet alarm", state["name"], row_kind(row), wrong)
    figures = {row.cells[0]: row.cells[1] for row in found(sheet.blocks, Table, "required").rows}
    for head, figure in (
        ("required", data["fuel"]["required_l"]),
        ("aboard, usable", data["fuel"]["aboard_l"]),
    ):
        value, half = _printed(figures[head])
        if abs(value - figure) > half:
            yield Difference("sheet fuel", head, value, figure)
