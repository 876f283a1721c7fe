"""All that is kept of the user's own, as one file to put away, and back from it: nothing newer is ever lost.

A database is copied as its engine sees it, so that a writer at work leaves no half entry in the copy.
"""

from __future__ import annotations

import io
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path, PurePosixPath
from typing import Final, Literal

from planner.logbook.ledger.kept.exchange import unknown_to
from planner.logbook.ledger.kept.store import APPLICATION_ID, WAIT, opened
from planner.quantities.files import connected, refused, write_new
from planner.quantities.frozen import frozen

MARK: Final = "planner-data/1"  # the comment of a file made here
LARGEST: Final = 1 << 30  # bytes of one file in it
_SQLITE: Final = b"SQLite format 3\x00"
_TEMPORARY: Final = (".tmp", "-journal", "-wal", "-shm", ".lock")


@frozen
class Restored:
    """What became of one file: `added` where there was none, `same`, `merged` with `entries` new ones, or
    `kept` where the one that is there is another and stays.
    """

    name: str
    outcome: Literal["added", "same", "merged", "kept"]
    entries: int = 0


def stores(folder: Path) -> Iterator[Path]:
    """Every file kept in the data folder, in order of name; none that only stands there while one is made."""
    for path in sorted(folder.rglob("*")) if folder.is_dir() else ():
        if path.is_file() and not path.name.endswith(_TEMPORARY):
            yield path


def keep(folder: Path, out: Path) -> tuple[str, ...]:
    """Write all files of the data folder into one new zip file; returns their names in it.

    Raises InputRefused where there is nothing, a file cannot be read, or `out` exists.
    """
    held, names = io.BytesIO(), []
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.comment = MARK.encode()
        for path in stores(folder):
            if path.resolve() == out.resolve():
                continue
            name = path.relative_to(folder).as_posix()
            packed.writestr(name, _content(path))
            names.append(name)
    if not names:
        raise refused(folder, "keep-nothing", "nothing is kept here yet", hint="see: planner where")
    write_new(out, held.getvalue())
    return tuple(names)


def _content(path: Path) -> bytes:
    try:
        data = path.read_bytes()
        if not data.startswith(_SQLITE):
            return data
        with tempfile.TemporaryDirectory() as folder, closing(connected(path, WAIT)) as source:
            copy = Path(folder) / "copy"
            with closing(connected(copy, WAIT)) as target:
                source.backup(target)
            return copy.read_bytes()
    except (OSError, sqlite3.Error) as error:
        raise refused(path, "keep-unreadable", f"cannot be read: {error}", "nothing was written") from None


def restore(source: Path, folder: Path) -> tuple[Restored, ...]:
    """Bring back what a file of `keep` holds. A file that is not there is added; a ledger that is there gets
    the entries it has not; anything else that is there stays as it is.

    Raises InputRefused for a file that `keep` did not write, before anything is written; for a ledger that
    has an entry with other figures.
    """
    try:
        with zipfile.ZipFile(source) as packed:
            if packed.comment != MARK.encode():
                raise refused(
                    source, "restore-foreign", "this is no file of 'planner keep'", "nothing was restored"
                )
            held = {info.filename: _taken(packed, info, source) for info in packed.infolist()}
    except (OSError, zipfile.BadZipFile, RuntimeError, EOFError) as error:
        raise refused(source, "restore-foreign", f"cannot be read: {error}", "nothing was restored") from None
    return tuple(_put(folder / name, name, data) for name, data in held.items())


def _taken(packed: zipfile.ZipFile, info: zipfile.ZipInfo, source: Path) -> bytes:
    name = PurePosixPath(info.filename)
    strange = name.is_absolute() or ".." in name.parts or ":" in info.filename or "\\" in info.filename
    if strange or info.is_dir() or info.file_size > LARGEST:
        message = f"'{info.filename}' is no name or size that 'planner keep' writes"
        raise refused(source, "restore-foreign", message, "nothing was restored")
    return packed.read(info)


def _put(path: Path, name: str, data: bytes) -> Restored:
    if not path.exists():
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise refused(path, "file-unwritable", f"cannot be written: {error.strerror}") from None
        write_new(path, data)
        return Restored(name, "added")
    if path.read_bytes() == data:
        return Restored(name, "same")
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        copy.write_bytes(data)
        owner = _owner(copy)
        if not owner:
            return Restored(name, "kept")
        with opened(copy, owner, create=False) as before:
            kept = before.entries()
        with opened(path, owner, create=False) as ledger:
            fresh = unknown_to(ledger.entries(), kept, path)
            ledger.add(fresh)
    return Restored(name, "merged" if fresh else "same", len(fresh))


def _owner(path: Path) -> str:
    """Whose fuel ledger a file is; '' for anything else."""
    try:
        with closing(connected(path, WAIT)) as connection:
            if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return ""
            return str(connection.execute("SELECT aircraft FROM about").fetchone()[0])
    except (sqlite3.Error, TypeError):
        return ""
