"""Every small change that can be made to one expression of a module, and where."""

from __future__ import annotations

import ast
import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

FOLDERS = ("density", "flight", "plan", "search", "sweep", "sureness", "logbook/ledger/balance.py")
ENGINE = (
    *(f"planner/quantities/{name}.py" for name in ("effects", "moments", "polygon")),
    *(f"planner/{name}" for name in FOLDERS),
    "planner/logbook/mass/hung.py",
)

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.GtE),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.LtE),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
RECKONED: dict[type[ast.operator], tuple[type[ast.operator], ...]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitOr: (ast.BitAnd,),
}
# Names that stand beside each other in the trade and are easily taken for one another.
TWINS = (
    ("moment", "lateral_moment"),
    ("arm", "lateral_arm"),
    ("arm_u", "side_u"),
    ("forward", "aft"),
    ("low", "high"),
    ("least", "greatest"),
    ("minimum", "maximum"),
    ("min", "max"),
    ("any", "all"),
    ("start", "end"),
    ("volume", "mass"),
    ("usable", "unusable"),
    ("take_off", "landing"),
    ("dx", "dy"),
    ("value", "u"),
)
TWIN = {a: b for pair in TWINS for a, b in (pair, pair[::-1])}
# What says the same with its arguments the other way round.
EITHER_WAY = {"min", "max", "minimum", "maximum", "hypot"}
# What is said to a person is not the engine's: words and the digits shown.
SAID = {"say", "Figure", "Finding", "book", "span_of", "refuse"}


@dataclass(frozen=True, slots=True)
class Change:
    """One expression of one file replaced: `start` and `end` are offsets in its UTF-8 bytes; `lines` those
    its statement or test covers.
    """

    path: str
    line: int
    column: int
    lines: tuple[int, int]
    start: int
    end: int
    old: str
    new: str
    kind: str

    @property
    def name(self) -> str:
        return f"{self.path}:{self.line}:{self.column}: {self.old}  ->  {self.new}"

    @property
    def plain(self) -> str:
        """The name without the column."""
        return f"{self.path}:{self.line}: {self.old}  ->  {self.new}"

    def text(self, source: bytes) -> bytes:
        """The file with the change in it."""
        return source[: self.start] + self.new.encode() + source[self.end :]


def engine_files(root: Path) -> list[str]:
    """The modules of the engine, as paths from the root."""
    found: list[str] = []
    for name in ENGINE:
        path = root / name
        found += (
            [name] if path.is_file() else sorted(str(each.relative_to(root)) for each in path.rglob("*.py"))
        )
    return found


def _with(node: ast.expr, **fields: object) -> ast.expr:
    other = copy.copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other


def _constant(node: ast.Constant) -> Iterator[tuple[str, ast.expr]]:
    value = node.value
    if isinstance(value, bool):
        yield "truth", ast.Constant(not value)
    elif isinstance(value, int | float):
        yield "constant", ast.Constant(value + 1)
        yield "constant", ast.Constant(value - 1)
        if value:
            yield "sign", ast.UnaryOp(ast.USub(), ast.Constant(value))


def _call(node: ast.Call) -> Iterator[tuple[str, ast.expr]]:
    if ast.unparse(node.func).rpartition(".")[2] in EITHER_WAY:
        return
    plain = all(not isinstance(each, ast.Starred) for each in node.args)
    if plain and 2 <= len(node.args) <= 6:
        for i in range(len(node.args) - 1):
            one, two = node.args[i], node.args[i + 1]
            named = isinstance(one, ast.Name | ast.Attribute) and isinstance(two, ast.Name | ast.Attribute)
            if named and ast.dump(one) != ast.dump(two):
                yield "arguments", _with(node, args=[*node.args[:i], two, one, *node.args[i + 2 :]])


def _twin(node: ast.Name | ast.Attribute, known: set[str]) -> Iterator[tuple[str, ast.expr]]:
    if not isinstance(node.ctx, ast.Load):
        return
    # Only where the module has the other name too: a name that is not there at all is noticed by any test,
    # and says nothing.
    if isinstance(node, ast.Attribute) and TWIN.get(node.attr) in known:
        yield "twin", _with(node, attr=TWIN[node.attr])
    if isinstance(node, ast.Name) and TWIN.get(node.id) in known:
        yield "twin", _with(node, id=TWIN[node.id])


