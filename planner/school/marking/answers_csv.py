"""Answers from a spreadsheet: a row for each learner, a column for each label."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

from planner.quantities.errors import Finding
from planner.records.document import all_or_refuse
from planner.school.marking.answers import Given, take


def rows_of(path: str, text: str) -> list[tuple[int, list[str]]]:
    """(line, cells) of every row that is not empty, the names without spaces around them.

    Raises InputRefused where there is no row of answers, a row has no name, or a name stands twice.
    """
    first = text.partition("\n")[0]
    cells = csv.reader(io.StringIO(text), delimiter=max(",;\t", key=first.count))
    rows = [
        (line, [cell.strip() for cell in row])
        for line, row in enumerate(cells, 1)
        if any(map(str.strip, row))
    ]
    findings: list[Finding] = []
    if len(rows) < 2:
        wrong = Finding("answers-empty", "there are no answers", "needed a row of labels and a row a learner")
        findings.append(wrong.at(path, 1, 1))
    seen: set[str] = set()
    for line, row in rows[1:]:
        row[0] = " ".join(row[0].split())
        if not row[0] or row[0] in seen:
            told = f"the name '{row[0]}' stands twice" if row[0] else "the row has no name"
            findings.append(
                Finding("answer-learner", told, "needed one row for each learner").at(path, line, 1)
            )
        seen.add(row[0])
    all_or_refuse(findings)
    return rows


def read_csv(
    path: str, text: str, known: Mapping[str, tuple[int, str]], only: str | None = None
) -> dict[str, Given]:
    """Answers of every learner: name -> index of the problem -> key of the ask -> as written.

    Parameters: `path` for its findings; `text` with commas, semicolons or tabs between cells, its first row
    the heads: anything over the names, then labels as printed; `known` the labels of the sheet; `only` this
    learner. Raises InputRefused with every answer under a head that is no label, and as rows_of.
    """
    (_, heads), *rows = rows_of(path, text)
    findings: list[Finding] = []
    found: dict[str, Given] = {}
    wrong: set[str] = set()
    for _, row in rows:
        if only is not None and row[0] != only:
            continue
        mine = found.setdefault(row[0], {})
        for column, cell in enumerate(row[1:], 2):
            head = heads[column - 1].lower() if column <= len(heads) else ""
            if cell and head not in wrong and (told := take(mine, known, head, cell)):
                wrong.add(head)
                findings.append(told.at(path, 1, column))
    all_or_refuse(findings)
    return found
