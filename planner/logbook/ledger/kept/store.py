"""The ledger's file: an SQLite database that only grows.

Entries are never changed or deleted (the file itself forbids it); a correction is a new entry. Every entry is
one transaction, written through to the disk, so that a power cut leaves it there whole or not at all.
"""

from __future__ import annotations

import hashlib
import re
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

from planner.logbook.ledger.entries import FLAGS, KINDS, Entry, Stored
from planner.quantities.errors import InputRefused
from planner.quantities.files import connected, data_folder, in_memory, on_disk, refused, transaction

APPLICATION_ID: Final = 0x504C4C47  # "PLLG": marks the file as a ledger of this program
VERSION: Final = 1
WAIT: Final = 10.0  # s for another process to finish its entry
SQLITE: Final = b"SQLite format 3\x00"
_COLUMNS: Final = tuple(field.name for field in fields(Entry))
_REALS: Final = ("volume", "u", "duration", "planned", "leaves", "u_leaves")
_SCHEMA: Final = (
    "CREATE TABLE about (aircraft TEXT NOT NULL)",
    "CREATE TABLE entry (number INTEGER PRIMARY KEY AUTOINCREMENT, "
    + ", ".join(
        f"{name} {'REAL' if name in _REALS else 'INTEGER' if name in FLAGS else 'TEXT'} NOT NULL"
        for name in _COLUMNS
    )
    + f", UNIQUE (uid), CHECK (kind IN ({', '.join(repr(kind) for kind in KINDS)})))",
    "CREATE UNIQUE INDEX corrected_once ON entry (supersedes) WHERE supersedes <> ''",
    *(
        f"CREATE TRIGGER {table}_{verb.lower()} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, 'a ledger"
        " only grows'); END"
        for table in ("about", "entry")
        for verb in ("UPDATE", "DELETE")
    ),
)


def ledger_path(aircraft: str) -> Path:
    """Where the ledger of an aircraft lies unless a file is named: in the user's data folder, by the
    aircraft's name.
    """
    plain = re.sub(r"[^a-z0-9]+", "-", aircraft.lower()).strip("-")[:40]
    # Two names that differ only in signs a file name cannot hold get two files.
    return data_folder() / "ledgers" / f"{plain}-{hashlib.sha256(aircraft.encode()).hexdigest()[:6]}.sqlite3"


