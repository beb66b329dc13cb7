"""Two records beside each other: which book, which question, what it said and says."""

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path

WIDTH = 160
LINES = 12


@dataclass(frozen=True)
class Difference:
    """One question of one book; None where it was not asked."""

    book: str
    kind: str
    asked: str
    a: object
    b: object

    def lines(self) -> Iterator[str]:
        """What changed: a line of text, or a figure by its path."""
        if self.a is None or self.b is None:
            yield "only in the first" if self.b is None else "only in the second"
            return
        sides = (_flat(self.a), _flat(self.b))
        for line in list(unified_diff(*sides, n=0, lineterm=""))[2:]:
            if not line.startswith("@@"):
                yield line


def compared(a: Path, b: Path) -> list[Difference]:
    """Every question whose answers differ."""
    left, right = _read(a), _read(b)
    return [
        Difference(*key, left.get(key), right.get(key))
        for key in sorted({*left, *right})
        if left.get(key) != right.get(key)
    ]


def _read(file: Path) -> dict[tuple[str, str, str], object]:
    rows = map(json.loads, file.read_text(encoding="utf-8").splitlines())
    return {(row["book"], row["kind"], row["asked"]): row["answer"] for row in rows}


def _flat(value: object, path: str = "") -> list[str]:
    """JSON as lines, each with the way to it; lines of text as they are."""
    if isinstance(value, dict):
        return [line for key in value for line in _flat(value[key], f"{path}{key}: ")]
    if isinstance(value, list) and path:
        return [line for one in value for line in _flat(one, f"{path}- ")]
    if isinstance(value, list):
        return [line for one in value for line in _flat(one)]
    return [f"{path}{value}"]


def told(found: list[Difference], each: int) -> str:
    """By kind, the most of each first; so many of each are written out."""
    if not found:
        return "No answer differs."
    kinds: dict[str, list[Difference]] = defaultdict(list)
    for one in found:
        kinds[one.kind].append(one)
    lines = [f"{len(found)} answers differ."]
    for kind, rows in sorted(kinds.items(), key=lambda kind: -len(kind[1])):
        lines += ["", f"{kind}: {len(rows)}"]
        for row in rows[:each]:
            changes = list(row.lines())
            lines.append(f"  {row.book}: {row.asked}")
            lines += [f"    {change[:WIDTH]}" for change in changes[:LINES]]
            if len(changes) > LINES:
                lines.append(f"    and {len(changes) - LINES} lines more")
        if len(rows) > each:
            lines.append(f"  and {len(rows) - each} more of this kind")
    return "\n".join(lines)
