"""A fair draw: each kind of change as often as another, by a seed."""

import random
from collections import defaultdict
from collections.abc import Iterable

from tests.mutants.operators import Mutant


def drawn(candidates: Iterable[Mutant], count: int, seed: int) -> list[Mutant]:
    """So many, no two alike; the same for a seed wherever the files lie."""
    dice = random.Random(seed)
    by_kind: dict[str, list[Mutant]] = defaultdict(list)
    for one in sorted(candidates, key=_place):
        by_kind[one.kind].append(one)
    for some in by_kind.values():
        dice.shuffle(some)
    found: list[Mutant] = []
    while len(found) < count and by_kind:
        for kind in sorted(by_kind):
            found.append(by_kind[kind].pop())
            if not by_kind[kind]:
                del by_kind[kind]
    return found[:count]


def _place(one: Mutant) -> tuple[str, str, int]:
    """By what is changed, and by where it lies only among those that read alike."""
    return one.key, one.module.path, one.start
