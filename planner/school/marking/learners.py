"""Progress of learners: a small SQLite file of this machine's own, with nothing in it that was not typed
here, and erasable.

Every problem is one transaction, written through to the disk. Forgetting a learner overwrites the erased
rows.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from planner.quantities.errors import InputRefused, closest
from planner.quantities.files import connected, data_folder, refused, transaction, unwritable
from planner.quantities.frozen import frozen
from planner.school.marking import sittings
from planner.school.marking.mark import Mark, Result, points_of, ranked
from planner.school.problem import Problem

APPLICATION_ID: Final = 0x504C4C4E  # "PLLN": marks the file as progress kept by this program
VERSION: Final = 2  # the first kept no hints
WAIT: Final = 10.0  # s for another process to finish
LONGEST_NAME: Final = 60
_SCHEMA: Final = (
    "CREATE TABLE learner (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE)",
    (
        "CREATE TABLE answer (id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learner (id), at"
        " TEXT NOT NULL, aircraft TEXT NOT NULL, topic TEXT NOT NULL, level INTEGER NOT NULL, seed INTEGER"
        " NOT NULL, number INTEGER NOT NULL, ask TEXT NOT NULL, written TEXT NOT NULL, result TEXT NOT NULL,"
        " slips TEXT NOT NULL, hints INTEGER NOT NULL DEFAULT 0)"
    ),
    "CREATE INDEX answer_learner ON answer (learner, topic)",
)


def learners_path() -> Path:
    """Where progress is kept: in the user's data folder."""
    return data_folder() / "learners.sqlite"


@frozen
class TopicProgress:
    """One learner in one topic: `asked`, `points` earned, highest `level` met, day of the `last` answer, and
    slips with their counts.
    """

    topic: str
    asked: int
    points: float
    level: int
    last: str
    slips: tuple[tuple[str, int], ...]


@frozen
class LearnerProgress:
    """Everything kept about a learner, in the order of the topics' names."""

    name: str
    topics: tuple[TopicProgress, ...]

    def due(self, topics: Sequence[str], today: date) -> list[str]:
        """The topics in the order they should come: what was never asked stands between what is long due and
        what is not.

        A topic is due again after a day, twice as long for each tenth of its points beyond a half that was
        earned; how many times that wait is over says how urgent it is.
        """
        known = {each.topic: each for each in self.topics}

        def urgent(topic: str) -> float:
            each = known.get(topic)
            if each is None:
                return 1.0
            wait: float = 2.0 ** max(0.0, 10 * (each.points / each.asked - 0.5))
            return ((today - date.fromisoformat(each.last)).days + 0.5) / wait

        return sorted(topics, key=lambda topic: -urgent(topic))

    def left(self, topics: Sequence[str]) -> list[str]:
        """What is left to learn: never asked, or less than four fifths of the points earned."""
        known = {each.topic: each for each in self.topics}
        return [each for each in topics if each not in known or known[each].points < 0.8 * known[each].asked]


def checked_name(name: str) -> str:
    """A learner's name as kept, its spaces single. Raises InputRefused if empty, long, or not printable."""
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME or not plain.isprintable():
        needed = f"needed 1 to {LONGEST_NAME} printable letters"
        raise refused("--learner", "learner-name", f"{name!r} is not a name to keep", needed)
    return plain


@contextmanager
def _opened() -> Iterator[sqlite3.Connection]:
    """The database, made where there is none; every failure is told as a finding."""
    path, connection = learners_path(), None
    try:
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.touch(mode=0o600, exist_ok=True)  # nobody else on this machine may read it
        connection = connected(path, WAIT)
        connection.execute("PRAGMA secure_delete = ON")
        _prepare(path, connection)
        yield connection
    except sqlite3.OperationalError as error:
        told, needed = f"progress cannot be read or kept: {error}", "needed a free file on a disk with space"
        raise refused(path, "learners-busy", told, needed, "try again") from None
    except sqlite3.DatabaseError as error:
        raise _foreign(path, f"not a progress file: {error}") from None
    except OSError as error:
        raise unwritable(path, error) from None
    finally:
        if connection is not None:
            connection.close()


def _foreign(path: Path, told: str) -> InputRefused:
    needed, hint = "needed the file this program wrote", "move it away to begin anew"
    return refused(path, "learners-unreadable", told, needed, hint)


