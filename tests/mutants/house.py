"""The modules in which a changed line would change what a maker is told or keeps."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
APPS = ("production", "costing", "labels", "config")
NEVER = frozenset({"migrations", "tests"})
# Rooms of tables, paths and pages: no change is drawn there.
ROOMS_LEFT_OUT = frozenset(
    {"management", "views", "urls", "models", "fields", "tables", "filters"}
    | {"templatetags", "apps"}
)
# Of the roof, what runs in processes of its own, where no map sees which test ran it.
RUN_APART = frozenset(
    {"settings", "wsgi", "env", "demo", "backups", "restoring", "holding", "opening"}
    | {"serving", "swapping", "signing_in", "tries", "middleware", "apart"}
)


@dataclass(frozen=True)
class Function:
    """One function of a module, or a figure that it sets; ``name`` with its class.

    ``once`` where it runs when the module is loaded, or keeps its first answer.
    """

    name: str
    body: list[ast.AST]
    once: bool


class Module:
    """The text of one file and what stands where in it."""

    def __init__(self, path: Path, root: Path = ROOT) -> None:
        self.file = path
        self.path = path.relative_to(root).as_posix()
        self.bytes = path.read_bytes()
        self.tree = ast.parse(self.bytes)

    @cached_property
    def starts(self) -> list[int]:
        """Where each line begins, in bytes, as the positions of the tree count."""
        found = [0]
        for line in self.bytes.splitlines(keepends=True):
            found.append(found[-1] + len(line))
        return found

    def span(self, node: ast.AST) -> tuple[int, int]:
        return (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def text(self, start: int, end: int) -> str:
        return self.bytes[start:end].decode()

    def line_of(self, place: int) -> int:
        return self.bytes.count(b"\n", 0, place) + 1

    @cached_property
    def functions(self) -> list[Function]:
        return [*_figures(self.tree), *_functions(self.tree, "")]


def _functions(node: ast.AST, within: str) -> Iterator[Function]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.ClassDef):
            yield from _functions(child, f"{within}{child.name}.")
        elif isinstance(child, ast.FunctionDef):
            asked = [ast.unparse(one) for one in child.decorator_list]
            # What is kept after the first call runs in the first test alone.
            once = any("cache" in one for one in asked)
            yield Function(within + child.name, child.body, once)


def _figures(tree: ast.Module) -> Iterator[Function]:
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            yield Function(node.targets[0].id, [node.value], True)


def modules(root: Path = ROOT, *, all_rooms: bool = False) -> list[Module]:
    """Found by what lies there, so that a file may move."""
    found = []
    for app in APPS:
        for path in sorted((root / app).rglob("*.py")):
            parts = {*path.relative_to(root).with_suffix("").parts}
            left_out = NEVER if all_rooms else NEVER | ROOMS_LEFT_OUT
            if app == "config":
                left_out |= RUN_APART
            if not parts & left_out:
                found.append(Module(path, root))
    return found
