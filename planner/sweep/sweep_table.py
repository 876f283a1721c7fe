"""A table of loadings as CSV: its header named, every cell checked, its rows in blocks."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan.results import Plan
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.files import refused
from planner.quantities.frozen import frozen
from planner.sweep.sweep_ranges import room_for
from planner.sweep.targets import Target, conflicts, find_target

LABEL: Final = "label"
MOST_FINDINGS: Final = 50
_HEADED: Final = "needed a header such as 'front seats [kg]'"
_HEADER: Final = re.compile(r"([^\[\];]+?)\s*\[\s*([^\[\];]+?)\s*\]")
# Plain decimal digits: float() alone would also take 'nan', 'inf', '1_0' and digits of other scripts.
_NUMBER: Final = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


@frozen
class LoadingTable:
    """A table whose header is understood: its `path`, header cells, targets with the column each stands in
    (from 0).
    """

    path: Path
    header: tuple[str, ...]
    targets: tuple[Target, ...]
    places: tuple[int, ...]


@frozen
class TableBlock:
    """Rows of a table: `first` row (from 0), the cells as written, and the loads in the sweep's kg and m3,
    shape (n, k).
    """

    first: int
    cells: list[list[str]]
    loads: NDArray[np.float64]


def _rows(path: Path) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) of every row that is not blank. Raises InputRefused for a file that is not CSV text."""
    line = 1
    try:
        with open(path, encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader(stream, strict=True)
            for row in reader:
                line = reader.line_num
                if row and any(cell.strip() for cell in row):
                    yield line, row
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise refused(path, "file-unreadable", message, "needed a CSV file") from None
    except UnicodeDecodeError:
        needed = "save it as plain CSV, UTF-8"
        raise refused(path, "file-not-utf8", "not UTF-8 text", needed, line=line) from None
    except csv.Error as error:
        message = f"after line {line}: not readable as CSV ({error})"
        needed = "needed commas between cells, and every quote closed"
        raise refused(path, "table-unreadable", message, needed, line=line) from None


def open_table(plan: Plan, path: Path) -> LoadingTable:
    """Read the header. Raises InputRefused: table-header, sweep-unknown, sweep-twice, sweep-seats and what a
    unit refuses.
    """
    first = next(_rows(path), None)
    if first is None:
        needed = "needed a first line such as 'front seats [kg],fuel [L]'"
        raise refused(path, "table-empty", "no header", needed)
    line, header = first
    wrong: list[Finding] = []
    targets: list[Target] = []
    places: list[int] = []
    for place, cell in enumerate(header):
        if cell.strip() == LABEL:
            continue
        match = _HEADER.fullmatch(cell.strip())
        try:
            if match is None:
                hint = (
                    "separate cells with commas"
                    if len(header) == 1 and ";" in cell
                    else f"a column of names may be called '{LABEL}'"
                )
                raise refused(path, "table-header", f"'{cell.strip()}' is not 'NAME [UNIT]'", _HEADED, hint)
            targets.append(find_target(plan.flight, plan.aircraft, match[1], match[2]))
            places.append(place)
        except InputRefused as error:
            where = f"header, column {place + 1}"
            wrong += [finding.at(str(path), line, place + 1, where) for finding in error.findings]
    whole = [
        Finding("sweep-twice", f"'{name}' is set by another column too", "needed each quantity once")
        for name in conflicts(targets)
    ]
    if not targets and not wrong:
        whole.append(Finding("table-header", "no column to sweep", _HEADED))
    wrong += [finding.at(str(path), line, 1, "header") for finding in whole]
    if wrong:
        raise InputRefused(wrong)
    return LoadingTable(path, tuple(header), tuple(targets), tuple(places))


def _bad_cell(text: str, target: Target, room: float) -> Iterator[Finding]:
    # Spaces only: Python would also strip what no reader takes for one.
    stripped, needed = text.strip(" \t\u00a0"), f"needed a number in {target.unit.name}"
    if not stripped:
        yield Finding("table-cell", "nothing is given", needed, "write 0 where there is nothing")
    elif not _NUMBER.fullmatch(stripped):
        hint = (
            "a decimal point, not a comma"
            if "," in stripped
            else "the unit stands in the header"
            if re.match(r"[\d.]+\s*[A-Za-z]", stripped)
            else ""
        )
        yield Finding("table-cell", f"'{stripped}' is not a number", needed, hint)
    elif not math.isfinite(value := float(stripped)) or value < 0:
        message = f"'{stripped}' is {'negative' if value < 0 else 'too large'}"
        yield Finding("table-cell", message, "needed zero or more")
    elif value > room * (1 + 1e-9):
        message = f"'{stripped}' does not fit: {target.name} holds {room:.6g} {target.unit.name} usable"
        yield Finding("table-cell", message, "needed not more than that")
    elif target.station and value * target.unit.factor > 1e6:
        message, hint = f"'{stripped}' {target.unit.name} is no load", "check the unit in the header"
        yield Finding("table-cell", message, "needed a mass below 1000 t", hint)


def blocks(plan: Plan, table: LoadingTable, rows: int, skip: int = 0) -> Iterator[TableBlock]:
    """The rows from `skip` [1] on, `rows` at a time.

    Raises InputRefused at the first block with bad cells (table-cell, table-row); rows before `skip` are
    checked too.
    """
    rooms = [room_for(plan, target) for target in table.targets]
    factors = np.array([target.factor(plan.density.density) for target in table.targets])
    labels = [place for place in range(len(table.header)) if place not in table.places]
    cells: list[list[str]] = []
    loads: list[list[float]] = []
    wrong: list[Finding] = []
    number = -1
    lines = _rows(table.path)
    next(lines, None)
    for number, (line, row) in enumerate(lines):
        if len(row) != len(table.header):
            needed = f"needed {len(table.header)}, as in the header"
            finding = Finding("table-row", f"{len(row)} cells", needed)
            at = min(len(row), len(table.header)) + 1
            wrong.append(finding.at(str(table.path), line, at, f"row {number + 1}"))
        else:
            lined = Finding("table-cell", "a name with a line break", "needed one line")
            found = [(place, lined) for place in labels if re.search(r"[\r\n]", row[place])]
            for place, target, room in zip(table.places, table.targets, rooms, strict=True):
                found += [(place, bad) for bad in _bad_cell(row[place], target, room)]
            for place, finding in found:
                where = f"row {number + 1}, column {place + 1} ({table.header[place].strip()})"
                wrong.append(finding.at(str(table.path), line, place + 1, where))
        if number >= skip and not wrong:
            cells.append(row)
            loads.append([float(row[place]) for place in table.places])
        if len(wrong) >= MOST_FINDINGS:
            break
        if len(cells) == rows:
            yield TableBlock(number + 1 - rows, cells, np.array(loads) * factors)
            cells, loads = [], []
    if wrong:
        raise InputRefused(wrong)
    if cells:
        yield TableBlock(number + 1 - len(cells), cells, np.array(loads) * factors)


def check_table(plan: Plan, table: LoadingTable, rows: int) -> Iterator[int]:
    """Read every cell once before anything is computed: yields the rows read so far [1], ends with their
    number.

    Raises InputRefused with the findings of the whole table (not more than the first 50), or table-empty
    where no row stands below the header.
    """
    count = 0
    for block in blocks(plan, table, rows):
        count = block.first + len(block.cells)
        yield count
    if not count:
        raise refused(table.path, "table-empty", "no row below the header", "needed a row of figures")
