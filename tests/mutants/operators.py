"""The small changes: each is one that a tired hand could make."""

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.mutants.house import Function, Module

COMPARED = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
}
RECKONED = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
}
NAMES = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "ROUND_HALF_UP": "ROUND_DOWN",
    "ROUND_CEILING": "ROUND_FLOOR",
    "ROUND_FLOOR": "ROUND_CEILING",
    "ROUND_DOWN": "ROUND_UP",
    "ROUND_HALF_EVEN": "ROUND_UP",
}
METHODS = {"first": "last", "last": "first", "filter": "exclude", "exclude": "filter"}
LOOKUPS = {"__lt": "__lte", "__lte": "__lt", "__gt": "__gte", "__gte": "__gt"}


@dataclass(frozen=True)
class Mutant:
    """One file with one place changed; ``lines`` are those whose tests are asked."""

    module: Module
    function: str
    kind: str
    start: int
    end: int
    into: str
    lines: tuple[int, ...]
    whole_module: bool = False
    name: str = ""
    meaning: str = ""

    @property
    def before(self) -> str:
        return self.module.text(self.start, self.end)

    @property
    def changed(self) -> bytes:
        old = self.module.bytes
        return old[: self.start] + self.into.encode() + old[self.end :]

    @property
    def key(self) -> str:
        """The same wherever its file lies and whatever stands above it."""
        return f"{self.function}: {_one_line(self.before)} -> {_one_line(self.into)}"

    @property
    def known_as(self) -> str:
        """The same with the line that it stands in, which tells twins apart."""
        text = self.module.bytes.splitlines()[self.line - 1].decode()
        return f"{self.key} | {_one_line(text)}"

    @property
    def line(self) -> int:
        return self.module.line_of(self.start)

    @property
    def diff(self) -> str:
        return f"{self.module.path}:{self.line} {self.known_as}"


def _one_line(text: str) -> str:
    return " ".join(text.split())


Change = tuple[str, int, int, str]


def mutants(module: Module) -> Iterator[Mutant]:
    """Every change of every function of a module, in the order of the text."""
    for function in module.functions:
        for node in _walk(function.body):
            for kind, start, end, into in changes(module, node):
                yield _mutant(module, function, node, (kind, start, end, into))


def _mutant(module: Module, function: Function, node: ast.AST, change: Change):
    kind, start, end, into = change
    first = node.test if isinstance(node, ast.If | ast.While) else node
    lines = range(first.lineno, first.end_lineno + 1)
    return Mutant(
        module, function.name, kind, start, end, into, (*lines,), function.once
    )


def _walk(nodes: list) -> Iterator[ast.AST]:
    """Every node but texts, notes on types and docstrings; the places inside an
    f-string are not those of the file."""
    for node in nodes:
        if isinstance(node, ast.JoinedStr | ast.Assert):
            continue
        if isinstance(node, ast.AnnAssign):
            nodes_in = [node.value] if node.value else []
        elif isinstance(node, ast.FunctionDef):
            nodes_in = node.body
        else:
            nodes_in = list(ast.iter_child_nodes(node))
        yield node
        yield from _walk(nodes_in)


def changes(module: Module, node: ast.AST) -> Iterator[Change]:
    for kinds, ask in BY_NODE:
        if isinstance(node, kinds):
            yield from ask(module, node)


def _compared(module: Module, node: ast.Compare) -> Iterator[Change]:
    sides = [node.left, *node.comparators]
    for place, op in enumerate(node.ops):
        old, new = COMPARED[type(op)]
        yield from _between(module, sides[place], sides[place + 1], old, new, "compare")


def _between(module, left, right, old, new, kind) -> Iterator[Change]:
    """The word that stands between two parts of an expression."""
    start, end = module.span(left)[1], module.span(right)[0]
    gap = module.text(start, end)
    if gap.count(old) == 1 and "#" not in gap:
        at = start + len(gap[: gap.index(old)].encode())
        yield kind, at, at + len(old), new


def _reckoned(module: Module, node: ast.BinOp) -> Iterator[Change]:
    if type(node.op) not in RECKONED or _is_text(node.left) or _is_text(node.right):
        return
    old, new = RECKONED[type(node.op)]
    yield from _between(module, node.left, node.right, old, new, "reckon")
    if isinstance(node.op, ast.Add | ast.Sub):
        start, end = module.span(node)
        for part in (node.left, node.right):
            yield "drop a term", start, end, f"({module.text(*module.span(part))})"


