"""Every small change that could be made in a module: another comparison or sign, a dropped condition."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

_COMPARE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
_SUMS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.FloorDiv,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
}
_NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}
# What a mutation there would change is words, types or how a program is put together, not what it works out.
_CHANGED_ANYWAY = (ast.Compare, ast.BoolOp, ast.UnaryOp)
_LEFT_ALONE = (ast.JoinedStr, ast.Raise, ast.Assert, ast.Import, ast.ImportFrom)

Change = Callable[[], None]


@dataclass(frozen=True)
class Mutant:
    """One change in one module."""

    path: Path
    module: str  # dotted
    number: int  # of the change, in the order of `_changes`
    lines: range  # of the changed expression, from 1
    statement: range  # of the statement around it
    inside: str | None  # the function around it; None at the top of the module
    was: str
    now: str

    def __str__(self) -> str:
        return (
            f"{self.path}:{self.lines.start} in {self.inside or 'the module'}\n    {self.was}\n    {self.now}"
        )


def mutants_of(path: Path, module: str) -> list[Mutant]:
    """All that can be made of a module, in the order of its text."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for number, (node, around, inside, change, restore) in enumerate(_changes(tree)):
        was = ast.unparse(around).splitlines()
        change()
        now = ast.unparse(around).splitlines()
        restore()
        differ = next((k for k, pair in enumerate(zip(was, now, strict=False)) if pair[0] != pair[1]), 0)
        found.append(
            Mutant(
                path,
                module,
                number,
                _lines(node),
                _lines(around),
                inside,
                was[differ].strip() if differ < len(was) else "",
                now[differ].strip() if differ < len(now) else "",
            )
        )
    return found


def mutated(mutant: Mutant) -> ast.Module:
    """The module with the change made."""
    tree = ast.parse(mutant.path.read_text(encoding="utf-8"))
    for number, (*_, change, _restore) in enumerate(_changes(tree)):
        if number == mutant.number:
            change()
            return ast.fix_missing_locations(tree)
    raise LookupError(mutant)


def _lines(node: ast.AST) -> range:
    first = getattr(node, "lineno", 1)
    return range(first, (getattr(node, "end_lineno", None) or first) + 1)


Found = tuple[ast.AST, ast.stmt, str | None, Change, Change]


def _changes(tree: ast.Module) -> Iterator[Found]:
    yield from _in_body(tree, None)


def _in_body(owner: ast.AST, inside: str | None) -> Iterator[Found]:
    for field in ("body", "orelse", "finalbody", "handlers", "cases"):
        for part in getattr(owner, field, None) or ():
            if isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef):
                name = f"{inside}.{part.name}" if inside else part.name
                for default in (*part.args.defaults, *part.args.kw_defaults):
                    if default is not None:
                        yield from _in_expression(default, part.args, part, name)
                yield from _in_body(part, name)
            elif isinstance(part, ast.ClassDef):
                yield from _in_body(part, f"{inside}.{part.name}" if inside else part.name)
            elif isinstance(part, ast.excepthandler | ast.match_case):
                yield from _in_body(part, inside)
            elif isinstance(part, ast.stmt) and not (isinstance(part, _LEFT_ALONE) or _type_checking(part)):
                yield from _of_statement(part, inside)
                yield from _in_body(part, inside)


def _type_checking(node: ast.stmt) -> bool:
    return isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)


def _of_statement(node: ast.stmt, inside: str | None) -> Iterator[Found]:
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield node, node, inside, *_put(node, "value", ast.Constant(None))
    if isinstance(node, ast.AugAssign) and type(node.op) in _SUMS:
        yield node, node, inside, *_put(node, "op", _SUMS[type(node.op)]())
    if isinstance(node, ast.If | ast.While) and not isinstance(
        node.test, ast.Compare | ast.BoolOp | ast.UnaryOp
    ):
        yield node.test, node, inside, *_put(node, "test", ast.UnaryOp(ast.Not(), node.test))
    for name, value in ast.iter_fields(node):
        if name in ("body", "orelse", "finalbody", "handlers", "cases", "annotation", "decorator_list"):
            continue
        for part in value if isinstance(value, list) else (value,):
            if isinstance(part, ast.expr):
                yield from _in_expression(part, node, node, inside)


def _in_expression(node: ast.AST, owner: ast.AST, around: ast.stmt, inside: str | None) -> Iterator[Found]:
    if isinstance(node, _LEFT_ALONE):
        return
    found = [(node, *pair) for pair in _of_expression(node, owner)]
    for at, change, restore in found:
        yield at, around, inside, change, restore
    for part in ast.iter_child_nodes(node):
        yield from _in_expression(part, node, around, inside)


def _of_expression(node: ast.AST, owner: ast.AST) -> Iterator[tuple[Change, Change]]:
    match node:
        case ast.Compare(ops=[op]) if type(op) in _COMPARE:
            yield _put(node, "ops", [_COMPARE[type(op)]()])
        case ast.BoolOp(op=op):
            yield _put(node, "op", ast.Or() if isinstance(op, ast.And) else ast.And())
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _SUMS:
            if not any(_joined(side) for side in (left, right)):
                yield _put(node, "op", _SUMS[type(op)]())
        case ast.UnaryOp(op=ast.Not()):
            yield _instead(owner, node, node.operand)
        case ast.UnaryOp(op=ast.USub(), operand=operand) if not isinstance(operand, ast.Constant):
            yield _instead(owner, node, operand)
        case ast.Constant(value=bool() as value):
            yield _put(node, "value", not value)
        case ast.Constant(value=int() as value):
            yield _put(node, "value", value + 1)
        case ast.Constant(value=float() as value):
            yield _put(node, "value", value * 1.1 + (value == 0))
        case ast.IfExp(test=test) if not isinstance(test, _CHANGED_ANYWAY):
            yield _put(node, "test", ast.UnaryOp(ast.Not(), test))
        case ast.comprehension(ifs=ifs) if ifs:
            yield _put(node, "ifs", [])
        case ast.Name(id=name) if name in _NAMES:
            yield _put(node, "id", _NAMES[name])
        case ast.Attribute(attr=name) if name in _NAMES:
            yield _put(node, "attr", _NAMES[name])
        case ast.Call(func=ast.Name(id="sorted" | "min" | "max"), keywords=keywords):
            if any(given.arg == "key" for given in keywords):
                yield _put(node, "keywords", [given for given in keywords if given.arg != "key"])


def _joined(node: ast.expr) -> bool:
    text = isinstance(node, ast.Constant) and isinstance(node.value, str)
    return text or isinstance(node, ast.JoinedStr | ast.Tuple | ast.List)


def _put(node: ast.AST, field: str, value: object) -> tuple[Change, Change]:
    old = getattr(node, field)
    return (lambda: setattr(node, field, value)), (lambda: setattr(node, field, old))


def _instead(owner: ast.AST, node: ast.AST, other: ast.AST) -> tuple[Change, Change]:
    """Put another expression into the place of this one."""
    for field, value in ast.iter_fields(owner):
        if value is node:
            return _put(owner, field, other)
        if isinstance(value, list) and any(part is node for part in value):
            return _put(owner, field, [other if part is node else part for part in value])
    raise LookupError(ast.dump(node))