def _others(node: ast.expr, known: set[str]) -> Iterator[tuple[str, ast.expr]]:
    """What could stand here instead, with the kind of the change."""
    match node:
        case ast.Compare():
            for i, op in enumerate(node.ops):
                for other in COMPARED[type(op)]:
                    yield "comparison", _with(node, ops=[*node.ops[:i], other(), *node.ops[i + 1 :]])
        case ast.BoolOp():
            yield "and/or", _with(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.BinOp():
            for other in RECKONED.get(type(node.op), ()):
                yield "arithmetic", _with(node, op=other())
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield ("not" if isinstance(node.op, ast.Not) else "sign"), node.operand
        case ast.IfExp():
            yield "other branch", _with(node, body=node.orelse, orelse=node.body)
        case ast.Constant():
            yield from _constant(node)
        case ast.Call():
            yield from _call(node)
        case ast.Name() | ast.Attribute():
            yield from _twin(node, known)


class _Finder:
    def __init__(self, path: str, source: bytes) -> None:
        self.path, self.source, self.found = path, source, list[Change]()
        self.known = set(re.findall(r"\w+", source.decode()))
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def add(self, node: ast.expr, kind: str, new: str, lines: tuple[int, int]) -> None:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start, end = (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )
        old = self.source[start:end].decode()
        self.found.append(
            Change(
                self.path,
                node.lineno,
                node.col_offset + 1,
                lines,
                start,
                end,
                " ".join(old.split()),
                new,
                kind,
            )
        )

    def expression(self, node: ast.AST, lines: tuple[int, int], parent: ast.AST | None = None) -> None:
        if isinstance(node, ast.JoinedStr):
            return  # words; and their places are not told before Python 3.12
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAID:
            return
        if isinstance(node, ast.expr):
            for kind, other in _others(node, self.known):
                text = ast.unparse(ast.fix_missing_locations(other))
                bare = isinstance(other, ast.Name | ast.Attribute | ast.Call) or (
                    isinstance(other, ast.Constant) and parent is None
                )
                self.add(node, kind, text if bare else f"({text})", lines)
        for name, child in ast.iter_fields(node):
            if name == "annotation" or (isinstance(node, ast.keyword) and node.arg in ("extra", "strict")):
                continue
            for each in child if isinstance(child, list) else [child]:
                if isinstance(each, ast.AST):
                    self.expression(each, lines, node)

    def statement(self, node: ast.stmt) -> None:
        span = (node.lineno, node.end_lineno or node.lineno)
        match node:
            case ast.Import() | ast.ImportFrom() | ast.Raise() | ast.Assert():
                return
            case ast.FunctionDef():
                for each in (*node.args.defaults, *(d for d in node.args.kw_defaults if d)):
                    self.expression(each, (node.lineno, node.body[0].lineno - 1))
            case ast.ClassDef():
                pass
            case ast.If() | ast.While():
                lines = (node.lineno, node.test.end_lineno or node.lineno)
                self.expression(node.test, lines)
                if not isinstance(node.test, ast.Compare | ast.UnaryOp):
                    self.add(node.test, "other branch", f"(not ({ast.unparse(node.test)}))", lines)
            case ast.For():
                self.expression(node.iter, (node.lineno, node.iter.end_lineno or node.lineno))
            case ast.With():
                for item in node.items:
                    self.expression(item.context_expr, (node.lineno, node.lineno))
            case ast.Expr(value=ast.Constant()):
                return  # a docstring
            case ast.AnnAssign():
                if node.value is not None and not (
                    isinstance(node.annotation, ast.Name) and node.annotation.id == "TypeAlias"
                ):
                    self.expression(node.value, span)
            case ast.Match():
                self.expression(node.subject, (node.lineno, node.lineno))
                for arm in node.cases:
                    for each in arm.body:
                        self.statement(each)
            case _:
                if not any(isinstance(each, ast.stmt) for each in ast.iter_child_nodes(node)):
                    self.expression(node, span)
        for name in ("body", "orelse", "finalbody"):
            for each in getattr(node, name, []):
                if isinstance(each, ast.stmt):
                    self.statement(each)
        for handler in getattr(node, "handlers", []):
            for each in handler.body:
                self.statement(each)


def changes(path: str, source: bytes) -> list[Change]:
    """Every change of a file whose compiled code differs from the file's own."""
    finder = _Finder(path, source)
    for node in ast.parse(source).body:
        finder.statement(node)
    return finder.found


def differs(change: Change, source: bytes) -> bool:
    """Whether the change compiles to other code than the file does (it always compiles: that is asserted)."""
    mine, other = (ast.dump(ast.parse(text)) for text in (source, change.text(source)))
    return mine != other
