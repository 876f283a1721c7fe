"""`planner keep` and `planner restore` through kills, disks that fail and others at work: nothing is lost,
what was said is what is on the disk, and nothing half done stays after the next run.
"""

from __future__ import annotations

import errno
import os
import random
import signal
import time
import zipfile
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from planner.logbook.keeping import MARK, Restored, keep, restore
from planner.logbook.ledger.entries import Entry, gauge
from planner.logbook.ledger.kept.store import opened
from planner.quantities.errors import InputRefused
from planner.quantities.files import connected
from planner.quantities.units import read_quantity
from planner.records.store import load_aircraft
from tests.cli.forked import Ended, planner
from tests.cli.killing import MANNERS, REFUSED, child, ended, fail_at, kill_at, killed_after
from tests.sizes import examples, stride

resource = pytest.importorskip("resource", reason="needs a system that forks, kills and limits")
T4 = load_aircraft("thornlea-t4").record
LEDGER = "ledgers/t4.sqlite3"
BOTTLES = {"bottles/a.json": b"bottle a" * 400, "bottles/b.json": b"bottle b", "learners/ana.json": b"{}"}
NEWER = {**BOTTLES, "bottles/b.json": b"bottle b, weighed anew"}


def entry(number: int) -> Entry:
    reading = read_quantity(f"{number % 140} L", "volume")
    made = gauge(T4, "2026-06-01T08:00:00Z", "", reading, note=f"no {number}")
    return replace(made, uid=f"{number:08x}", recorded="2026-06-01T08:00:00Z")


def filled(folder: Path, numbers: range, files: dict[str, bytes] = BOTTLES) -> Path:
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    add(folder, *numbers)
    return folder


def add(folder: Path, *numbers: int) -> None:
    with opened(folder / LEDGER, T4.name) as ledger:
        ledger.add([entry(number) for number in numbers])


def notes(folder: Path) -> list[int]:
    with opened(folder / LEDGER, T4.name, create=False) as ledger:
        return [int(each.entry.note.split()[1]) for each in ledger.entries()]


def held(folder: Path) -> dict[str, bytes]:
    """Every file of the folder but the ledger, temporary ones too."""
    paths = [path for path in folder.rglob("*") if path.is_file() and path != folder / LEDGER]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def whole(out: Path, numbers: range, scratch: Path) -> None:
    """The file brings back all there was."""
    place = scratch / f"{time.monotonic_ns()}"
    restore(out, place)
    assert held(place) == BOTTLES
    assert notes(place) == list(numbers)


def breath(folder: Path) -> None:
    """Let time pass for what is half done: the young may still be written (planner/quantities/files.py)."""
    for each in folder.rglob(".*.tmp"):
        os.utime(each, (0, 0))


@pytest.mark.parametrize("manner", MANNERS)
def test_keep_killed_at_every_call(tmp_path: Path, manner: str) -> None:
    data, place = filled(tmp_path / "data", range(30)), tmp_path / "out"
    place.mkdir()
    before, out, code, number = (data / LEDGER).read_bytes(), place / "away.zip", -1, 0
    there = []
    while code:
        number += 1
        out.unlink(missing_ok=True)

        def work(number: int = number) -> None:
            kill_at(number, manner)
            keep(data, out)

        code = ended(child(work))
        assert code in (0, -signal.SIGKILL)
        there.append(out.exists())
        if there[-1]:
            whole(out, range(30), tmp_path / "scratch")
        assert held(data) == BOTTLES
        assert (data / LEDGER).read_bytes() == before
    assert False in there
    assert number > 5
    breath(place)
    with pytest.raises(InputRefused):
        keep(data, out)  # and even a run that is refused leaves nothing half done
    assert [path.name for path in place.iterdir()] == ["away.zip"]


def test_keep_killed_at_random_beside_a_writer(tmp_path: Path) -> None:
    data, rng = filled(tmp_path / "data", range(5)), random.Random(3)
    (tmp_path / "out").mkdir()
    writer = child(lambda: [(add(data, number), time.sleep(0.005)) for number in range(5, 100_000)])
    cut = made = 0
    for number in range(12):
        out, safe = tmp_path / "out" / f"{number}.zip", len(notes(data))
        cut += killed_after(lambda out=out: keep(data, out), rng, 0.05 if number else 0.0)  # type: ignore[misc]
        if out.exists():
            made += 1
            restore(out, tmp_path / f"{number}")
            assert notes(tmp_path / f"{number}") == list(range(len(notes(tmp_path / f"{number}"))))
            assert len(notes(tmp_path / f"{number}")) >= safe
    os.kill(writer, signal.SIGKILL)
    ended(writer)
    assert cut > 0
    assert notes(data) == list(range(len(notes(data))))


