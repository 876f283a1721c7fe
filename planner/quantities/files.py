"""Files that outlive a power cut: a record is there whole, old or new, or it is not there at all.

A new content is written beside its target under a name of its own, forced to the disk, and only then given
the target's name in one step of the operating system. Two programs at once are kept apart by a lock on the
folder that the system lifts when its holder dies, and by comparing the target with what was read before it is
replaced. What reached the disk is noted (`on_disk`), so that whoever fails afterwards can say so.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from planner.quantities.errors import Finding, InputRefused

if TYPE_CHECKING:
    import sqlite3

DATA_VARIABLE: Final = "PLANNER_DATA"
LOCK_PATIENCE: Final = 10.0  # s; an amendment takes milliseconds: a longer wait means a program that hangs
_SPOKEN: Final = 40  # letters of a file's name in that of its temporary
_BREATH: Final = 0.1  # s between a file made and its lock taken, at the very most

on_disk: list[str] = []  # what this run has changed, a sentence each, in order


def data_folder() -> Path:
    """The folder of the user's own data: the one named by the environment variable PLANNER_DATA, else the
    system's place for it.
    """
    if named := os.environ.get(DATA_VARIABLE):
        return Path(named)
    from platformdirs import user_data_path  # late: most commands keep no data

    return user_data_path("planner", appauthor=False)


def refused(
    path: Path | str, code: str, message: str, needed: str = "", hint: str = "", line: int = 1
) -> InputRefused:
    """A refusal that stands on a whole file, or on a line of it."""
    return InputRefused([Finding(code, message, needed, hint).at(str(path), line, 1)])


def unwritable(path: Path, error: OSError) -> InputRefused:
    return refused(
        path,
        "file-unwritable",
        f"cannot be written: {error.strerror or error}",
        "needed a folder with space that you may write to",
    )


def write_new(path: Path, data: bytes) -> None:
    """Write a file that must not exist yet; it appears whole or not at all.

    Parameters: `path`; `data`. Raises InputRefused where the file exists (it is left as it is) or cannot be
    written.
    """
    temporary = _temporary(path)
    try:
        _write_down(temporary, data, None)
        try:
            os.link(temporary, path)  # fails where the name is taken; no process can slip one in between
        except FileExistsError:
            raise taken(path) from None
        except OSError:
            _name_claimed(temporary, path)  # a disk without hard links, such as a memory stick
        on_disk.append(f"{path} was written")
        _sync_folder(path.parent)
    except OSError as error:
        raise unwritable(path, error) from None
    finally:
        with suppress(OSError):
            temporary.unlink()


def _name_claimed(temporary: Path, path: Path) -> None:
    """Give the file written its name where there are no links: the name is taken first, empty."""
    try:
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL))
    except FileExistsError:
        raise taken(path) from None
    try:
        os.replace(temporary, path)
    except OSError:
        path.unlink(missing_ok=True)
        raise


def taken(path: Path, hint: str = "") -> InputRefused:
    """What is said of a file that is there and stays as it is."""
    return refused(path, "file-exists", "the file exists and is not overwritten", "needed a new name", hint)


def replace(path: Path, data: bytes, expected: bytes) -> None:
    """Put `data` in the place of a file that still holds `expected`. To be called inside `locked(path)`.

    At every moment the name holds the whole old content or the whole new one. Links are followed and the
    file's permissions kept. Raises InputRefused where the file has changed since it was read, or cannot be
    written.
    """
    target = path.resolve()
    temporary = _temporary(target)
    try:
        _write_down(temporary, data, target.stat().st_mode & 0o7777)
        if target.read_bytes() != expected:
            message = "the file was changed while this program worked on it"
            raise refused(path, "file-changed", message, "nothing was written", "run the command again")
        os.replace(temporary, target)
        on_disk.append(f"{path} was changed")
        _sync_folder(target.parent)
    except OSError as error:
        raise unwritable(path, error) from None
    finally:
        with suppress(OSError):
            temporary.unlink()


def _temporary(path: Path) -> Path:
    """A name beside `path` that nobody has, after those of killed programs are cleared away."""
    import glob

    clear_left_over(path.parent, glob.escape(path.name[:_SPOKEN]))
    # The name is cut, so that what fits on the disk by itself does so with the ending too.
    return path.parent / f".{path.name[:_SPOKEN]}.{os.urandom(4).hex()}.tmp"


def clear_left_over(folder: Path, name: str = "*") -> None:
    """Take away what killed programs were writing in a folder, for files of that name (a pattern)."""
    for left_over in folder.glob(f".{name}.{'[0-9a-f]' * 8}.tmp"):
        with suppress(OSError):
            if _abandoned(left_over):
                left_over.unlink()


def _write_down(path: Path, data: bytes, mode: int | None) -> None:
    """Create `path` with `data`, through to the disk."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        _hold(handle)
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
        os.fsync(handle)
    finally:
        os.close(handle)
    if mode is not None:
        os.chmod(path, mode)