def _is_text(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp):
        return _is_text(node.left) or _is_text(node.right)
    return isinstance(node, ast.JoinedStr) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def _both(module: Module, node: ast.BoolOp) -> Iterator[Change]:
    old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
    for left, right in zip(node.values, node.values[1:], strict=False):
        yield from _between(module, left, right, old, new, "and, or")
    start, end = module.span(node)
    for gone in node.values:
        left = [
            module.text(*module.span(one)) for one in node.values if one is not gone
        ]
        yield "drop a condition", start, end, f"({f' {old} '.join(left)})"


def _not(module: Module, node: ast.UnaryOp) -> Iterator[Change]:
    inner = module.text(*module.span(node.operand))
    if isinstance(node.op, ast.Not):
        yield "drop a not", *module.span(node), f"bool({inner})"
    elif isinstance(node.op, ast.USub):
        yield "drop a minus", *module.span(node), f"({inner})"


def _named(module: Module, node: ast.Name) -> Iterator[Change]:
    if node.id in NAMES:
        yield "another name", *module.span(node), NAMES[node.id]


def _called(module: Module, node: ast.Call) -> Iterator[Change]:
    func = node.func
    if isinstance(func, ast.Name) and func.id in {"Decimal", "D"}:
        yield from _figure(module, node)
    if not isinstance(func, ast.Attribute):
        return
    if func.attr in METHODS:
        end = module.span(func)[1]
        start = end - len(func.attr)
        yield "another method", start, end, METHODS[func.attr]
    if func.attr == "order_by":
        yield from _ordered(module, node)
    if func.attr in {"filter", "exclude"}:
        yield from _asked(module, node)


def _figure(module: Module, node: ast.Call) -> Iterator[Change]:
    """The last digit of a figure that is written as text."""
    if len(node.args) != 1 or not isinstance(node.args[0], ast.Constant):
        return
    text = node.args[0].value
    if isinstance(text, str) and text[-1:].isdigit() and "e" not in text.lower():
        last = str((int(text[-1]) + 1) % 10)
        yield "constant", *module.span(node.args[0]), f'"{text[:-1]}{last}"'


def _ordered(module: Module, node: ast.Call) -> Iterator[Change]:
    """Each column the other way round, and each two changed for each other."""
    columns = [one for one in node.args if isinstance(one, ast.Constant)]
    for one in columns:
        turned = one.value[1:] if one.value.startswith("-") else f"-{one.value}"
        yield "order", *module.span(one), f'"{turned}"'


def _asked(module: Module, node: ast.Call) -> Iterator[Change]:
    parts = [*node.args, *node.keywords]
    for one in node.keywords:
        name = one.arg or ""
        start = module.span(one)[0]
        for old, new in LOOKUPS.items():
            if name.endswith(old):
                yield "lookup", start, start + len(name), name[: -len(old)] + new
    if len(parts) < 2:
        return
    start, end = module.span(parts[0])[0], module.span(parts[-1])[1]
    for gone in node.keywords:
        left = [module.text(*module.span(one)) for one in parts if one is not gone]
        yield "drop a question", start, end, ", ".join(left)


def _guarded(module: Module, node: ast.If) -> Iterator[Change]:
    if isinstance(node.body[-1], ast.Raise | ast.Return | ast.Continue | ast.Break):
        test = module.text(*module.span(node.test))
        yield "drop a guard", *module.span(node.test), f"False and ({test})"


def _either(module: Module, node: ast.IfExp) -> Iterator[Change]:
    test = module.text(*module.span(node.test))
    yield "the other way", *module.span(node.test), f"not ({test})"


def _constant(module: Module, node: ast.Constant) -> Iterator[Change]:
    if isinstance(node.value, bool):
        yield "constant", *module.span(node), str(not node.value)
    elif isinstance(node.value, int):
        yield "constant", *module.span(node), str(node.value + 1)
        yield "constant", *module.span(node), f"({node.value - 1})"


def _dropped(module: Module, node: ast.AST) -> Iterator[Change]:
    """A call whose answer nobody reads, or a step of a running sum."""
    if isinstance(node, ast.AugAssign) or isinstance(node.value, ast.Call):
        yield "drop a statement", *module.span(node), "pass"


BY_NODE: tuple[tuple[type | tuple[type, ...], Callable[..., Iterator[Change]]], ...] = (
    (ast.Compare, _compared),
    (ast.BinOp, _reckoned),
    (ast.BoolOp, _both),
    (ast.UnaryOp, _not),
    (ast.Name, _named),
    (ast.Call, _called),
    (ast.If, _guarded),
    (ast.IfExp, _either),
    (ast.Constant, _constant),
    ((ast.Expr, ast.AugAssign), _dropped),
)
