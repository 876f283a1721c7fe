"""The answers of a sweep as CSV, streamed, and continued where an earlier run was stopped.

While a sweep runs its rows stand in `OUT.partial`; the name OUT appears only once every row is on the disk. A
run that was killed leaves complete rows and at most one torn line, which is dropped when it is resumed.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import repeat
from pathlib import Path
from typing import BinaryIO, Final, TextIO, TypeAlias

import numpy as np

from planner.flight.envelope import ORDER
from planner.quantities.errors import InputRefused, spreadsheet_text, visible
from planner.quantities.files import refused, taken, unwritable
from planner.sweep.block import GROUP_DIMENSION, GROUPS, BlockResult, Sweeper, SweepModel
from planner.sweep.sweep_run import AGREED, LoadingSource, Taker
from planner.sweep.sweep_table import TableBlock

_Units: TypeAlias = Mapping[str, tuple[str, float]]
# The unit of each group's margin and what one of it is in SI.
UNIT: Final[_Units] = {"mass": ("kg", 1.0), "length": ("mm", 1e-3), "volume": ("L", 1e-3)}
_STATES: Final = (
    ("take-off mass [kg]", "masses", 1),
    ("take-off CG [m]", "cgs", 1),
    ("landing CG [m]", "cgs", 2),
    ("zero-fuel CG [m]", "cgs", 3),
)


def groups_used(model: SweepModel) -> list[int]:
    """Places in GROUPS of the groups that this flight has limits of."""
    left_out = {"lateral"} if model.flight.lateral is None else set()
    of_fuel = {limit.dimension for limit in model.fuel_limits}
    if not model.load_limits and "mass" not in of_fuel:
        left_out.add("load")
    if not any(leg.tanks for leg in model.legs) and "volume" not in of_fuel:
        left_out.add("tank")
    return [at for at, group in enumerate(GROUPS) if group not in left_out]


def told_columns(
    states: Iterable[tuple[str, str, int]], groups: Iterable[int], units: _Units
) -> list[tuple[str, str, int, float]]:
    """Figures told of every loading: head, the answers' array and the place in it, and what one of it is in
    SI; those of `states` (head, array, place), then margin and U of `groups` in `units`.
    """
    found = [(*state, 1.0) for state in states]
    for at in groups:
        group, (unit, scale) = GROUPS[at], units[GROUP_DIMENSION[GROUPS[at]]]
        found.append((f"{group} margin [{unit}]", "margins", at, scale))
        if group != "tank":
            found.append((f"{group} U [{unit}]", "uncertainties", at, scale))
    return found


def too_many(total: int, most: int, option: str, hint: str) -> InputRefused:
    """The refusal of more loadings than memory shall hold."""
    message = f"{total:,} loadings as arrays in memory"
    return refused(option, "sweep-too-large", message, f"needed not more than {most:,}", hint)


def agreeing(again: tuple[int, float], file: str) -> tuple[int, float]:
    """What `planned_again` found. Raises InputRefused where a loading planned on its own has another
    margin.
    """
    if again[1] > AGREED:
        message = f"a margin differs by {again[1]:.2g} from the plan of that loading"
        needed, hint = "use 'planner flight' for it", "report this as a fault of the program"
        raise refused(file, "sweep-disagrees", message, needed, hint)
    return again


class SweepCsv:
    """Rows as text. `source` gives the loadings; the columns after them do not depend on the units shown."""

    def __init__(self, model: SweepModel, source: LoadingSource) -> None:
        self.model, self.source = model, source
        self.columns = told_columns(_STATES, groups_used(model), UNIT)
        told = ["verdict", "decided by", "fuel aboard [L]", *(name for name, *_ in self.columns)]
        self.header = [*source.header, *told]

    def text(self, given: Sequence[Sequence[str]], answers: Iterable[list[str]] = repeat([])) -> str:
        """Rows as CSV lines: what was given, made harmless, then the program's own words and figures."""
        buffer = io.StringIO()
        rows = (
            [*(spreadsheet_text(visible(cell.strip())) for cell in cells), *own]
            for cells, own in zip(given, answers, strict=False)
        )
        csv.writer(buffer, lineterminator="\n").writerows(rows)
        return buffer.getvalue()

    def lines(self, block: TableBlock, result: BlockResult) -> str:
        """A judged block as CSV lines; a limit that does not apply is left blank."""
        columns = [getattr(result, kind)[at] / scale for _, kind, at, scale in self.columns]
        figures = np.stack([result.fuel * 1e3, *columns], axis=1).tolist()
        bits = (result.verdicts == result.verdict) & (result.verdict > 0)
        # Seven groups make few combinations: their words are made once per combination, not once per row.
        codes = (bits * (1 << np.arange(len(GROUPS)))[:, None]).sum(axis=0)
        words = {
            code: " and ".join(group for at, group in enumerate(GROUPS) if code >> at & 1)
            for code in set(codes.tolist())
        }
        answers = (
            [ORDER[verdict], words[code], *["" if each == np.inf else f"{each:.9g}" for each in row]]
            for verdict, code, row in zip(result.verdict.tolist(), codes.tolist(), figures, strict=True)
        )
        return self.text(block.cells, answers)


