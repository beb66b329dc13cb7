"""A lot's family as it is drawn: who stands in which column, and what is folded."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from graphlib import TopologicalSorter

MOST, MOST_ENDS = 60, 12


@dataclass(frozen=True, slots=True)
class Member:
    """A lot, or an ``end`` (a customer); ``grams`` is all there was of it, or None.

    ``pot`` is an open batch: nothing was made yet that its inputs are a share of.

    ``kind`` and ``sundry`` say with what it may be folded in a large family.
    """

    key: str
    grams: Decimal | None = None
    end: bool = False
    kind: str = ""
    sundry: bool = False
    pot: bool = False


@dataclass(frozen=True, slots=True)
class Flow:
    """Some of ``source`` went to ``target``; grams, or None where unknown."""

    source: str
    target: str
    grams: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Family:
    """What is drawn; ``within`` names the members of each group that was folded."""

    members: Sequence[Member]
    flows: Sequence[Flow]
    within: Mapping[str, tuple[str, ...]]


def columns(keys: Iterable[str], pairs: Iterable[tuple[str, str]]) -> dict[str, int]:
    """The longest way to each from where nothing is behind; CycleError on a ring."""
    behind: dict[str, list[str]] = {key: [] for key in keys}
    for source, target in pairs:
        behind[target].append(source)
    found: dict[str, int] = {}
    for key in TopologicalSorter(behind).static_order():
        found[key] = 1 + max((found[other] for other in behind[key]), default=-1)
    return found


def fold(
    members: Sequence[Member], flows: Sequence[Flow], lot: str, most: int = MOST
) -> Family:
    """Keep a large family readable: first packaging and water become one node,
    then the lots of one kind in one column, then whole columns; never ``lot``.

    Of customers the first ``MOST_ENDS`` stand alone at the most, the rest as one.
    """
    column = places(members, flows)
    ends = [member.key for member in members if member.end]
    rest = set(ends[MOST_ENDS - 1 :]) if len(ends) > MOST_ENDS else set()

    def group(member: Member, level: int) -> str:
        at = column[member.key]
        if member.end:
            return "ends" if member.key in rest else ""
        if member.key == lot or level == 0:
            return ""
        if level == 3:
            return f"column {at}"
        if member.sundry and at == 0:
            return "sundries"
        return f"{member.kind} {at}" if level == 2 else ""

    for level in range(4):
        groups = {member.key: group(member, level) for member in members}
        family = _gathered(members, flows, groups)
        if len(family.members) <= most:
            break
    return family


def _gathered(
    members: Sequence[Member], flows: Sequence[Flow], groups: Mapping[str, str]
) -> Family:
    """One member for each group of two or more; no code of a lot holds a line break,
    so that the name of a group is taken for none."""
    together: dict[str, list[Member]] = defaultdict(list)
    for member in members:
        together[f"\n{groups[member.key]}" if groups[member.key] else member.key] += [
            member
        ]
    names: dict[str, str] = {}
    kept: list[Member] = []
    within: dict[str, tuple[str, ...]] = {}
    for name, some in together.items():
        key = name if len(some) > 1 else some[0].key
        names |= {member.key: key for member in some}
        kept.append(replace(some[0], key=key, grams=_sum(one.grams for one in some)))
        if len(some) > 1:
            within[key] = tuple(member.key for member in some)
    added: dict[tuple[str, str], list[Decimal | None]] = defaultdict(list)
    for flow in flows:
        added[names[flow.source], names[flow.target]].append(flow.grams)
    return Family(
        kept, [Flow(*pair, _sum(some)) for pair, some in added.items()], within
    )


def _sum(amounts: Iterable[Decimal | None]) -> Decimal | None:
    total = Decimal(0)
    for amount in amounts:
        if amount is None:
            return None
        total += amount
    return total


def places(members: Sequence[Member], flows: Sequence[Flow]) -> dict[str, int]:
    """Where each stands: what came from outside in the first column, customers in the
    last, a last lot level with others of its kind, the rest just before its next."""
    ends = {member.key for member in members if member.end}
    lots = [member for member in members if not member.end]
    pairs = [(flow.source, flow.target) for flow in flows if flow.target not in ends]
    found = columns([member.key for member in lots], pairs)
    onward: dict[str, list[str]] = defaultdict(list)
    for source, target in pairs:
        onward[source].append(target)
    level: dict[str, int] = defaultdict(int)
    for lot in lots:
        if lot.key not in onward:
            level[lot.kind] = max(level[lot.kind], found[lot.key])
    for lot in sorted(lots, key=lambda lot: -found[lot.key]):
        if found[lot.key] and lot.key in onward:
            found[lot.key] = min(found[target] for target in onward[lot.key]) - 1
        elif found[lot.key] and lot.kind:
            found[lot.key] = level[lot.kind]
    last = 1 + max(found.values(), default=-1)
    return found | dict.fromkeys(ends, last)
