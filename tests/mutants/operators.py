"""The faults: each operator turns one node of a syntax tree into another that still compiles.

After the five sufficient operators of Offutt, Lee, Rothermel, Untch and Zapf (1996; arithmetic,
relational, logical, unary, absolute value) in their reduced form, with the constant replacement of King
and Offutt (1991), and three operators for formulas on arrays: partner functions swapped, the branches of
a choice swapped, a stray condition negated.

Texts, messages, type hints, decorators, docstrings and imports are never touched.  `0.0 * x` is how the
package writes zeros of the shape of x, and `zero` how it calls them: a sign before them turned, or x
divided by, computes the same, and such faults are `idle`; so are those of a product with ones, `one`.
"""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass

OPERATORS = {
    "AOR": "an arithmetic operator replaced: + by -, * by /, // and % and ** by *, and back",
    "ROR-edge": "a comparison moved over its edge: < to <=, and back",
    "ROR-not": "a comparison turned round: < to >=, == to !=, is to is not, in to not in",
    "LCR": "a logical connector replaced: and by or, & by |, and back",
    "UOD": "a sign, a not or a ~ dropped",
    "ABS": "an absolute value dropped",
    "CRP": "a number changed: whole numbers by 1, others by a tenth, 0.0 to 1.0, True to False",
    "FSW": "a function exchanged with its partner: minimum and maximum, sin and cos, any and all ...",
    "BSW": "the branches of where(), or of a conditional expression, exchanged",
    "CNG": "the condition of an if or a comprehension, where it is no comparison, negated",
}

_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
_BITS: dict[type[ast.operator], type[ast.operator]] = {ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd}
_EDGE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
_NOT: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_PAIRS = (
    ("minimum", "maximum"),
    ("min", "max"),
    ("sin", "cos"),
    ("arcsin", "arccos"),
    ("asin", "acos"),
    ("any", "all"),
    ("argmin", "argmax"),
    ("floor", "ceil"),
    ("zeros", "ones"),
    ("zeros_like", "ones_like"),
    ("logical_and", "logical_or"),
    ("radians", "degrees"),
    ("real", "imag"),
)
PARTNERS = {a: b for pair in _PAIRS for a, b in (pair, pair[::-1])}
_ABSOLUTE = {"abs", "fabs", "absolute"}
# These hold no formula: annotations and decorators, and options of the language's own functions.
_FIELDS_LEFT = {"annotation", "returns", "decorator_list", "type_params", "bases"}
_OPTIONS_LEFT = {"strict", "maxsize", "dtype", "frozen", "keepdims", "copy", "stacklevel"}
_NODES_LEFT = (ast.Raise, ast.Assert, ast.JoinedStr, ast.Import, ast.ImportFrom)


@dataclass(frozen=True)
class Fault:
    """One node to be replaced: where it hangs, by what, and both as text."""

    operator: str
    parent: ast.AST
    field: str
    place: int | None
    new: ast.AST
    line: int
    words: str
    idle: bool = False  # computes the same, provably

    def put_in(self) -> None:
        """Change the tree that the parent belongs to."""
        if self.place is None:
            setattr(self.parent, self.field, self.new)
        else:
            getattr(self.parent, self.field)[self.place] = self.new


def faults(root: ast.AST, *, inside: bool = True) -> Iterator[Fault]:
    """All faults of the operators under a node, in the order of the source.

    inside: also in functions that the node holds (methods of a class are units of their own).
    """
    for field, place, node in _children(root):
        if _left_alone(node) or (not inside and isinstance(node, ast.FunctionDef)):
            continue
        for operator, new in _changes(node, root):
            fixed = ast.fix_missing_locations(ast.copy_location(new, node))
            words = f"{_text(node)} -> {_text(new)}"
            line = getattr(node, "lineno", 0)
            idle = operator == "AOR" and _by_nothing(node)
            yield Fault(operator, root, field, place, fixed, line, words, idle)
        yield from faults(node, inside=inside)


def _by_nothing(node: ast.AST) -> bool:
    """0.0 * x, or something + 0.0 * x, something + zero or zeros_like(), or something * one."""
    if not isinstance(node, ast.BinOp):
        return False
    sides = (node.left, node.right)
    if isinstance(node.op, ast.Mult):
        ones = _last_word(node.right) == "one"
        return ones or any(isinstance(n, ast.Constant) and n.value == 0.0 for n in sides)
    right = node.right
    named = isinstance(right, ast.Name) and right.id == "zero"
    named |= isinstance(right, ast.Call) and _last_word(right.func) == "zeros_like"
    times = isinstance(right, ast.BinOp) and isinstance(right.op, ast.Mult)
    return isinstance(node.op, ast.Add | ast.Sub) and (named or (times and _by_nothing(right)))


