"""Small changes of a function's code: a sign, a term, a bound, a branch, a step left out.

Each is what a slip of the pen would make. Changes that could only break the program at once, such
as a name for nothing, are left out: every test kills them, and they would flatter the score. So are
words for people: texts, and what is raised.
"""

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass

Place = tuple[ast.AST, str, int | None]
"""A node's parent, the field that holds it, and its place there where the field is a list."""

ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
BOUNDS: dict[type[ast.cmpop], type[ast.cmpop]] = {
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
EACH_OTHER = (
    ("min", "max"),
    ("any", "all"),
    ("floor", "ceil"),
    ("minimum", "maximum"),
    ("argmin", "argmax"),
    ("bisect_left", "bisect_right"),
)
NAMES = {a: b for pair in EACH_OTHER for a, b in (pair, pair[::-1])}
"""Names that stand for each other's opposite."""

EITHER_WAY = frozenset({"max", "maximum", "min", "minimum", "add"})
"""Functions to whom the order of two arguments is all one."""

TRANSPARENT = frozenset(
    {"abs", "ceil", "floor", "max", "maximum", "min", "minimum", "reversed", "round", "rounded"}
    | {"sorted", "sqrt", "cumsum", "clip", "exp", "log", "log1p", "expm1"}
)
"""Functions of which the first argument alone could be mistaken for the value."""

TOLERANCE = 1e-6
"""Smaller figures only say what rounding may do."""

LONG = 100
"""Statements of more letters are told by the named argument that is changed."""


@dataclass(frozen=True)
class Change:
    """One change of one function.

    Parameters
    ----------
    function
        Its qualified name in its module.
    line
        Line of the file where the function starts, decorators included.
    block
        Number of the block of statements that holds the change, counted as `blocks` does.
    was, becomes
        What is changed, in one line each.
    place
        Where the new node goes.
    node
        The new node.
    """

    function: str
    line: int
    block: int
    was: str
    becomes: str
    place: Place
    node: ast.AST


Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(tree: ast.Module) -> Iterator[tuple[str, Function]]:
    """Functions and methods of a module with their qualified names, not those inside others."""
    ahead: list[tuple[str, ast.stmt]] = [("", node) for node in tree.body]
    while ahead:
        prefix, node = ahead.pop(0)
        if isinstance(node, ast.ClassDef):
            ahead += [(f"{prefix}{node.name}.", inner) for inner in node.body]
        elif isinstance(node, Function):
            yield f"{prefix}{node.name}", node


def first_line(function: Function) -> int:
    """Line on which the code object of a function says that it starts."""
    return min([function.lineno, *(node.lineno for node in function.decorator_list)])


def blocks(function: Function) -> Iterator[list[ast.stmt]]:
    """Lists of statements of a function, its own first, inner ones in the order of the text."""
    yield function.body
    for node in ast.walk(function):
        for name, value in ast.iter_fields(node):
            if node is function and name == "body":
                continue
            if isinstance(value, list) and value and isinstance(value[0], ast.stmt):
                yield value


def changes_of(tree: ast.Module) -> Iterator[Change]:
    """Every change that is made to the functions of a module."""
    for name, function in functions(tree):
        number = {id(block): k for k, block in enumerate(blocks(function))}
        line = first_line(function)
        for place, block, stem in _nodes(function):
            old = _held(place)
            for new in _instead(old):
                ast.copy_location(new, old)
                was, becomes = _told(place, stem, new)
                if was != becomes:
                    yield Change(name, line, number[id(block)], was, becomes, place, new)


def _nodes(function: Function) -> Iterator[tuple[Place, list[ast.stmt], Place]]:
    """What could be changed: its place, its block, and the place of its statement or condition."""
    for k, statement in enumerate(function.body):
        place: Place = (function, "body", k)
        yield from _inside(place, function.body, place, statement)


_NEVER = (ast.Raise, ast.JoinedStr, ast.Import, ast.ImportFrom, ast.arguments, ast.Assert)


def _inside(
    place: Place, block: list[ast.stmt], stem: Place, node: ast.AST
) -> Iterator[tuple[Place, list[ast.stmt], Place]]:
    if isinstance(node, _NEVER) or place[1] in {"annotation", "returns", "decorator_list"}:
        return
    if isinstance(node, ast.keyword) and node.arg == "strict":  # a guard: lengths are the same
        return
    if isinstance(node, ast.keyword) and len(_line(_held(stem))) > LONG:
        stem = place
    yield place, block, stem
    for name, value in ast.iter_fields(node):
        if isinstance(value, ast.AST):
            inner: Place = (node, name, None)
            head = inner if _is_head(node, name) else stem
            yield from _inside(inner, block, head, value)
        elif isinstance(value, list):
            own = bool(value) and isinstance(value[0], ast.stmt)
            for k, child in enumerate(value):
                if isinstance(child, ast.AST):
                    inner = (node, name, k)
                    yield from _inside(
                        inner, value if own else block, inner if own else stem, child
                    )


def _is_head(node: ast.AST, name: str) -> bool:
    """Whether a field is the head of a statement with a block below, which tells enough."""
    return isinstance(node, ast.If | ast.While | ast.For | ast.Match) and name in {
        "test",
        "iter",
        "subject",
    }


def _held(place: Place) -> ast.AST:
    parent, name, k = place
    value = getattr(parent, name)
    node: ast.AST = value if k is None else value[k]
    return node


def put(place: Place, node: ast.AST) -> None:
    """Hold `node` at a place instead of what is there."""
    parent, name, k = place
    if k is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[k] = node


def _told(place: Place, stem: Place, new: ast.AST) -> tuple[str, str]:
    """The statement or condition before and after, in one line each."""
    old, was = _held(place), _line(_held(stem))
    put(place, new)
    becomes = _line(_held(stem))
    put(place, old)
    return was, becomes


def _line(node: ast.AST) -> str:
    if isinstance(node, ast.If | ast.For | ast.While | ast.With | ast.Try | Function):
        return ast.unparse(node).split("\n", 1)[0]
    return " ".join(ast.unparse(node).split())


def _instead(node: ast.AST) -> Iterator[ast.AST]:  # noqa: C901 - a list of kinds, no branches
    """What could stand instead of a node by a slip."""
    match node:
        case ast.BinOp():
            yield from _of_sum(node)
        case ast.AugAssign():
            yield from _of_addition(node)
        case ast.Compare():
            yield from _of_comparison(node)
        case ast.BoolOp():
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield ast.BoolOp(other, node.values)
            for k in range(len(node.values)):
                rest = [*node.values[:k], *node.values[k + 1 :]]
                yield rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest)
        case ast.UnaryOp(op=ast.USub() | ast.Not() | ast.Invert()):
            yield node.operand
        case ast.Constant():
            yield from _of_constant(node)
        case ast.Call():
            yield from _of_call(node)
        case ast.IfExp():
            yield from (node.body, node.orelse)
        case ast.comprehension() if node.ifs:
            yield ast.comprehension(node.target, node.iter, [], node.is_async)
        case _:
            yield from _of_statement(node)