def run(data: Path, *words: str, number: int, code: int, lasting: bool) -> Ended:
    before = partial(fail_at, number, code, lasting)
    return planner(*words, env={"PLANNER_DATA": str(data)}, before=before)


@pytest.mark.parametrize("lasting", [False, True])
@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO])
def test_keep_where_every_call_fails_once(tmp_path: Path, code: int, lasting: bool) -> None:
    data, place = filled(tmp_path / "data", range(30)), tmp_path / "out"
    place.mkdir()
    failed = 0
    for number in range(1, 16, stride(2)):
        out = place / f"{number}.zip"
        done = run(data, "keep", str(out), number=number, code=code, lasting=lasting)
        assert done.code in (0, 2), done.err
        said = b"4 files kept" in done.err or f"{out} was written".encode() in done.err
        assert said == out.exists(), done.err  # what was said is what is on the disk
        if said:
            whole(out, range(30), tmp_path / "scratch")
        failed += done.code == 2
        assert held(data) == BOTTLES
        breath(place)
        with pytest.raises(InputRefused):
            keep(data / "none", out)
        out.unlink(missing_ok=True)
        keep(data, out)
        out.unlink()
        assert list(place.iterdir()) == []
    assert failed >= 2


def beside(tmp_path: Path) -> tuple[Path, Path]:
    """What was kept of entries 0 to 19, and a folder that has 10 to 24 and a bottle weighed anew."""
    out = tmp_path / "away.zip"
    keep(filled(tmp_path / "old", range(20)), out)
    return out, tmp_path / "data"


def settled(out: Path, data: Path, files: dict[str, bytes], newest: int) -> None:
    """The next run brings all of it, once, over nothing newer, and leaves nothing half done."""
    breath(data)
    restore(out, data)
    assert held(data) == files
    assert sorted(notes(data)) == list(range(newest))


@pytest.mark.parametrize("full", [True, False])
@pytest.mark.parametrize(("first", "manner"), [(1, "before"), (2, "half"), (3, "after")])
def test_restore_killed_at_every_call(tmp_path: Path, first: int, manner: str, full: bool) -> None:
    """Every call is killed in one manner, in the long run in each."""
    out, data = beside(tmp_path)
    step = stride(3)
    code, number = -1, min(first, step) - step
    while code:
        number += step
        place = data / str(number)
        if full:
            filled(place, range(10, 25), {"bottles/b.json": NEWER["bottles/b.json"]})

        def work(number: int = number, place: Path = place) -> None:
            kill_at(number, manner)
            restore(out, place)

        code = ended(child(work))
        assert code in (0, -signal.SIGKILL)
        lasting = {name: each for name, each in held(place).items() if not name.endswith(".tmp")}
        assert lasting.items() <= (NEWER if full else BOTTLES).items()
        if full:
            assert set(notes(place)) >= set(range(10, 25))
        settled(out, place, NEWER if full else BOTTLES, 25 if full else 20)
    assert number > (6 if full else 20)


@pytest.mark.parametrize("lasting", [False, True])
@pytest.mark.parametrize("full", [True, False])
def test_restore_where_every_call_fails_once(tmp_path: Path, full: bool, lasting: bool) -> None:
    out, data = beside(tmp_path)
    refusals = 0
    for number in range(1, 44, stride(6 if lasting else 4)):
        place = data / str(number)
        if full:
            filled(place, range(10, 25), {"bottles/b.json": NEWER["bottles/b.json"]})
        done = run(place, "restore", str(out), number=number, code=errno.ENOSPC, lasting=lasting)
        assert done.code in (0, 1, 2), done.err
        refusals += done.code == 2
        for name in BOTTLES:  # what was said is what is on the disk
            told = f"{name}: added".encode() in done.err or f"{name} was written".encode() in done.err
            new = name not in ("bottles/b.json",) or not full
            assert told == ((place / name).exists() and new), done.err
        settled(out, place, NEWER if full else BOTTLES, 25 if full else 20)
    assert refusals > 2


@pytest.mark.parametrize("manner", [signal.SIG_DFL, signal.SIG_IGN])
def test_restore_on_a_full_disk(tmp_path: Path, manner: signal.Handlers) -> None:
    # The system refuses to let any file grow beyond the limit, SQLite's too: as a full disk, or a kill there.
    out, data = beside(tmp_path)
    stopped = 0
    for limit in range(0, 26_000, 1311 * stride(3)):
        place = filled(data / str(limit), range(10, 25), {"bottles/b.json": NEWER["bottles/b.json"]})

        def work(limit: int = limit, place: Path = place) -> None:
            signal.signal(signal.SIGXFSZ, manner)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            restore(out, place)

        code = ended(child(work))
        assert code in (0, REFUSED, -signal.SIGXFSZ)
        stopped += code != 0
        assert set(notes(place)) >= set(range(10, 25))
        settled(out, place, NEWER, 25)
    assert stopped > 3


