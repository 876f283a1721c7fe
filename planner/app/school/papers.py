"""Files a class is given: sheets, mock papers, keys, handouts, and the page for a phone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from planner.app.common import must_be_new, page, print_json, refuse_option

if TYPE_CHECKING:
    from planner.school.marking.sheetcode import SheetCode
    from planner.school.topics import ProblemSet


def write_both(
    sheet: Path,
    key: Path | None,
    kinds: tuple[str, ...],
    made: Callable[[str, bool], bytes],
    option: str = "--sheet",
) -> list[tuple[Path, bool]]:
    """Write a sheet and, where one is wanted, its key; neither overwrites anything, and where one cannot be
    written neither is.

    Parameters: `kinds`, the endings there may be; `made`, the file of an ending, True for the key. Returns
    each file and whether it is the key.
    """
    from planner.quantities.files import write_new

    files = [(sheet, False)] + ([(key, True)] if key is not None else [])
    for path, is_key in files:
        if path.suffix.lower() not in kinds:
            asked, kind = "--answers" if is_key else option, " or ".join(kinds)
            needed = f"needed a name that ends in {kind}"
            raise refuse_option(asked, "practise-sheet-kind", f"'{path}' is no {kind}", needed)
        must_be_new(path)
    if key is not None and key.resolve() == sheet.resolve():
        raise refuse_option("--answers", "file-exists", "sheet and key are the same file", "needed two names")
    for path, data in [(path, made(path.suffix.lower(), is_key)) for path, is_key in files]:
        write_new(path, data)
    return files


def _tell(files: list[tuple[Path, bool]], words: tuple[str, str], count: str, then: str) -> None:
    shows = page()
    for path, is_key in files:
        shows.paragraph(f"{path}: {words[is_key]}{count}.", first="", rest="  ")
    shows.paragraph(then, first="", rest="  ")


def write_sheets(
    found: ProblemSet, code: SheetCode, sheet: Path | None, key: Path | None, phone: Path | None, json: bool
) -> None:
    """The class sheet and its key, or the page."""
    from planner.views.school.practice_page import page_html
    from planner.views.school.practice_paper import FORMS, sheet_of

    files, seed = [], code.seed
    if phone is not None:
        files = write_both(
            phone, None, (".html",), lambda _form, _key: page_html(found, str(code)).encode(), "--page"
        )
    if sheet is not None:
        files += write_both(sheet, key, FORMS, lambda form, key: sheet_of(found, str(code), form, key=key))
    if json:
        from planner.views.school.practice_json import set_json

        told = set_json(found, str(code), seed, solved=True)
        print_json(told | {"written": [str(path) for path, _ in files]})
        return
    count = f", {len(found.problems)} problems, seed {seed}"
    first = files[0][0]
    then = f"To mark a class: planner mark {first} ANSWERS.yaml (see docs/practise.md)"
    _tell(files, ("the page" if phone == first else "the sheet", "the key"), count, then)


def write_papers(path: str, names: list[str], sheet: Path, key: Path | None) -> None:
    """A paper for every learner in one file, each on pages of its own, and all keys in another."""
    from planner.app.school.prompt import set_of
    from planner.school.marking.mock import read_test
    from planner.views.school.practice_paper import FORMS, papers_file

    test = read_test(path)
    papers = [(name, set_of(test, name)) for name in names]
    files = write_both(sheet, key, FORMS, lambda form, key: papers_file(test, papers, form, key=key))
    then = f"To mark them: planner mark {path} ANSWERS.csv"
    _tell(files, ("the papers", "the keys"), f" of {len(papers)} learners", then)
