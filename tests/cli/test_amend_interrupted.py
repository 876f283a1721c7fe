"""A program killed while it changes a profile leaves the old file or the new one, whole; two changes at once
both arrive.

Each run is a process of its own, forked so that it need not load everything again. It is killed with SIGKILL,
which no program can catch: at every call to the system that the writing makes, before it, after it and with
half the bytes written, and at random moments.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from pathlib import Path

import pytest

from planner.logbook.mass.amend import amend
from planner.quantities.errors import InputRefused
from planner.quantities.files import locked, replace, write_new
from planner.records.sheets.change_sheet import load_change
from planner.records.store import load_aircraft_file, profile_folder
from tests.cli.killing import MANNERS, child, ended, kill_at
from tests.sizes import examples

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks and kills")
OLD = (profile_folder() / "thornlea-t4.yaml").read_bytes()


def change_file(folder: Path, number: int) -> Path:
    path = folder / f"change-{number}.yaml"
    path.write_text(
        f"change: 1\naircraft: Thornlea T4\ndate: 2026-12-01\nreference: job {number}\nadded: {{thing"
        f" {number}: {{mass: {number + 1} kg, arm: 2 m}}}}\n",
        encoding="utf-8",
    )
    return path


@pytest.mark.parametrize("manner", MANNERS)
def test_killed_at_every_step(tmp_path: Path, manner: str) -> None:
    path, change = tmp_path / "mine.yaml", load_change(change_file(tmp_path, 0))
    path.write_bytes(OLD)
    amend(str(path), change)
    new = path.read_bytes()
    outcomes = []
    for number in range(1, 60):
        path.write_bytes(OLD)

        def work(number: int = number) -> None:
            kill_at(number, manner)
            amend(str(path), change)

        code = ended(child(work))
        assert code in (0, -signal.SIGKILL)
        assert path.read_bytes() in (OLD, new), (
            f"neither the old file nor the new one after a kill at call {number}"
        )
        outcomes.append(path.read_bytes() == new)
        if code == 0:
            break
    assert code == 0, "the loop must reach the last call"
    assert len(outcomes) > 8
    assert False in outcomes, "no kill came before the replacement"
    assert outcomes[-1] is True
    # What a killed run leaves beside the file goes with the next one, once nobody can be writing it any more.
    for each in tmp_path.glob(".*.tmp"):
        os.utime(each, (0, 0))
    path.write_bytes(OLD)
    amend(str(path), change)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["change-0.yaml", "mine.yaml"]


def test_killed_at_any_byte_that_reaches_a_file(tmp_path: Path) -> None:
    # The system itself kills the process once any file it writes grows beyond the limit, whatever call the
    # bytes came by.
    resource = pytest.importorskip("resource")
    path, change = tmp_path / "mine.yaml", load_change(change_file(tmp_path, 0))
    path.write_bytes(OLD)
    amend(str(path), change)
    new = path.read_bytes()
    killed = 0
    for limit in [0, 1, 2, *range(41, len(new), 173), len(new) - 1, len(new)]:
        path.write_bytes(OLD)

        def work(limit: int = limit) -> None:
            signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            amend(str(path), change)

        code = ended(child(work))
        assert code in (0, -signal.SIGXFSZ)
        assert path.read_bytes() == (OLD if code else new), f"a kill at byte {limit} left something else"
        killed += code != 0
    assert killed > 20


def test_the_file_itself_is_never_opened_for_writing(tmp_path: Path) -> None:
    # Whatever way it were opened: a file that is being written is not whole. The interpreter's own audit
    # tells every opening.
    path, change = tmp_path / "mine.yaml", load_change(change_file(tmp_path, 0))
    path.write_bytes(OLD)

    def work() -> None:
        def watch(event: str, arguments: tuple[object, ...]) -> None:
            if event != "open" or str(arguments[0]) != str(path):
                return
            if (
                str(arguments[1] or "r")[0] != "r"
                or "+" in str(arguments[1])
                or int(str(arguments[2])) & (os.O_WRONLY | os.O_RDWR)
            ):
                os._exit(9)

        sys.addaudithook(watch)
        amend(str(path), change)

    assert ended(child(work)) == 0
    assert path.read_bytes() != OLD


def test_killed_at_random_moments(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_bytes(OLD)
    rng, known = random.Random(11), {OLD}
    for number in range(examples(20)):
        change = load_change(change_file(tmp_path, number))
        before = path.read_bytes()
        process = child(lambda change=change: amend(str(path), change))  # type: ignore[misc]
        time.sleep(rng.uniform(0, 0.03))
        os.kill(process, signal.SIGKILL)
        ended(process)
        after = path.read_bytes()
        record = load_aircraft_file(path).record  # readable and sound, whichever it is
        if after != before:
            assert record.superseded[0].change.startswith(f"thing {number} ")
            assert before not in known or after not in known
        known.add(after)
    final = load_aircraft_file(path).record
    assert len({old.version for old in final.superseded}) == len(final.superseded) == len(known) - 1


def test_two_changes_at_once_both_arrive(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_bytes(OLD)
    changes = [load_change(change_file(tmp_path, number)) for number in range(6)]
    processes = [child(lambda change=change: amend(str(path), change)) for change in changes]  # type: ignore[misc]
    assert [ended(process) for process in processes] == [0] * 6
    record = load_aircraft_file(path).record
    assert len(record.superseded) == 6
    assert {old.change.split(" ")[1] for old in record.superseded} == set("012345")
    assert record.basic_empty.mass.value == pytest.approx(688.4 + sum(range(1, 7)), abs=0.01)


def test_a_holder_that_dies_leaves_no_lock(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_bytes(OLD)

    reading, writing = os.pipe()

    def hold() -> None:
        with locked(path):
            os.write(writing, b"held")
            time.sleep(600)

    process = child(hold)
    assert os.read(reading, 4) == b"held"  # however slow the machine
    os.close(reading)
    os.close(writing)
    with pytest.raises(InputRefused) as busy, locked(path, patience=0.1):
        pass
    assert [finding.code for finding in busy.value.findings] == ["file-busy"]
    os.kill(process, signal.SIGKILL)
    ended(process)
    with locked(path, patience=1.0):
        pass
    assert [each.name for each in tmp_path.iterdir()] == ["mine.yaml"]


def test_a_file_changed_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_bytes(b"by hand")
    with pytest.raises(InputRefused) as refused, locked(path):
        replace(path, b"new", expected=b"old")
    assert [finding.code for finding in refused.value.findings] == ["file-changed"]
    assert path.read_bytes() == b"by hand"
    assert [each.name for each in tmp_path.iterdir()] == ["mine.yaml"]


@pytest.mark.parametrize("links", [True, False])
def test_a_new_file_never_overwrites_and_is_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:  # as on a memory stick

        def none(*_: object) -> None:
            raise PermissionError(1, "no links here")

        monkeypatch.setattr(os, "link", none)
    path = tmp_path / "record.txt"
    write_new(path, b"first")
    with pytest.raises(InputRefused) as refused:
        write_new(path, b"second")
    assert [finding.code for finding in refused.value.findings] == ["file-exists"]
    assert path.read_bytes() == b"first"
    data = os.urandom(4096)
    for manner in ("before", "half", "after"):
        for number in range(1, 20):
            target = tmp_path / f"{manner}-{number}"

            def work(number: int = number, manner: str = manner, target: Path = target) -> None:
                kill_at(number, manner)
                write_new(target, data)

            code = ended(child(work))
            # Without links the name is taken empty first.
            assert not target.exists() or target.read_bytes() in ([data] if links else [data, b""])
            if code == 0:
                break
        assert code == 0, "the loop must reach the last call"
        assert number > 5


def test_one_of_many_writers_of_a_new_file_wins(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    processes = [
        child(lambda number=number: write_new(path, str(number).encode() * 1000)) for number in range(6)
    ]  # type: ignore[misc]
    codes = [ended(process) for process in processes]
    assert sorted(codes) == [0, 2, 2, 2, 2, 2]
    assert path.read_bytes() == str(codes.index(0)).encode() * 1000


@pytest.mark.skipif(
    sys.platform == "win32" or not hasattr(os, "geteuid") or os.geteuid() == 0,
    reason="root may write anywhere",
)
def test_a_folder_without_permission_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(InputRefused) as refused:
            write_new(tmp_path / "x", b"x")
    finally:
        tmp_path.chmod(0o755)
    assert [finding.code for finding in refused.value.findings] == ["file-unwritable"]