def _children(node: ast.AST) -> Iterator[tuple[str, int | None, ast.AST]]:
    for field, value in ast.iter_fields(node):
        if field in _FIELDS_LEFT:
            continue
        if isinstance(value, ast.AST):
            yield field, None, value
        elif isinstance(value, list):
            for i, item in enumerate(value):
                if isinstance(item, ast.AST):
                    yield field, i, item


def _left_alone(node: ast.AST) -> bool:
    if isinstance(node, ast.keyword):
        return node.arg in _OPTIONS_LEFT
    if isinstance(node, ast.Assign):
        return any(isinstance(t, ast.Name) and t.id == "__all__" for t in node.targets)
    if isinstance(node, ast.If):
        return _text(node.test) == "TYPE_CHECKING"
    return isinstance(node, _NODES_LEFT)


def _changes(node: ast.AST, parent: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Operator and replacement, for one node."""
    match node:
        case ast.BinOp() | ast.AugAssign():
            yield from _operators(node)
        case ast.Compare():
            yield from _comparisons(node)
        case ast.BoolOp():
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield "LCR", ast.BoolOp(other, node.values)
        case ast.UnaryOp(op=ast.USub() | ast.Not() | ast.Invert()):
            yield "UOD", node.operand
        case ast.Constant():
            yield from _constants(node)
        case ast.Call():
            yield from _calls(node)
        case ast.IfExp():
            yield "BSW", ast.IfExp(node.test, node.orelse, node.body)
    if _bare_condition(node, parent):
        yield "CNG", ast.UnaryOp(ast.Not(), node)


def _operators(node: ast.BinOp | ast.AugAssign) -> Iterator[tuple[str, ast.AST]]:
    for name, table in (("AOR", _ARITHMETIC), ("LCR", _BITS)):
        other = table.get(type(node.op))
        if other is None:
            continue
        new = copy.copy(node)
        new.op = other()
        yield name, new


def _comparisons(node: ast.Compare) -> Iterator[tuple[str, ast.AST]]:
    for i, op in enumerate(node.ops):
        for name, table in (("ROR-edge", _EDGE), ("ROR-not", _NOT)):
            other = table.get(type(op))
            if other is not None:
                ops = [*node.ops[:i], other(), *node.ops[i + 1 :]]
                yield name, ast.Compare(node.left, ops, node.comparators)


def _constants(node: ast.Constant) -> Iterator[tuple[str, ast.AST]]:
    value = node.value
    if isinstance(value, bool):
        yield "CRP", ast.Constant(not value)
    elif isinstance(value, int):
        yield "CRP", ast.Constant(value + 1)
    elif isinstance(value, float):
        yield "CRP", ast.Constant(1.1 * value if value else 1.0)


def _calls(node: ast.Call) -> Iterator[tuple[str, ast.AST]]:
    name = _last_word(node.func)
    if name in PARTNERS:
        func = copy.copy(node.func)
        setattr(func, "attr" if isinstance(func, ast.Attribute) else "id", PARTNERS[name])
        yield "FSW", ast.Call(func, node.args, node.keywords)
    if name in _ABSOLUTE and len(node.args) == 1:
        yield "ABS", node.args[0]
    if name == "where" and len(node.args) == 3:
        test, one, other = node.args
        yield "BSW", ast.Call(node.func, [test, other, one], node.keywords)


def _bare_condition(node: ast.AST, parent: ast.AST) -> bool:
    """A condition that no other operator turns round."""
    tests = list(parent.ifs) if isinstance(parent, ast.comprehension) else []
    if isinstance(parent, ast.If | ast.While):
        tests.append(parent.test)
    turned = isinstance(node, ast.Compare) or (
        isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not)
    )
    return any(node is t for t in tests) and not turned


def _last_word(func: ast.AST) -> str:
    if isinstance(func, ast.Attribute):
        return func.attr
    return func.id if isinstance(func, ast.Name) else ""


def _text(node: ast.AST) -> str:
    return " ".join(ast.unparse(node).split())