def test_restore_killed_at_random_until_it_is_through(tmp_path: Path) -> None:
    out, data, rng = tmp_path / "away.zip", tmp_path / "data", random.Random(8)
    keep(filled(tmp_path / "old", range(300)), out)
    filled(data, range(200, 320), {"bottles/b.json": NEWER["bottles/b.json"]})
    for _ in range(examples(12)):
        killed_after(lambda: restore(out, data), rng, 0.04)
        assert set(notes(data)) >= set(range(200, 320))
        assert (data / "bottles/b.json").read_bytes() == NEWER["bottles/b.json"]
    settled(out, data, NEWER, 320)


def test_two_restores_and_a_writer_at_once(tmp_path: Path) -> None:
    out, data = beside(tmp_path)
    data.mkdir()
    work = [lambda: restore(out, data)] * 3 + [lambda: [add(data, number) for number in range(20, 40)]]
    codes = [ended(process) for process in [child(each) for each in work]]
    assert codes == [0] * 4
    assert sorted(notes(data)) == list(range(40))
    settled(out, data, BOTTLES, 40)


def test_a_conflict_is_told_before_anything_is_written(tmp_path: Path) -> None:
    out, data = beside(tmp_path)
    with opened(data / LEDGER, T4.name) as ledger:
        ledger.add([replace(entry(3), volume=0.001)])
    with pytest.raises(InputRefused) as refusal:
        restore(out, data)
    assert [finding.code for finding in refusal.value.findings] == ["ledger-conflict"]
    assert (held(data), notes(data)) == ({}, [3])


def test_what_cannot_be_compared_is_told(tmp_path: Path) -> None:
    out, data = beside(tmp_path)
    (data / "bottles" / "a.json").mkdir(parents=True)
    with pytest.raises(InputRefused) as refusal:
        restore(out, data)
    assert [finding.code for finding in refusal.value.findings] == ["file-unreadable"]
    assert held(data) == {}


def test_a_journal_without_its_ledger_harms_nothing(tmp_path: Path) -> None:
    # A writer killed in the middle leaves a journal; the user takes the database away and restores it.
    out, data = beside(tmp_path)
    filled(data, range(100, 160))
    journal = data / f"{LEDGER}-journal"
    with closing(connected(data / LEDGER, 1.0)) as busy:
        busy.execute("PRAGMA cache_size = 1")
        busy.execute("BEGIN IMMEDIATE")
        busy.execute("CREATE TABLE more AS SELECT * FROM entry, (SELECT uid AS other FROM entry)")
        left = journal.read_bytes()
        busy.execute("ROLLBACK")
    assert left
    (data / LEDGER).unlink()
    journal.write_bytes(left)
    restore(out, data)
    assert notes(data) == list(range(20))
    assert not journal.exists()


def test_a_file_that_was_damaged_is_refused_or_whole(tmp_path: Path) -> None:
    out, rng = beside(tmp_path)[0], random.Random(4)
    data = out.read_bytes()
    bad, refusals = tmp_path / "bad.zip", 0
    for number in range(60):
        place = rng.randrange(len(data))
        bad.write_bytes(data[:place] + (bytes([data[place] ^ 1 << rng.randrange(8)]) if number % 3 else b""))
        if number % 3:
            bad.write_bytes(bad.read_bytes() + data[place + 1 :])
        try:
            found = restore(bad, tmp_path / str(number))
        except InputRefused:
            refusals += 1
            assert not (tmp_path / str(number)).exists()
        else:
            assert {each.outcome for each in found} == {"added"}
            assert set(held(tmp_path / str(number)).values()) == set(BOTTLES.values())
    assert refusals > 40


def test_what_asks_for_a_log_beside_it_is_read_as_well(tmp_path: Path) -> None:
    data = filled(tmp_path / "data", range(4))
    with closing(connected(data / LEDGER, 1.0)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
    add(data, 4)
    keep(data, tmp_path / "away.zip")
    other = filled(tmp_path / "other", range(2, 6))
    assert Restored(LEDGER, "merged", 2) in restore(tmp_path / "away.zip", other)
    assert sorted(notes(other)) == list(range(6))


def test_a_name_with_the_mark_of_a_folder_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bad.zip"
    with zipfile.ZipFile(path, "w") as packed:
        packed.comment = MARK.encode()
        packed.writestr("ledgers/", "")
    with pytest.raises(InputRefused):
        restore(path, tmp_path / "data")
    assert not (tmp_path / "data").exists()