def _of_sum(node: ast.BinOp) -> Iterator[ast.AST]:
    if isinstance(node.left, ast.JoinedStr) or isinstance(node.right, ast.JoinedStr):
        return
    other = ARITHMETIC.get(type(node.op))
    if other is not None:
        yield ast.BinOp(node.left, other(), node.right)
    yield node.left
    if isinstance(node.op, ast.Add | ast.Mult | ast.BitAnd | ast.BitOr):
        yield node.right
    if isinstance(node.op, ast.Sub):
        yield ast.UnaryOp(ast.USub(), node.right)


def _of_addition(node: ast.AugAssign) -> Iterator[ast.AST]:
    other = ARITHMETIC.get(type(node.op))
    if other is not None:
        yield ast.AugAssign(node.target, other(), node.value)
    yield ast.Assign([node.target], node.value)
    yield ast.Pass()


def _of_comparison(node: ast.Compare) -> Iterator[ast.AST]:
    for k, op in enumerate(node.ops):
        other = BOUNDS.get(type(op))
        if other is not None:
            ops = [*node.ops[:k], other(), *node.ops[k + 1 :]]
            yield ast.Compare(node.left, ops, node.comparators)


def _of_constant(node: ast.Constant) -> Iterator[ast.AST]:
    match node.value:
        case bool():
            yield ast.Constant(not node.value)
        case int():
            yield ast.Constant(node.value + 1)
            if node.value:
                yield ast.Constant(node.value - 1)
        case float() if not 0 < node.value < TOLERANCE:
            yield ast.Constant(1.5 * node.value if node.value else 1.0)


def _of_call(node: ast.Call) -> Iterator[ast.AST]:
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    if name in NAMES:
        func = copy.copy(node.func)
        setattr(func, "attr" if isinstance(func, ast.Attribute) else "id", NAMES[name])
        yield ast.Call(func, node.args, node.keywords)
    plain = [arg for arg in node.args if not isinstance(arg, ast.Starred)]
    if name in TRANSPARENT and plain and not isinstance(plain[0], ast.GeneratorExp):
        yield plain[0]
    if len(plain) == len(node.args) == 2 and name not in EITHER_WAY:
        yield ast.Call(node.func, plain[::-1], node.keywords)


def _of_statement(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.If():
            for value in (True, False):
                yield ast.If(ast.Constant(value), node.body, node.orelse)
        case ast.Continue():
            yield from (ast.Pass(), ast.Break())
        case ast.Break():
            yield ast.Pass()
        case ast.Expr(value=ast.Call()) | ast.Assign(targets=[ast.Subscript()]):
            yield ast.Pass()
