"""Modules stay short enough to be read in one sitting; those still longer are listed, and may only shrink."""

from __future__ import annotations

import re
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "planner"
LONGEST = 300
MOST_MODULES = 10  # of one folder, its __init__ not counted

# Lines of the modules that are longer. A new one does not belong here: split it.
LONGER: dict[str, int] = {
    "logbook/ledger/entries.py": 406,
    "logbook/mass/amend.py": 354,
    "quantities/units.py": 424,
    "records/sheets/bench.py": 322,
    "views/page/model_json.py": 307,
    "views/words.py": 363,
}


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_module_is_too_long() -> None:
    long = {
        name: length
        for path in PACKAGE.rglob("*.py")
        if (length := lines(path)) > LONGER.get(name := str(path.relative_to(PACKAGE)), LONGEST)
    }
    assert not long, f"split these: {long}"


def test_every_module_listed_is_still_longer() -> None:
    for name in LONGER:
        assert lines(PACKAGE / name) > LONGEST, f"{name} is short again: take it off the list"


def test_no_folder_holds_too_many_modules() -> None:
    folders = {path.parent for path in PACKAGE.rglob("*.py")}
    many = {
        str(folder.relative_to(PACKAGE)): count
        for folder in folders
        if (count := sum(path.name != "__init__.py" for path in folder.glob("*.py"))) > MOST_MODULES
    }
    assert not many, f"make a sub-folder: {many}"


def test_no_two_classes_have_one_name() -> None:
    homes: dict[str, list[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        for name in re.findall(r"^class (\w+)", path.read_text(encoding="utf-8"), re.M):
            homes.setdefault(name, []).append(str(path.relative_to(PACKAGE)))
    assert not {name: where for name, where in homes.items() if len(where) > 1}
