"""Small breakages of source code, found by its syntax tree: each replaces one expression or statement by its text.

Comparisons move by their edge or turn round, arithmetic changes its sign, *and* becomes *or*, numbers move, a condition
never holds, a filter lets everything through, the least becomes the most, a statement is left out. Left alone are
annotations, decorators, docstrings, what is raised, and text: they are judged elsewhere.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["Mutant", "applied", "mutants_of"]

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
NAMES = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "minimum": "maximum",
    "maximum": "minimum",
    "floor": "ceil",
    "ceil": "floor",
    "largest": "smallest",
}
#: Arguments that only make a mistake be noticed sooner.
IDLE = frozenset({"strict", "slots", "frozen", "least"})
SKIPPED = (ast.JoinedStr, ast.Raise, ast.Import, ast.ImportFrom, ast.Assert)


@dataclass(frozen=True, slots=True)
class Mutant:
    """One breakage: where it is, by which kind of change, the source before and after, and the bytes it replaces."""

    path: str
    within: str
    kind: str
    before: str
    after: str
    line: int
    start: int
    end: int
    nth: int = 0

    @property
    def key(self) -> tuple[str, str, str, str, int]:
        """What it is known by while lines above it come and go."""
        return self.path, self.within, self.before, self.after, self.nth

    def __str__(self) -> str:
        """Where it is and what changes."""
        again = f" (no. {self.nth + 1})" if self.nth else ""
        return f"{self.path}:{self.line} {self.within}: {self.before}  ->  {self.after}{again}"


def applied(source: str, mutant: Mutant) -> str:
    """The source with the breakage in it."""
    data = source.encode()
    return (data[: mutant.start] + mutant.after.encode() + data[mutant.end :]).decode()


def mutants_of(path: str, source: str) -> list[Mutant]:
    """Every breakage of a source file, in the order of the file."""
    lines = [0]
    for line in source.encode().splitlines(keepends=True):
        lines.append(lines[-1] + len(line))
    found: list[Mutant] = []
    seen: dict[tuple[str, str, str], int] = {}
    for within, kind, node, text in _Walk().of(ast.parse(source)):
        start = lines[node.lineno - 1] + node.col_offset
        end = lines[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
        before = " ".join(source.encode()[start:end].decode().split())
        if text is None or ast.unparse(node) == text:
            continue
        nth = seen.get((within, before, text), 0)
        seen[within, before, text] = nth + 1
        found.append(Mutant(path, within, kind, before, text, node.lineno, start, end, nth))
    return found


Found = tuple[str, str, ast.expr | ast.stmt, str | None]


class _Walk:
    """A walk over a tree that keeps the name of the function or class it is in."""

    def of(self, tree: ast.AST, within: str = "") -> Iterator[Found]:
        """Every change of what is below a node."""
        for child in ast.iter_child_nodes(tree):
            if isinstance(child, SKIPPED) or self._is_idle(child):
                continue
            if isinstance(child, ast.FunctionDef | ast.ClassDef | ast.AsyncFunctionDef):
                name = f"{within}.{child.name}" if within else child.name
                for part in [*child.body, *(child.args.defaults if isinstance(child, ast.FunctionDef) else ())]:
                    yield from self._node(part, name)
                continue
            if isinstance(child, ast.AnnAssign):
                if child.value is not None:
                    yield from self._node(child.value, within)
                continue
            yield from self._node(child, within)

    def _node(self, node: ast.AST, within: str) -> Iterator[Found]:
        if isinstance(node, SKIPPED) or self._is_idle(node):
            return
        if isinstance(node, ast.expr | ast.stmt):
            for kind, text in _changes(node):
                yield within, kind, node, text
        if isinstance(node, ast.If) and not isinstance(node.test, ast.Constant):
            yield within, "condition never holds", node.test, "False"
        if isinstance(node, ast.comprehension):
            for test in node.ifs:
                yield within, "filter lets all through", test, "True"
        if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.AnnAssign):
            holder = ast.Module(body=[node], type_ignores=[])
            yield from self.of(holder, within)
        else:
            yield from self.of(node, within)

    @staticmethod
    def _is_idle(node: ast.AST) -> bool:
        if isinstance(node, ast.keyword):
            return node.arg in IDLE
        if isinstance(node, ast.Expr):
            return isinstance(node.value, ast.Constant)
        named = isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name) and node.targets[0].id
        return bool(named) and named == "__all__"


def _changes(node: ast.expr | ast.stmt) -> Iterator[tuple[str, str | None]]:
    """Texts that may stand in place of a node, with the kind of change."""
    if isinstance(node, ast.Compare):
        for i, op in enumerate(node.ops):
            other = copy.deepcopy(node)
            other.ops[i] = COMPARISONS[type(op)]()
            yield "comparison", ast.unparse(other)
    elif isinstance(node, ast.BinOp) and not _is_text(node):
        yield "arithmetic", _with(node, "op", ARITHMETIC.get(type(node.op)))
    elif isinstance(node, ast.BoolOp):
        yield "boolean", _with(node, "op", ast.Or if isinstance(node.op, ast.And) else ast.And)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "boolean" if isinstance(node.op, ast.Not) else "arithmetic", f"({ast.unparse(node.operand)})"
    elif isinstance(node, ast.Constant):
        yield "constant", _constant(node.value)
    elif isinstance(node, ast.Call):
        yield from _called(node)
    elif isinstance(node, ast.AugAssign):
        yield "statement", "pass"
        plain = ast.Assign([node.target], node.value, lineno=node.lineno)
        yield "statement", ast.unparse(ast.fix_missing_locations(plain))
    elif isinstance(node, ast.Continue | ast.Break) or (
        isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)
    ):
        yield "statement", "pass"


def _called(node: ast.Call) -> Iterator[tuple[str, str | None]]:
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    if name in NAMES:
        other = copy.deepcopy(node)
        if isinstance(other.func, ast.Attribute):
            other.func.attr = NAMES[name]
        else:
            other.func = ast.Name(NAMES[name])
        yield "call", ast.unparse(other)


def _with(node: ast.expr, field: str, kind: type[ast.AST] | None) -> str | None:
    if kind is None:
        return None
    other = copy.deepcopy(node)
    setattr(other, field, kind())
    return f"({ast.unparse(other)})"


def _is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    if isinstance(node.op, ast.BitOr) and any(isinstance(s, ast.Constant) and s.value is None for s in sides):
        return True
    return any(
        isinstance(s, ast.JoinedStr) or (isinstance(s, ast.Constant) and isinstance(s.value, str)) for s in sides
    )


def _constant(value: object) -> str | None:
    if isinstance(value, bool):
        return str(not value)
    if isinstance(value, int):
        return str(value + 1)
    if isinstance(value, float):
        return repr(value * 1.25 if value else 1.0)
    return None