def write_stream(table: SweepCsv, stream: TextIO, takers: list[Taker], report: Callable[[int], None]) -> None:
    """Every row to an open stream."""
    stream.write(table.text([table.header]))
    for text, _ in _judged(table, 0, takers, report):
        stream.write(text)


def _judged(
    table: SweepCsv, skip: int, takers: list[Taker], report: Callable[[int], None]
) -> Iterator[tuple[str, int]]:
    """(CSV lines, rows done) of every block; rows before `skip` are for the takers and give no lines."""
    sweeper = Sweeper(table.model)
    for block in table.source.blocks(sweeper.rows, 0 if takers else skip, with_cells=True):
        result = sweeper.judge(block.loads)
        for taker in takers:
            taker.add(block.first, block.loads, result)
        text = table.lines(block, result)
        done = block.first + len(block.loads)
        if block.first < skip:
            text = "".join(f"{line}\n" for line in text.split("\n")[skip - block.first : -1])
        report(done)
        yield text, done


def _not_this(partial: Path, message: str) -> InputRefused:
    needed = "needed the rows of this very sweep"
    return refused(partial, "sweep-resume", message, needed, "delete it to begin again")


def partial_of(path: Path) -> Path:
    """Where the rows of an unfinished sweep stand."""
    return path.with_name(path.name + ".partial")


def write_file(
    table: SweepCsv,
    path: Path,
    resume: bool,
    takers: list[Taker],
    report: Callable[[int], None],
    checked: Callable[[], object] = lambda: None,
) -> int:
    """Write every row to `path`, which must not exist; with `resume` continue its `.partial`. Returns the
    rows that were there already.

    `checked` raises where the rows are found wrong once all are there: they then get no name, and what was
    written is deleted. Raises InputRefused: file-exists, file-unwritable, sweep-unfinished, sweep-resume, and
    what `checked` raises.
    """
    partial = partial_of(path)
    if path.exists():
        raise taken(path)
    if partial.exists() and not resume:
        message = f"{partial.name} holds the rows of a sweep that was stopped"
        needed = "needed --resume to continue it"
        raise refused(path, "sweep-unfinished", message, needed, "or delete that file")
    try:
        with open(partial, "r+b" if partial.exists() else "x+b") as stream:
            done = _resume_point(table, partial, stream) if resume else 0
            if stream.tell() == 0:
                stream.write(table.text([table.header]).encode())
            for text, _ in _judged(table, done, takers, report):
                stream.write(text.encode())
                stream.flush()
            os.fsync(stream.fileno())
        try:
            checked()
        except InputRefused:
            partial.unlink()
            raise
        _publish(partial, path)
    except OSError as error:
        raise unwritable(path, error) from None
    return done


def _publish(partial: Path, path: Path) -> None:
    """Give the finished rows their name; it fails where the name was taken meanwhile."""
    appeared = taken(path, f"it appeared meanwhile; the rows are in {partial.name}")
    try:
        os.link(partial, path)
    except FileExistsError:
        raise appeared from None
    except OSError:  # a disk without hard links
        if path.exists():
            raise appeared from None
        os.rename(partial, path)
        return
    with suppress(OSError):
        partial.unlink()


def _resume_point(table: SweepCsv, partial: Path, stream: BinaryIO) -> int:
    """Complete rows of this very sweep in `stream`; what follows is cut off, the stream left at its end."""
    size = stream.seek(0, os.SEEK_END)
    stream.seek(0)
    header = stream.readline()
    if not header.endswith(b"\n"):
        stream.truncate(0)
        stream.seek(0)
        return 0
    if header != table.text([table.header]).encode():
        raise _not_this(partial, "the header is another one")
    sweeper = Sweeper(table.model)
    done, end = 0, stream.tell()
    for block in table.source.blocks(sweeper.rows, with_cells=True):
        old = [line for line in (stream.readline() for _ in block.cells) if line.endswith(b"\n")]
        if not old:
            break
        # Every loading is compared; answers are made again for the rows next to the end and for the first.
        wanted = [table.text([cells]).rstrip("\n").encode() for cells in block.cells]
        for at, line in enumerate(old):
            if not line.startswith(wanted[at] + b","):
                raise _not_this(partial, f"row {done + at + 1} is another loading")
        if done == 0 or len(old) < len(block.cells) or end + sum(map(len, old)) == size:
            answers = table.lines(block, sweeper.judge(block.loads)).encode().splitlines(keepends=True)
            if answers[: len(old)] != old:
                raise _not_this(partial, "the answers differ: flight, profile or program changed since")
        done += len(old)
        end += sum(map(len, old))
        if len(old) < len(block.cells):
            break
    if done == table.source.total and end < size:
        raise _not_this(partial, "more rows than the sweep has")
    stream.truncate(end)
    stream.seek(end)
    return done