def _sync_folder(folder: Path) -> None:
    """The new name itself onto the disk; not every system can, and the file is whole either way."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def connected(path: Path, wait: float) -> sqlite3.Connection:
    """An SQLite file opened as every store of this program is: each transaction through to the disk, its
    journal's name too.

    Parameters: `path`; `wait` [s] for another process. Raises InputRefused for a name that SQLite does not
    take for a file, else what sqlite3 raises.
    """
    import sqlite3  # late: most commands keep no data

    if str(path).startswith((":", "file:")):
        message = "this name is not that of a file: nothing would be kept"
        hint = "write the whole path, from /, where a file is really called so"
        raise refused(path, "file-unwritable", message, "needed the path of a file", hint)
    connection = sqlite3.connect(os.path.abspath(path), timeout=wait, isolation_level=None)
    try:
        for setting in ("synchronous = EXTRA", "fullfsync = ON", "checkpoint_fullfsync = ON"):
            connection.execute(f"PRAGMA {setting}")
    except BaseException:  # no store: whoever asked never sees the connection, so it is closed here
        connection.close()
        raise
    return connection


def in_memory(data: bytes) -> sqlite3.Connection:
    """The content of an SQLite file, opened without the disk. Raises what sqlite3 does."""
    import sqlite3

    connection = sqlite3.connect(":memory:", isolation_level=None)
    # Bytes 18 and 19 may ask for a write-ahead log, which a file has and a memory has not.
    connection.deserialize(data[:18] + b"\x01\x01" + data[20:])
    return connection


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All that is executed meanwhile, or none of it."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # a full disk may have rolled back by itself
            connection.execute("ROLLBACK")
        raise


@contextmanager
def locked(path: Path, patience: float = LOCK_PATIENCE) -> Iterator[None]:
    """Keep other runs of this program from changing files in the folder of `path` meanwhile.

    Parameters: `path`; `patience` [s], how long to wait for another run. The lock dies with its holder, so a
    killed program leaves nothing behind. Raises InputRefused when the wait is over, or the folder cannot be
    opened.
    """
    folder = path.resolve().parent
    until = time.monotonic() + patience
    handle = None
    while handle is None:
        try:
            handle = _take(folder)
        except BlockingIOError:
            if time.monotonic() > until:
                message = "another program is changing files in this folder"
                raise refused(path, "file-busy", message, "waited in vain", "try again") from None
            time.sleep(0.02)
        except OSError as error:
            raise unwritable(path, error) from None
    try:
        yield
    finally:
        os.close(handle)


if sys.platform == "win32":

    def _take(folder: Path) -> int:
        """A file that only one process can create and that goes when its handle does."""
        try:
            return os.open(folder / ".planner.lock", os.O_CREAT | os.O_EXCL | os.O_RDWR | os.O_TEMPORARY)
        except (FileExistsError, PermissionError) as error:
            raise BlockingIOError from error

    def _hold(handle: int) -> None:
        """Nothing to do: an open file cannot be deleted."""

    def _abandoned(path: Path) -> bool:  # noqa: ARG001 - one face on every system
        return True

else:

    def _hold(handle: int) -> None:
        """Say that this file is being written; the lock dies with its holder."""
        import fcntl

        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _abandoned(path: Path) -> bool:
        """Whether nobody writes this file any more: its lock is free, a breath after it was made."""
        import fcntl

        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False  # held, or a network folder without locks
        else:
            return time.time() - os.fstat(handle).st_mtime > _BREATH
        finally:
            os.close(handle)

    def _take(folder: Path) -> int:
        """The system's own lock on the folder: nothing is left behind, whoever dies."""
        import fcntl

        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(handle)
            raise
        except OSError:
            pass  # a network folder without locks: the comparison before replacing still guards the file
        return handle
