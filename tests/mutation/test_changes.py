"""The changes drawn are changes: each compiles, each differs, each lies where it says; what is said to a
person is left alone.
"""

from __future__ import annotations

import ast
import random
from pathlib import Path

from tests.mutation.changes import changes, differs, engine_files
from tests.mutation.equal import EQUAL
from tests.mutation.reach import _marked
from tests.mutation.standing import changed_functions

ROOT = Path(__file__).resolve().parents[2]

SOURCE = b'''"""Words 1 + 1."""
FULL = 3

def least(low: float, high: float = 2.0) -> float:
    """More words."""
    if low < high and not high:
        raise ValueError(1 + 1)
    say("{} litres", Figure(low + 1, "volume"))
    return min(low, high) if high >= 0 else -low / 2
'''


def test_every_kind_of_change_is_made_and_compiles() -> None:
    found = changes("some.py", SOURCE)
    made = {each.text(SOURCE).decode().splitlines()[each.line - 1].strip() for each in found}
    assert "FULL = (4)" in made
    assert "if (low < high or not high):" in made
    assert "if (low <= high) and not high:" in made
    assert "if low < high and high:" in made
    assert "return (-low / 2 if high >= 0 else min(low, high))" in made
    assert "return max(low, high) if high >= 0 else -low / 2" not in made, "max is not a name of this module"
    assert not any("min(high, low)" in each for each in made), (
        "the least of two is the least either way round"
    )
    assert "return min(low, high) if high >= 0 else (-low * 2)" in made
    assert {each.line for each in found} == {2, 4, 6, 9}, (
        "words, what is refused and what is said are left alone"
    )
    for each in found:
        compile(each.text(SOURCE), "some.py", "exec")
        assert differs(each, SOURCE)


def test_changes_of_the_engine_compile_and_differ() -> None:
    every = [
        (path, each) for path in engine_files(ROOT) for each in changes(path, (ROOT / path).read_bytes())
    ]
    assert len(every) > 5000
    for path, each in random.Random(3).sample(every, 40):
        source = (ROOT / path).read_bytes()
        assert differs(each, source), each.name
        assert each.old.split()[0][:1] in source.decode().splitlines()[each.line - 1]


def test_marks_change_nothing_but_what_is_counted() -> None:
    statements: list[tuple[str, int]] = []
    text = _marked(
        b"from __future__ import annotations\n\ndef f(x):\n    '''Words.'''\n    if x:\n        return 1\n   "
        b" return 2\n",
        "f.py",
        statements,
    )
    assert [line for _, line in statements] == [3, 5, 6, 7]
    space: dict[str, object] = {"_marks": bytearray(9)}
    exec(compile(ast.parse(text), "f.py", "exec"), space)
    marks = space["_marks"]
    assert isinstance(marks, bytearray)
    marks[:] = bytes(len(marks))
    assert space["f"](0) == 2  # type: ignore[operator]
    assert list(marks[:4]) == [0, 1, 0, 1]


def test_a_change_judged_equal_is_still_there() -> None:
    """A line that was judged and has been written anew is judged anew."""
    for each in EQUAL:
        path = ROOT / each.path
        source = path.read_bytes()
        assert any(each.is_of(change, source.decode()) for change in changes(each.path, source)), each
        assert each.why


def test_a_change_in_a_function_is_told_from_one_made_as_the_module_is_read() -> None:
    text = (
        "A = 1\ndef f(x, y=2):\n    return [x + i for i in range(y)]\n"
        "class C:\n    z = 3\n    def g(self):\n        return 4\n"
    )
    for old, new, functions in (
        ("x + i", "x - i", {"f"}),
        ("return 4", "return 5", {"C.g"}),
        ("A = 1", "A = 2", None),
        ("y=2", "y=3", None),
        ("z = 3", "z = 4", None),
        ("", "", set()),
    ):
        one, two = (compile(source, "m.py", "exec") for source in (text, text.replace(old, new)))
        found = changed_functions(one, two)
        assert (
            None if found is None else {each.co_qualname for each, _, outer in found if outer}
        ) == functions
