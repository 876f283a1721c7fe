"""All that is kept of the user's own, as one file to put away, and back from it: nothing newer is ever lost.

A database is copied as its engine sees it, so that a writer at work leaves no half entry in the copy.
"""

from __future__ import annotations

import io
import sqlite3
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path, PurePosixPath
from typing import Final, Literal

from planner.logbook.ledger.kept.exchange import unknown_to
from planner.logbook.ledger.kept.store import SQLITE, WAIT, entries_in, opened
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.files import clear_left_over, connected, refused, write_new
from planner.quantities.frozen import frozen

MARK: Final = "planner-data/1"  # the comment of a file made here
LARGEST: Final = 1 << 30  # bytes of one file in it
BOARDS: Final = "board"  # the folder of pages that are written again from their flights; no records
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
    """Write all files of the data folder but the pages of boards into one new zip file; returns their names
    in it.

    Raises InputRefused where there is nothing, a file cannot be read, or `out` exists.
    """
    _tidy(folder)
    held, names = io.BytesIO(), []
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.comment = MARK.encode()
        for path in stores(folder):
            name = path.relative_to(folder)
            if path.resolve() == out.resolve() or name.parts[0] == BOARDS:
                continue
            packed.writestr(name.as_posix(), _content(path))
            names.append(name.as_posix())
    if not names:
        raise refused(folder, "keep-nothing", "nothing is kept here yet", hint="see: planner where")
    write_new(out, held.getvalue())
    return tuple(names)


def _tidy(folder: Path) -> None:
    """What killed programs left half done in the data folder goes."""
    for path in (folder, *folder.rglob("*/")):
        clear_left_over(path)


def _content(path: Path) -> bytes:
    try:
        data = path.read_bytes()
        if not data.startswith(SQLITE):
            return data
        with closing(connected(path, WAIT)) as source:
            source.execute("BEGIN")  # no page of it changes from here on
            source.execute("SELECT count(*) FROM sqlite_master").fetchone()
            return source.serialize()
    except (OSError, sqlite3.Error) as error:
        raise refused(path, "keep-unreadable", f"cannot be read: {error}", "nothing was written") from None


def restore(source: Path, folder: Path) -> tuple[Restored, ...]:
    """Bring back what a file of `keep` holds. A file that is not there is added; a ledger that is there gets
    the entries it has not; anything else that is there stays as it is.

    Raises InputRefused, before anything is written, for a file that `keep` did not write and for a ledger
    that has an entry with other figures; where something cannot be written, with what came before in its
    place. Killed at any moment, the next run goes on.
    """
    try:
        with zipfile.ZipFile(source) as packed:
            if packed.comment != MARK.encode():
                raise refused(
                    source, "restore-foreign", "this is no file of 'planner keep'", "nothing was restored"
                )
            held = {info.filename: _taken(packed, info, source) for info in packed.infolist()}
    except (OSError, zipfile.BadZipFile, zlib.error, RuntimeError, EOFError) as error:
        raise refused(source, "restore-foreign", f"cannot be read: {error}", "nothing was restored") from None
    findings: list[Finding] = []
    for name, data in held.items():
        try:
            if (folder / name).exists():
                _merged(folder / name, name, data, source, write=False)
        except InputRefused as refusal:
            findings += refusal.findings
    if findings:
        raise InputRefused(findings)
    _tidy(folder)
    return tuple(_put(folder / name, name, data, source) for name, data in held.items())


def _taken(packed: zipfile.ZipFile, info: zipfile.ZipInfo, source: Path) -> bytes:
    name = PurePosixPath(info.filename)
    strange = name.is_absolute() or ".." in name.parts or ":" in info.filename or "\\" in info.filename
    if strange or info.is_dir() or info.file_size > LARGEST:
        message = f"'{info.filename}' is no name or size that 'planner keep' writes"
        raise refused(source, "restore-foreign", message, "nothing was restored")
    return packed.read(info)


def _put(path: Path, name: str, data: bytes, source: Path) -> Restored:
    if path.exists():
        return _merged(path, name, data, source, write=True)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # A journal without its database is nothing, but would be played into the one that comes now.
        path.with_name(f"{path.name}-journal").unlink(missing_ok=True)
    except OSError as error:
        raise refused(path, "file-unwritable", f"cannot be written: {error.strerror}") from None
    try:
        write_new(path, data)
    except InputRefused as refusal:
        if refusal.findings[0].code != "file-exists":
            raise
        return _merged(path, name, data, source, write=True)  # another program was quicker
    return Restored(name, "added")


def _merged(path: Path, name: str, data: bytes, source: Path, write: bool) -> Restored:
    """What becomes of a file that is there; only looked at unless `write`."""
    try:
        if path.read_bytes() == data:
            return Restored(name, "same")
    except OSError as error:
        message = f"cannot be read: {error.strerror}"
        raise refused(path, "file-unreadable", message, "needed a file that can be compared") from None
    read = entries_in(data, source)
    if read is None:
        return Restored(name, "kept")
    owner, held = read
    with opened(path, owner, create=False) as ledger:
        fresh = unknown_to(ledger.entries(), held, path)
        if write and fresh:
            ledger.add(fresh)
    return Restored(name, "merged" if fresh else "same", len(fresh))