class Ledger:
    """An open ledger file of one aircraft. Use `opened`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection

    def entries(self) -> tuple[Stored, ...]:
        """Every entry ever made, corrected ones too, in the order they were made."""
        with self._told():
            rows = self._connection.execute(
                f"SELECT number, {', '.join(_COLUMNS)} FROM entry ORDER BY number"
            ).fetchall()
            return tuple(Stored(row[0], _entry(row[1:])) for row in rows)

    def add(self, entries: Iterable[Entry | Stored]) -> tuple[int, ...]:
        """Add entries, all or none; returns their numbers. One that is there already stays as it is; one that
        brings its number from another copy of the ledger keeps it where it is free here: numbers are lasting.
        Raises InputRefused where they cannot be written or correct one entry twice.
        """
        numbers: list[int] = []
        made = tuple(each if isinstance(each, Stored) else Stored(0, each) for each in entries)
        try:
            self._insert(made, numbers)
        except sqlite3.Error as error:
            raise self._unconfirmed(error, tuple(each.entry for each in made)) from None
        on_disk.append(f"{self.path}: {len(made)} {'entry' if len(made) == 1 else 'entries'} added")
        return tuple(numbers)

    def _insert(self, entries: tuple[Stored, ...], numbers: list[int]) -> None:
        most = max((each.number for each in entries), default=0)
        with transaction(self._connection):
            for each in entries:
                number, entry = each.number, each.entry
                values: list[object] = [
                    int(value) if isinstance(value, bool) else value
                    for value in (getattr(entry, name) for name in _COLUMNS)
                ]
                taken = "SELECT 1 FROM entry WHERE number = ?"
                if number and self._connection.execute(taken, (number,)).fetchone() is not None:
                    # Beyond all that come, so that none of those loses its own number to this one.
                    last = self._connection.execute("SELECT max(number) FROM entry").fetchone()[0]
                    number = max(most, last) + 1
                try:
                    cursor = self._connection.execute(
                        f"INSERT INTO entry (number, {', '.join(_COLUMNS)}) VALUES"
                        f" (?, {', '.join('?' * len(_COLUMNS))})",
                        [number or None, *values],
                    )
                except sqlite3.IntegrityError as error:
                    if (there := self._there(entry)) is not None:
                        numbers.append(there)  # another run has added this very entry meanwhile
                        continue
                    if "supersedes" in str(error):
                        hint = "see: planner ledger list --all"
                        raise refused(
                            self.path,
                            "ledger-corrected",
                            "that entry was corrected before",
                            "needed the entry that counts now",
                            hint,
                        ) from None
                    raise
                numbers.append(int(cursor.lastrowid or 0))

    def _there(self, entry: Entry) -> int | None:
        """The number of this very entry, where it is in the file."""
        wanted = f"SELECT number, {', '.join(_COLUMNS)} FROM entry WHERE uid = ?"
        row = self._connection.execute(wanted, (entry.uid,)).fetchone()
        return int(row[0]) if row is not None and _entry(row[1:]) == entry else None

    def _unconfirmed(self, error: sqlite3.Error, entries: tuple[Entry, ...]) -> InputRefused:
        """What to say where adding failed: the file is looked into first, as a disk may fail after it took
        the entries.
        """
        refusal = _explained(self.path, error)
        if isinstance(error, sqlite3.IntegrityError):
            return refusal
        try:
            with closing(connected(self.path, WAIT)) as fresh:
                held = {uid for (uid,) in fresh.execute("SELECT uid FROM entry")}
        except sqlite3.Error:
            if refusal.findings[0].code != "ledger-not-written":
                return refusal
            message = f"adding failed ({error}), and the file cannot be read now to see what it holds"
            hint = "look with: planner ledger list, before you add anything again"
            return refused(self.path, "ledger-unconfirmed", message, "needed a disk that works", hint)
        if not entries or not all(entry.uid in held for entry in entries):
            return refusal
        on_disk.append(f"{self.path}: {len(entries)} {'entry' if len(entries) == 1 else 'entries'} added")
        message = f"what was added is in the file, but the disk did not confirm it ({error})"
        hint = "do not add it again; see to the disk, and look with: planner ledger list"
        return refused(self.path, "ledger-unconfirmed", message, "needed a disk that works", hint)

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise _explained(self.path, error) from None

    def prepare(self, aircraft: str) -> None:
        """Make the tables of a new file; refuse a file that is not a ledger, is newer, or is another
        aircraft's.
        """
        with self._told():
            if self._pragma("application_id") == 0 and self._empty():
                with transaction(self._connection):
                    if self._empty():  # another process may have been quicker
                        for statement in _SCHEMA:
                            self._connection.execute(statement)
                        self._connection.execute("INSERT INTO about VALUES (?)", (aircraft,))
                        self._connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                        self._connection.execute(f"PRAGMA user_version = {VERSION}")
            if self._pragma("application_id") != APPLICATION_ID:
                raise refused(
                    self.path,
                    "ledger-foreign",
                    "this database is not a fuel ledger",
                    "it is left as it is",
                    "needed another --file",
                )
            version = self._pragma("user_version")
            if version > VERSION:
                message = f"the ledger is of version {version}; this program knows up to {VERSION}"
                raise refused(self.path, "ledger-newer", message, "it is left as it is", "update the program")
            owner = self._connection.execute("SELECT aircraft FROM about").fetchone()
        if owner is None or owner[0] != aircraft:
            name = owner[0] if owner else "nobody"
            raise refused(
                self.path,
                "ledger-other-aircraft",
                f"this is the ledger of {name}, not of {aircraft}",
                "needed its own ledger",
                "check --aircraft and --file",
            )

    def _pragma(self, name: str) -> int:
        return int(self._connection.execute(f"PRAGMA {name}").fetchone()[0])

    def _empty(self) -> bool:
        return bool(self._connection.execute("SELECT count(*) = 0 FROM sqlite_master").fetchone()[0])


def _entry(row: tuple[Any, ...]) -> Entry:
    values: list[Any] = [
        bool(value) if name in FLAGS else value for name, value in zip(_COLUMNS, row, strict=True)
    ]
    return Entry(*values)


def _explained(path: Path, error: sqlite3.Error) -> InputRefused:
    """What went wrong with the file, in words; whatever it was, the entries that were there still are."""
    text = str(error)
    if "locked" in text or "busy" in text:
        return refused(
            path,
            "ledger-busy",
            f"another program has held the ledger for {WAIT:g} s",
            "nothing was added",
            "try again",
        )
    if "not a database" in text or "malformed" in text or "no such" in text:
        return refused(
            path,
            "ledger-damaged",
            f"the file cannot be read as a ledger: {text}",
            "it is left as it is",
            "restore it from a copy or an export",
        )
    return refused(
        path,
        "ledger-not-written",
        f"the ledger could not be written or opened: {text}",
        "nothing was added; what was there is kept",
        "see to disk space and permissions",
    )


@contextmanager
def opened(path: Path, aircraft: str, create: bool = True) -> Iterator[Ledger]:
    """The ledger in a file, made if it is not there and `create` is set.

    Raises InputRefused for a file that is something else, newer, another aircraft's, damaged, or that cannot
    be opened.
    """
    try:
        if create:
            path.parent.mkdir(parents=True, exist_ok=True)
        elif not path.is_file():
            raise refused(
                path,
                "ledger-missing",
                f"{aircraft} has no fuel ledger here",
                "needed entries",
                "begin with: planner ledger add",
            )
        if path.exists():
            with open(path, "rb") as stream:
                head = stream.read(len(SQLITE))
            if head and head != SQLITE:
                raise refused(
                    path,
                    "ledger-foreign",
                    "this file is not a fuel ledger",
                    "it is left as it is",
                    "needed another --file",
                )
    except OSError as error:
        raise refused(
            path, "file-unwritable", f"cannot be opened: {error.strerror}", "needed a folder you may write to"
        ) from None
    try:
        connection = connected(path, WAIT)
    except sqlite3.Error as error:
        raise _explained(path, error) from None
    try:
        ledger = Ledger(path, connection)
        ledger.prepare(aircraft)
        yield ledger
    finally:
        connection.close()


def entries_in(data: bytes, path: Path) -> tuple[str, tuple[Stored, ...]] | None:
    """Whose ledger the content of a file is, and every entry in it; None where it is no ledger.

    Parameters: `data`; `path`, to name in a refusal. Raises InputRefused for a ledger that is newer or
    damaged.
    """
    try:
        with closing(in_memory(data)) as connection:
            if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return None
            owner = str(connection.execute("SELECT aircraft FROM about").fetchone()[0])
            ledger = Ledger(path, connection)
            ledger.prepare(owner)
            return owner, ledger.entries()
    except (sqlite3.Error, TypeError):
        return None