def _prepare(path: Path, connection: sqlite3.Connection) -> None:
    with transaction(connection):
        mark, version = (
            connection.execute(f"PRAGMA {each}").fetchone()[0] for each in ("application_id", "user_version")
        )
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if not tables:
            for statement in _SCHEMA:
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        elif mark == APPLICATION_ID and version == 1:
            connection.execute("ALTER TABLE answer ADD COLUMN hints INTEGER NOT NULL DEFAULT 0")
        elif mark != APPLICATION_ID or version != VERSION:
            raise _foreign(path, "another program's file, or a newer one")
        connection.execute(f"PRAGMA user_version = {VERSION}")


def numbered(
    problems: Sequence[Problem], marks: Sequence[tuple[Mark, ...]]
) -> list[tuple[int, Problem, tuple[Mark, ...]]]:
    """Marked problems of a set as they are kept; those without marks are left out."""
    return [(n, *each) for n, each in enumerate(zip(problems, marks, strict=False), 1)]


def keep(
    name: str, seed: int, entries: Iterable[tuple[int, Problem, tuple[Mark, ...]]], once: bool = False
) -> None:
    """Keep marked problems of a learner, all of them or, where writing fails, none.

    Parameters: `name`; `seed` of the set; `entries` of (number in the set, problem, marks); `once` for a
    sheet, whose later marks take the place of earlier ones. Blank answers are not kept.
    Raises InputRefused where they cannot be kept.
    """
    at = datetime.now(UTC).isoformat(timespec="seconds")
    plain = checked_name(name)
    with _opened() as connection, transaction(connection):
        connection.execute("INSERT OR IGNORE INTO learner (name) VALUES (?)", (plain,))
        (learner,) = connection.execute("SELECT id FROM learner WHERE name = ?", (plain,)).fetchone()
        for number, problem, mark in ((n, each, mark) for n, each, marks in entries for mark in marks):
            if mark.result == "blank":
                continue
            row: dict[str, str | int] = {"learner": learner, "aircraft": problem.aircraft.name, "seed": seed}
            row |= {"topic": problem.topic, "level": problem.level, "number": number, "ask": mark.ask.key}
            if once:
                same = " AND ".join(f"{column} = :{column}" for column in row)
                connection.execute(f"DELETE FROM answer WHERE {same}", row)
            row |= {"at": at, "written": mark.written[:200], "result": mark.result, "hints": mark.hints}
            row |= {"slips": ",".join(each.slip.name for each in mark.slips)}
            values = ", ".join(f":{column}" for column in row)
            connection.execute(f"INSERT INTO answer ({', '.join(row)}) VALUES ({values})", row)


def names() -> tuple[str, ...]:
    """Every learner kept."""
    if not learners_path().exists():
        return ()
    with _opened() as connection:
        return tuple(name for (name,) in connection.execute("SELECT name FROM learner ORDER BY name"))


def _known(name: str) -> str:
    plain, known = checked_name(name), names()
    if plain not in known:
        hint = closest(plain, known) if known else "nothing is kept about anyone"
        raise refused("--learner", "learner-unknown", f"nothing is kept about '{plain}'", hint=hint)
    return plain


def progress(name: str) -> LearnerProgress:
    """What is kept about a learner. Raises InputRefused where nothing is."""
    plain = _known(name)
    with _opened() as connection:
        rows = connection.execute(
            "SELECT topic, level, at, result, slips, hints FROM answer"
            " JOIN learner ON learner.id = answer.learner WHERE name = ? ORDER BY answer.id",
            (plain,),
        ).fetchall()
    by_topic: dict[str, list[tuple[int, str, Result, str, int]]] = {}
    for topic, *answer in rows:
        by_topic.setdefault(topic, []).append(tuple(answer))
    found = []
    for topic, answers in sorted(by_topic.items()):
        slips = [each for _, _, _, made, _ in answers for each in made.split(",") if each]
        points = sum(points_of(result, hints) for _, _, result, _, hints in answers)
        found.append(
            TopicProgress(
                topic=topic,
                asked=len(answers),
                points=points,
                level=max(level for level, *_ in answers),
                last=answers[-1][1][:10],
                slips=ranked(slips),
            )
        )
    return LearnerProgress(plain, tuple(found))


def forget(name: str) -> int:
    """Erase for good what is kept of a learner; returns how many answers. Raises InputRefused for none."""
    plain = _known(name)
    with _opened() as connection:
        with transaction(connection):
            inner = "(SELECT id FROM learner WHERE name = ?)"
            gone = connection.execute(f"DELETE FROM answer WHERE learner = {inner}", (plain,)).rowcount
            connection.execute("DELETE FROM learner WHERE name = ?", (plain,))
        connection.execute("VACUUM")
    sittings.erase(plain)
    return gone
