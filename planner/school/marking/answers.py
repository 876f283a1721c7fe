"""Answers in a file: one learner's, or a class's."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, Literal

from pydantic import Field

from planner.quantities.errors import Finding, closest
from planner.quantities.files import refused
from planner.records.document import MAX_BYTES, Location, all_or_refuse, read
from planner.records.fields import Record, validate
from planner.school.problem import Problem

ONE: Final = ""  # the name of a learner whose file names nobody
_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"


class AnswerFile(Record):
    """`answers: 1`, and `given:` (label -> answer), or `learners:` (name -> label -> answer) of a class."""

    answers: Literal[1]
    given: dict[str, Any] = Field(default_factory=dict)
    learners: dict[str, dict[str, Any]] = Field(default_factory=dict)


def labels(problems: tuple[Problem, ...]) -> dict[str, tuple[int, str]]:
    """Label of every ask as printed (`3`, or `3a`, `3b` of several) -> (index of its problem, its key)."""
    found = {}
    for index, problem in enumerate(problems):
        for place, ask in enumerate(problem.asks):
            letter = _LETTERS[place] if len(problem.asks) > 1 else ""
            found[f"{index + 1}{letter}"] = (index, ask.key)
    return found


Given = dict[int, dict[str, str]]


def take(mine: Given, known: Mapping[str, tuple[int, str]], label: str, text: str) -> Finding | None:
    """Put an answer where its label stands on the sheet; where it does not, what is wrong."""
    if label.lower() not in known:
        return Finding("answer-label", f"there is no '{label}' on the sheet", hint=closest(label, known))
    index, key = known[label.lower()]
    mine.setdefault(index, {})[key] = text
    return None


def document_text(
    path: str | Path, needed: str = "needed a file of UTF-8", hint: str = "", errors: str = "strict"
) -> str:
    """The text of a file of answers, or of a sheet. Raises InputRefused where it cannot be read."""
    try:
        with open(path, "rb") as stream:
            return stream.read(MAX_BYTES).decode("utf-8-sig", errors)
    except (OSError, ValueError) as error:  # ValueError: a NUL byte in the name
        reason = getattr(error, "strerror", None) or str(error)
        raise refused(path, "file-unreadable", f"cannot be read: {reason}", needed, hint) from None


def names_in(path: str) -> tuple[str, ...]:
    """The learners in a file of answers, in its order."""
    if path.lower().endswith(".csv"):
        from planner.school.marking.answers_csv import rows_of

        return tuple(row[0] for _, row in rows_of(path, document_text(path))[1:])
    record = validate(read(path), AnswerFile, "answers")
    return ((ONE,) if record.given else ()) + tuple(record.learners)


def read_answers(path: str, problems: tuple[Problem, ...], only: str | None = None) -> dict[str, Given]:
    """Answers of every learner in a file: name -> index of the problem -> key of the ask -> as written.

    Parameters: `path`, or `-` for standard input; `problems` the labels belong to; `only` this learner, where
    each has other problems. A learner without a name is ''. Raises InputRefused with every label that is not
    on the sheet and every answer that is not plain text.
    """
    if path.lower().endswith(".csv"):
        from planner.school.marking.answers_csv import read_csv

        return read_csv(path, document_text(path), labels(problems), only)
    document = read(path)
    record = validate(document, AnswerFile, "answers")
    known = labels(problems)
    findings: list[Finding] = []
    result: dict[str, Given] = {}
    parts: list[tuple[str, Location, Mapping[str, Any]]] = [
        (name, ("learners", name), each) for name, each in record.learners.items()
    ]
    if record.given:
        parts.insert(0, (ONE, ("given",), record.given))
    if not parts:
        needed = "needed 'given:' or 'learners:'"
        wrong = Finding("answers-empty", "there are no answers", needed, "see docs/practise.md")
        findings.append(document.place(wrong))
    for name, location, given in parts:
        if only is not None and name != only:
            continue
        mine = result.setdefault(name, {})
        for label, value in given.items():
            here = (*location, label)
            if label.lower() in known and isinstance(value, (dict, list)):
                told = f"the answer to {label} is a list"
                wrong = Finding("answer-not-text", told, "needed one answer", "write it in quotes")
                findings.append(document.place(wrong, here))
            elif no_label := take(mine, known, label, "" if value is None else str(value)):
                findings.append(document.place(no_label, here, key=True))
    all_or_refuse(findings)
    return result
