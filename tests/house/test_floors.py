"""Records -> engine -> report: a module imports only from the floors below its own, wherever in the module
the import stands.
"""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "planner"

# Lowest first. A name is a folder or a module of planner/, with dots; the longest that fits a module
# names its floor.
FLOORS = (
    ("quantities.frozen",),
    ("quantities.errors",),
    ("quantities.units", "quantities.files", "quantities.many"),
    ("quantities",),
    ("facts",),
    ("records",),
    ("density",),
    ("flight.fuel",),
    ("flight.reserves", "flight.limits", "flight.curve"),
    ("flight.loading", "flight.envelope", "flight.burn"),
    ("flight.model",),
    ("flight",),
    ("logbook",),
    ("sureness.certainty", "search.solve", "sweep.block"),
    ("plan",),
    ("sweep",),
    ("sureness",),
    ("search",),
    ("school",),
    ("views",),
    ("api",),
    ("app",),
    ("__main__",),
)
FLOOR_OF = {name: number for number, floor in enumerate(FLOORS) for name in floor}


def floor_name(dotted: str) -> str:
    """The longest name of a floor that a dotted name below `planner.` begins with."""
    pieces = dotted.split(".")
    names = (".".join(pieces[:length]) for length in range(len(pieces), 0, -1))
    return next((name for name in names if name in FLOOR_OF), pieces[0])


# The public face of the library: it names things of every floor and loads none of them itself
# (test_public_names.py).
FACE = PACKAGE / "__init__.py"


def modules() -> list[Path]:
    return [path for path in sorted(PACKAGE.rglob("*.py")) if path != FACE]


def part_of(path: Path) -> str:
    """The floor that a file belongs to."""
    pieces = path.relative_to(PACKAGE).with_suffix("").parts
    return floor_name(".".join(pieces[:-1] if pieces[-1] == "__init__" else pieces))


def imported(tree: ast.AST) -> set[str]:
    """Dotted names below `planner` that a module imports, at its top or inside a function."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names if alias.name.split(".")[0] == "planner"}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full, so that this test can read them"
            if node.module == "planner":
                names |= {f"planner.{alias.name}" for alias in node.names}
            elif node.module and node.module.startswith("planner."):
                # `from planner.flight import burn` means the module, not whatever its package holds.
                folder = PACKAGE.joinpath(*node.module.split(".")[1:])
                parts = {
                    f"{node.module}.{alias.name}"
                    for alias in node.names
                    if (folder / f"{alias.name}.py").is_file()
                }
                names |= parts or {node.module}
    return names


def wrong_imports(part: str, names: set[str]) -> list[str]:
    """The names that a part may not import."""
    wrong = []
    for name in sorted(names):
        target = floor_name(name.removeprefix("planner."))
        if target == part:
            continue
        if FLOOR_OF.get(target, len(FLOORS)) >= FLOOR_OF.get(part, 0):
            wrong.append(name)
    return wrong


def test_every_module_has_a_floor() -> None:
    homeless = {part_of(path) for path in modules()} - FLOOR_OF.keys()
    assert not homeless, f"give these a floor: {sorted(homeless)}"


def test_a_module_imports_only_from_below() -> None:
    wrong = {
        str(path.relative_to(PACKAGE)): names
        for path in modules()
        if (names := wrong_imports(part_of(path), imported(ast.parse(path.read_text(encoding="utf-8")))))
    }
    assert not wrong, f"imported from its own floor or above: {wrong}"


def test_the_check_sees_an_import_inside_a_function() -> None:
    names = imported(ast.parse("def f():\n    from planner.views import words\n    import planner.app.app\n"))
    assert names == {"planner.views.words", "planner.app.app"}
    assert wrong_imports("flight.envelope", names) == ["planner.app.app", "planner.views.words"]
    assert wrong_imports("flight.envelope", {"planner.flight.burn"}) == ["planner.flight.burn"]
    assert wrong_imports("flight.envelope", {"planner.quantities.polygon", "planner.facts.rules"}) == []


def test_the_engine_prints_nothing_and_knows_no_terminal() -> None:
    for path in modules():
        if FLOOR_OF.get(part_of(path), 0) < FLOOR_OF["views"]:
            tree = ast.parse(path.read_text(encoding="utf-8"))
            called = {
                node.func.id
                for node in ast.walk(tree)
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            }
            outside = {
                alias.name.split(".")[0]
                for node in ast.walk(tree)
                if isinstance(node, ast.Import)
                for alias in node.names
            } | {
                node.module.split(".")[0]
                for node in ast.walk(tree)
                if isinstance(node, ast.ImportFrom) and node.module
            }
            assert not called & {"print", "input"}, path
            assert not outside & {"rich", "typer", "click"}, path


# What judges a flight reads its model and never a record; records are compiled once, in plan/compiling.py
# and what it calls.
EVALUATORS = (
    *(f"quantities/{name}" for name in ("moments", "polygon", "effects")),
    *(f"flight/{name}" for name in ("fuel", "reserves", "envelope", "burn", "doubt", "model")),
    *("plan/states", "plan/fuelling", "sureness/certainty", "sureness/margins", "sureness/chance"),
    *("search/solve", "sweep/block"),
)


def test_no_evaluator_reads_a_record() -> None:
    for name in EVALUATORS:
        files = sorted((PACKAGE / name).rglob("*.py")) or [PACKAGE / f"{name}.py"]
        assert all(path.is_file() for path in files), f"{name} is not where this test looks"
        for path in files:
            names = imported(ast.parse(path.read_text(encoding="utf-8")))
            assert not [each for each in names if each.split(".")[1] == "records"], path
