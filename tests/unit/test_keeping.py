"""All that is kept, into one file and back: nothing newer is lost, nothing foreign gets in."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from planner.logbook.keeping import BOARDS, MARK, keep, restore
from planner.logbook.ledger.entries import Entry, gauge
from planner.logbook.ledger.kept.store import opened
from planner.quantities.errors import InputRefused
from planner.quantities.units import read_quantity
from planner.records.store import load_aircraft

T4 = load_aircraft("thornlea-t4").record


def entry(text: str) -> Entry:
    return gauge(T4, "2026-06-01T08:00:00Z", "", read_quantity(text, "volume"))


def add(folder: Path, *texts: str) -> Path:
    path = folder / "ledgers" / "t4.sqlite3"
    with opened(path, T4.name) as ledger:
        ledger.add([entry(text) for text in texts])
    return path


def texts(path: Path) -> list[str]:
    with opened(path, T4.name, create=False) as ledger:
        return [each.entry.text for each in ledger.entries()]


def test_away_and_back(tmp_path: Path) -> None:
    here, out = tmp_path / "data", tmp_path / "away.zip"
    path = add(here, "60 L", "50 L")
    (here / "bottles").mkdir()
    (here / "bottles" / "b.yaml").write_text("bottle: 1\n")
    assert keep(here, out) == ("bottles/b.yaml", "ledgers/t4.sqlite3")
    with pytest.raises(InputRefused):
        keep(here, out)  # never over an older one
    there = tmp_path / "other"
    assert {each.outcome for each in restore(out, there)} == {"added"}
    assert texts(there / "ledgers" / "t4.sqlite3") == ["60 L", "50 L"]
    # What came since stays; an entry that is missing here comes back, and the other file is left alone.
    add(here, "40 L")
    (here / "bottles" / "b.yaml").write_text("bottle: 2\n")
    assert [each.outcome for each in restore(out, here)] == ["kept", "same"]
    assert texts(path) == ["60 L", "50 L", "40 L"]
    path.unlink()
    add(here, "30 L")
    assert [(each.outcome, each.entries) for each in restore(out, here)] == [("kept", 0), ("merged", 2)]
    assert texts(path) == ["30 L", "50 L", "60 L"]  # 60 L had number 1, which is taken; 50 L keeps its 2
    assert (here / "bottles" / "b.yaml").read_text() == "bottle: 2\n"


def test_an_entry_being_written_is_not_in_it_by_half(tmp_path: Path) -> None:
    import sqlite3

    here, out = tmp_path / "data", tmp_path / "away.zip"
    path = add(here, "60 L")
    busy = sqlite3.connect(path, isolation_level=None)
    busy.execute("BEGIN IMMEDIATE")
    busy.execute(
        "INSERT INTO entry SELECT number + 9, 'ffffffff', " + ", ".join(columns(busy)) + " FROM entry"
    )
    keep(here, out)
    busy.execute("ROLLBACK")
    busy.close()
    restore(out, tmp_path / "other")
    assert texts(tmp_path / "other" / "ledgers" / "t4.sqlite3") == ["60 L"]


def columns(connection: object) -> list[str]:
    rows = connection.execute("PRAGMA table_info(entry)").fetchall()  # type: ignore[attr-defined]
    return [row[1] for row in rows if row[1] not in ("number", "uid")]


@pytest.mark.parametrize("name", ["../out.txt", "/tmp/out.txt", "a\\b", "c:out"])
def test_names_that_lead_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    path = tmp_path / "bad.zip"
    with zipfile.ZipFile(path, "w") as packed:
        packed.comment = MARK.encode()
        packed.writestr("good.txt", "x")
        packed.writestr(name, "x")
    with pytest.raises(InputRefused):
        restore(path, tmp_path / "data")
    assert not (tmp_path / "data").exists()


def test_another_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "x.zip"
    path.write_bytes(b"no zip")
    with pytest.raises(InputRefused):
        restore(path, tmp_path / "data")
    with pytest.raises(InputRefused):
        keep(tmp_path / "empty", tmp_path / "out.zip")


def test_pages_of_boards_are_made_again_and_not_kept(tmp_path: Path) -> None:
    """A page shown anew differs from the one before; a copy of it would stand against every restore."""
    here, out = tmp_path / "data", tmp_path / "away.zip"
    (here / BOARDS).mkdir(parents=True)
    (here / BOARDS / "demo.html").write_text("<p>a page</p>")
    with pytest.raises(InputRefused):
        keep(here, out)  # nothing else is there
    add(here, "60 L")
    assert keep(here, out) == ("ledgers/t4.sqlite3",)
    (here / BOARDS / "demo.html").write_text("<p>the next</p>")
    assert {each.outcome for each in restore(out, here)} == {"same"}
