"""A ledger through power cuts, a full disk, two writers at once, and files that are not a ledger: nothing is
ever lost.

Processes are forked and killed with SIGKILL, which no program can catch.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from itertools import count
from pathlib import Path
from typing import Any, ClassVar

import pytest

from planner.logbook.ledger.entries import Entry, gauge
from planner.logbook.ledger.kept.store import APPLICATION_ID, VERSION, opened
from planner.quantities import files
from planner.quantities.errors import InputRefused
from planner.quantities.units import read_quantity
from planner.records.store import load_aircraft

resource = pytest.importorskip("resource", reason="needs a system that forks, kills and limits")
CRAFT = load_aircraft("thornlea-t4").record


def entry(number: int) -> Entry:
    return gauge(
        CRAFT, "2026-06-01T08:00:00Z", "", read_quantity(f"{number % 140} L", "volume"), note=f"no {number}"
    )


def notes(path: Path) -> list[str]:
    with opened(path, CRAFT.name) as ledger:
        return [each.entry.note for each in ledger.entries()]


def codes(path: Path, aircraft: str = CRAFT.name, create: bool = True) -> list[str]:
    with pytest.raises(InputRefused) as refused, opened(path, aircraft, create):
        pass
    return [finding.code for finding in refused.value.findings]


def child(work: Callable[[], object]) -> int:
    process = os.fork()
    if process == 0:
        code = 3
        try:
            work()
            code = 0
        except InputRefused as refused:
            code = 40 + ["ledger-busy", "ledger-not-written", "ledger-damaged"].index(
                refused.findings[0].code
            )
        finally:
            os._exit(code)
    return process


def ended(process: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def add_one(path: Path, number: int) -> None:
    with opened(path, CRAFT.name) as ledger:
        ledger.add([entry(number)])


def test_killed_while_writing(tmp_path: Path) -> None:
    # The child tells each entry it has been told is safe; after the kill every one of them must be there, and
    # no half entry.
    path, rng = tmp_path / "log.sqlite3", random.Random(5)
    safe: list[str] = []
    number = cut_short = 0
    for _ in range(25):
        reading, writing = os.pipe()
        first = number

        def work(first: int = first, writing: int = writing) -> None:
            for step in count(first):  # however quick the machine, it is at work
                add_one(path, step)
                os.write(writing, f"{step}\n".encode())

        process = child(work)
        os.close(writing)
        with os.fdopen(reading) as told:
            done = [int(told.readline())]  # it is at work now, however slow the machine
            time.sleep(rng.uniform(0, 0.03))
            os.kill(process, signal.SIGKILL)
            cut_short += ended(process) == -signal.SIGKILL
            done += [int(line) for line in told.read().split()]
        safe += [f"no {step}" for step in done]
        kept = notes(path)
        assert set(safe) <= set(kept), "an entry that was reported safe is gone"
        extra = [each for each in kept if each not in safe]
        assert len(extra) <= 1  # written, but killed before it could say so
        safe += extra
        number = done[-1] + 2
    assert cut_short == 25
    assert len(safe) >= 25
    assert len(notes(path)) == len(set(notes(path)))


def test_killed_at_any_byte_that_reaches_the_disk(tmp_path: Path) -> None:
    # The system kills the process in the middle of SQLite's own writing, once a file grows beyond the limit:
    # journal or database.
    path = tmp_path / "log.sqlite3"
    add_one(path, 0)
    start = path.read_bytes()
    killed = 0
    for limit in range(0, 14_000, 611):
        path.write_bytes(start)
        (tmp_path / "log.sqlite3-journal").unlink(missing_ok=True)
        reading, writing = os.pipe()

        def work(limit: int = limit, writing: int = writing) -> None:
            signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            for number in range(1, 60):
                add_one(path, number)
                os.write(writing, f"{number}\n".encode())

        process = child(work)
        os.close(writing)
        killed += ended(process) == -signal.SIGXFSZ
        with os.fdopen(reading) as told:
            safe = [int(line) for line in told.read().split()]
        kept = notes(path)  # a journal left behind is rolled back by whoever opens the ledger next
        assert kept[0] == "no 0"
        assert kept[: 1 + len(safe)] == ["no 0", *(f"no {number}" for number in safe)]
        assert len(kept) <= 2 + len(safe)
        add_one(path, 99)
        assert notes(path) == [*kept, "no 99"]
    assert killed > 15


def test_killed_while_the_file_is_made(tmp_path: Path) -> None:
    rng = random.Random(6)
    for number in range(20):
        path = tmp_path / f"{number}.sqlite3"
        process = child(lambda path=path, number=number: add_one(path, number))  # type: ignore[misc]
        time.sleep(rng.uniform(0, 0.012))
        os.kill(process, signal.SIGKILL)
        ended(process)
        assert notes(path) in ([], [f"no {number}"])
        add_one(path, 99)
        assert notes(path)[-1] == "no 99"


def test_many_writers_at_once(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"

    def work(writer: int) -> None:
        for step in range(15):
            add_one(path, 100 * writer + step)

    processes = [child(lambda writer=writer: work(writer)) for writer in range(4)]  # type: ignore[misc]
    assert [ended(process) for process in processes] == [0] * 4
    kept = notes(path)
    assert sorted(kept) == sorted(f"no {100 * writer + step}" for writer in range(4) for step in range(15))
    for writer in range(4):
        own = [each for each in kept if each in {f"no {100 * writer + step}" for step in range(15)}]
        assert own == [f"no {100 * writer + step}" for step in range(15)]


def test_a_held_lock_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "log.sqlite3"
    add_one(path, 1)
    monkeypatch.setattr("planner.logbook.ledger.kept.store.WAIT", 0.2)
    holder = sqlite3.connect(path, isolation_level=None)
    try:
        holder.execute("BEGIN EXCLUSIVE")
        with pytest.raises(InputRefused) as refused:
            add_one(path, 2)
        assert [finding.code for finding in refused.value.findings] == ["ledger-busy"]
    finally:
        holder.execute("ROLLBACK")
        holder.close()
    assert notes(path) == ["no 1"]


@pytest.mark.parametrize("room", [0, 4096, 9000])
def test_a_full_disk(tmp_path: Path, room: int) -> None:
    # The system refuses to let any file of the child grow beyond the limit, as a full disk would.
    path = tmp_path / "log.sqlite3"
    for number in range(3):
        add_one(path, number)
    before = notes(path)
    size = path.stat().st_size

    def work() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size + room, size + room))
        for number in range(100, 400):
            add_one(path, number)

    assert ended(child(work)) == 41  # ledger-not-written, told and not a traceback
    after = notes(path)
    assert after[: len(before)] == before
    assert after[len(before) :] == [f"no {number}" for number in range(100, 100 + len(after) - len(before))]
    add_one(path, 999)  # with room again it goes on
    assert notes(path) == [*after, "no 999"]


def test_a_full_database(tmp_path: Path) -> None:
    # SQLite's own limit, reached in the middle of a batch: all of it or none.
    path = tmp_path / "log.sqlite3"
    add_one(path, 1)
    with opened(path, CRAFT.name) as ledger:
        pages = ledger._connection.execute("PRAGMA page_count").fetchone()[0]
        ledger._connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(InputRefused) as refused:
            ledger.add([entry(number) for number in range(500)])
        assert [finding.code for finding in refused.value.findings] == ["ledger-not-written"]
        assert "full" in str(refused.value)
        assert [each.entry.note for each in ledger.entries()] == ["no 1"]


def test_files_that_are_no_ledger_are_left_alone(tmp_path: Path) -> None:
    text = tmp_path / "notes.txt"
    text.write_text("shopping list", encoding="utf-8")
    assert codes(text) == ["ledger-foreign"]
    assert text.read_text(encoding="utf-8") == "shopping list"
    other = tmp_path / "other.sqlite3"
    with sqlite3.connect(other) as connection:
        connection.execute("CREATE TABLE music (title TEXT)")
        connection.execute("INSERT INTO music VALUES ('a')")
    connection.close()
    before = other.read_bytes()
    assert codes(other) == ["ledger-foreign"]
    assert other.read_bytes() == before
    broken = tmp_path / "broken.sqlite3"
    add_one(broken, 1)
    data = bytearray(broken.read_bytes())
    data[100:] = os.urandom(len(data) - 100)
    broken.write_bytes(data)
    assert codes(broken) == ["ledger-damaged"]
    assert broken.read_bytes() == bytes(data)
    folder = tmp_path / "folder"
    folder.mkdir()
    assert codes(folder) == ["file-unwritable"]
    assert codes(tmp_path / "none.sqlite3", create=False) == ["ledger-missing"]
    assert not (tmp_path / "none.sqlite3").exists()


def test_a_newer_version_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    add_one(path, 1)
    with sqlite3.connect(path) as connection:
        connection.execute(f"PRAGMA user_version = {VERSION + 1}")
    connection.close()
    before = path.read_bytes()
    assert codes(path) == ["ledger-newer"]
    assert path.read_bytes() == before


def test_another_aircrafts_ledger_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    add_one(path, 1)
    assert codes(path, "Someone Else") == ["ledger-other-aircraft"]


def test_the_file_itself_forbids_change(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    add_one(path, 1)
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        for statement in (
            "DELETE FROM entry",
            "UPDATE entry SET volume = 0",
            "DELETE FROM about",
            "UPDATE about SET aircraft = 'x'",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="only grows"):
                connection.execute(statement)
    connection.close()
    assert notes(path) == ["no 1"]


class Failing(sqlite3.Connection):
    """A disk that fails as a transaction ends: before it is kept, or once it is."""

    kept: ClassVar[bool]

    def execute(self, statement: str, *values: Any) -> sqlite3.Cursor:  # type: ignore[override]
        if statement == "COMMIT":
            if self.kept:
                super().execute("COMMIT")
            raise sqlite3.OperationalError("disk I/O error")
        return super().execute(statement, *values)


@pytest.mark.parametrize("kept", [True, False])
def test_a_sync_that_fails_says_what_is_in_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kept: bool
) -> None:
    path = tmp_path / "log.sqlite3"
    add_one(path, 1)
    plain = sqlite3.connect
    Failing.kept = kept
    with opened(path, CRAFT.name) as ledger, monkeypatch.context() as patched:
        ledger._connection = plain(path, isolation_level=None, factory=Failing)
        patched.setattr(files, "on_disk", [])
        with pytest.raises(InputRefused) as refused:
            ledger.add([entry(2)])
    (finding,) = refused.value.findings
    assert finding.code == ("ledger-unconfirmed" if kept else "ledger-not-written")
    assert ("is in the file" in str(finding)) is kept
    assert ("nothing was added" in str(finding)) is not kept
    assert notes(path) == (["no 1", "no 2"] if kept else ["no 1"])


@pytest.mark.parametrize("name", [":memory:", "file:log?mode=memory", "file::memory:", ":other:"])
def test_a_name_that_keeps_nothing_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputRefused, match="nothing would be kept"):
        add_one(Path(name), 1)
    assert list(tmp_path.iterdir()) == []
    add_one(tmp_path / name, 1)  # by its whole path it is a file like any other
    assert notes(tmp_path / name) == ["no 1"]


def test_every_store_writes_through_to_the_disk(tmp_path: Path) -> None:
    with closing(files.connected(tmp_path / "any.sqlite3", 1.0)) as connection:
        settings = [
            connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("synchronous", "fullfsync", "checkpoint_fullfsync")
        ]
    assert settings == [3, 1, 1]
    source = Path(files.__file__).parent.parent
    calls = [path for path in source.rglob("*.py") if "sqlite3.connect(" in path.read_text()]
    assert calls == [Path(files.__file__)]
