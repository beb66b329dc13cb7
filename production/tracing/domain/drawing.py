"""A lot's family as a picture: columns from suppliers to customers, lines between.

Measures are whole user units of SVG. Nothing here is a figure to read: every picture
has its table, and the thickness of a line is only as true as a pen.
"""

from bisect import bisect_right, insort
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from production.tracing.domain.family import Flow, Member, places

NARROW, BROAD, HEIGHT = 124, 168, 54  # a box: it takes the room that there is
GAP = 12  # between two in a column
LANE = 12  # what a line takes up where it passes through a column
PAGE, NEAR, FAR = 1072, 34, 96  # columns spread over a page, within reason
EASY = 48  # between two columns, while boxes may still grow
EDGE = 8  # clear paper round the whole
THICK, THIN = 14, 1.5
SWEEPS = 12


@dataclass(frozen=True, slots=True)
class Box:
    """Where a member stands."""

    key: str
    column: int
    x: int
    y: int
    width: int
    height: int = HEIGHT


@dataclass(frozen=True, slots=True)
class Line:
    """A flow as the ``d`` of an SVG path; ``share`` None is drawn thin."""

    source: str
    target: str
    d: str
    thick: float
    share: Decimal | None


@dataclass(frozen=True, slots=True)
class Drawing:
    boxes: Sequence[Box]
    lines: Sequence[Line]
    width: int
    height: int


def layout(members: Sequence[Member], flows: Sequence[Flow]) -> Drawing:
    """Place a family: the same family always gives the same picture.

    A line that skips columns keeps a lane through each; lanes and boxes are ordered by
    the mean place of what they touch, over and back, then drawn towards each other.
    """
    column = places(members, flows)
    at = [column[member.key] for member in members]
    number = {member.key: place for place, member in enumerate(members)}
    ways: list[list[int]] = []
    for flow in flows:
        here, there = number[flow.source], number[flow.target]
        between = range(at[here] + 1, at[there])
        lanes = [len(at) + step for step in range(len(between))]
        at.extend(between)
        ways.append([here, *lanes, there])
    tall = [HEIGHT + GAP] * len(members) + [LANE] * (len(at) - len(members))
    middle = _placed(at, tall, ways, {number[one.key] for one in members if one.end})
    wide = max(at, default=0)
    broad = min(max((PAGE - wide * EASY) // (wide + 1), NARROW), BROAD)
    gap = min(max((PAGE - (wide + 1) * broad) // max(wide, 1), NEAR), FAR)
    left = [EDGE + place * (broad + gap) for place in at]
    boxes = [
        Box(
            member.key,
            at[place],
            left[place],
            round(middle[place]) - HEIGHT // 2,
            broad,
        )
        for place, member in enumerate(members)
    ]
    low = max((box.y for box in boxes), default=0) + HEIGHT
    return Drawing(
        boxes,
        _lines(members, flows, ways, [(x, x + broad) for x in left], middle),
        width=2 * EDGE + wide * (broad + gap) + broad,
        height=max([low, *(round(y) for y in middle)]) + EDGE,
    )


def _placed(
    at: Sequence[int],
    tall: Sequence[int],
    ways: Sequence[Sequence[int]],
    ends: set[int],
) -> list[float]:
    """The middle of each place, downwards from the edge of the paper.

    Lots are put in order among themselves; customers follow them.
    """
    rows: list[list[int]] = [[] for _ in range(max(at, default=-1) + 1)]
    for place, column in enumerate(at):
        rows[column].append(place)
    left: dict[int, list[int]] = defaultdict(list)
    right: dict[int, list[int]] = defaultdict(list)
    for way in ways:
        for here, there in pairwise(way):
            right[here].append(there)
            left[there].append(here)
    onward = {one: [to for to in some if to not in ends] for one, some in right.items()}
    rows = _ordered(rows, left, onward)
    rank = _ranks(rows)
    rows[-1:] = [
        sorted(row, key=lambda one: _mean(left[one], rank, one)) for row in rows[-1:]
    ]
    middle = dict.fromkeys(range(len(at)), 0.0)
    for turn in range(SWEEPS):
        for row in reversed(rows) if turn % 2 else rows:
            wished = [_mean(left[one] + right[one], middle, one) for one in row]
            for place, y in zip(
                row, _apart(wished, [tall[one] for one in row]), strict=True
            ):
                middle[place] = y
    top = min((middle[one] - tall[one] / 2 for one in range(len(at))), default=0)
    return [middle[one] - top + EDGE for one in range(len(at))]


def _ordered(
    rows: Sequence[Sequence[int]],
    left: Mapping[int, Sequence[int]],
    right: Mapping[int, Sequence[int]],
) -> list[list[int]]:
    """Over and back by the mean rank on that side; the order that crosses least."""
    found = [list(row) for row in rows]
    best, fewest = [*map(list, found)], _crossings(found, right)
    for turn in range(SWEEPS):
        back = turn % 2
        beside = right if back else left
        for row in reversed(found) if back else found:
            rank = _ranks(found)
            row.sort(key=lambda one: _mean(beside.get(one, ()), rank, one))
        if (crossed := _crossings(found, right)) < fewest:
            best, fewest = [*map(list, found)], crossed
    return best


def _ranks(rows: Sequence[Sequence[int]]) -> dict[int, float]:
    """From 0 to 1, so that a short column compares with a long one."""
    return {
        one: (place + 0.5) / len(row) for row in rows for place, one in enumerate(row)
    }


def _crossings(
    rows: Sequence[Sequence[int]],
    right: Mapping[int, Sequence[int]],
) -> int:
    """How often lines cross: each counts those from above that end further down."""
    crossed, rank = 0, _ranks(rows)
    for row in rows:
        ended: list[float] = []
        for place in row:
            stops = [rank[other] for other in right.get(place, ())]
            crossed += sum(len(ended) - bisect_right(ended, stop) for stop in stops)
            for stop in stops:
                insort(ended, stop)
    return crossed


def _mean(beside: Sequence[int], of: Mapping[int, float], own: int) -> float:
    return sum(of[one] for one in beside) / len(beside) if beside else of[own]


def _apart(wished: Sequence[float], tall: Sequence[int]) -> list[float]:
    """The middles nearest to those wished for (least squares) that keep the order and
    do not overlap: neighbours that would are pooled and share the mean."""
    steps = [0.0]
    for upper, lower in pairwise(tall):
        steps.append(steps[-1] + (upper + lower) / 2)
    pools: list[tuple[float, int]] = []
    for wish, step in zip(wished, steps, strict=True):
        total, count = wish - step, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            above, more = pools.pop()
            total, count = total + above, count + more
        pools.append((total, count))
    shared = [total / count for total, count in pools for _ in range(count)]
    return [base + step for base, step in zip(shared, steps, strict=True)]


def _lines(
    members: Sequence[Member],
    flows: Sequence[Flow],
    ways: Sequence[Sequence[int]],
    sides: Sequence[tuple[int, int]],
    middle: Sequence[float],
) -> list[Line]:
    """Each flow as a path, docked in the order of where it comes from or goes to."""
    whole = {member.key: member for member in members}
    shares = [_share(flow, whole) for flow in flows]
    thick = [
        max(THIN, round(THICK * float(share), 1)) if share is not None else THIN
        for share in shares
    ]
    starts = _docks(ways, thick, middle, end=0, beside=1)
    stops = _docks(ways, thick, middle, end=-1, beside=-2)
    return [
        Line(
            flow.source,
            flow.target,
            _path(
                [starts[no], *(middle[one] for one in way[1:-1]), stops[no]],
                [sides[one] for one in way],
            ),
            thick[no],
            shares[no],
        )
        for no, (flow, way) in enumerate(zip(flows, ways, strict=True))
    ]


def _share(flow: Flow, whole: Mapping[str, Member]) -> Decimal | None:
    """Of what the flow went into; of what it came from where that is a customer, or a
    pot that has made nothing yet."""
    into = whole[flow.target]
    of = whole[flow.source].grams if into.end or into.pot else into.grams
    if flow.grams is None or not of:
        return None
    return min(flow.grams / of, Decimal(1))


def _docks(
    ways: Sequence[Sequence[int]],
    thick: Sequence[float],
    middle: Sequence[float],
    *,
    end: int,
    beside: int,
) -> dict[int, float]:
    """Where on the side of its box each line starts (``end`` 0) or stops (-1)."""
    sides: dict[int, list[int]] = defaultdict(list)
    for number, way in enumerate(ways):
        sides[way[end]].append(number)
    docks: dict[int, float] = {}
    for place, lines in sides.items():
        lines.sort(key=lambda number: middle[ways[number][beside]])
        room = sum(thick[number] + 2 for number in lines)
        tight = min(1, (HEIGHT - 8) / room)
        y = middle[place] - room * tight / 2
        for number in lines:
            step = (thick[number] + 2) * tight
            docks[number] = y + step / 2
            y += step
    return docks


def _path(heights: Sequence[float], sides: Sequence[tuple[int, int]]) -> str:
    """A curve over each gap, and straight on along each lane."""
    parts = [f"M{sides[0][1]} {heights[0]:.0f}"]
    for (_, start), (stop, beyond), (y, onto) in zip(
        sides[:-1], sides[1:], pairwise(heights), strict=True
    ):
        half = (start + stop) // 2
        parts.append(f"C{half} {y:.0f} {half} {onto:.0f} {stop} {onto:.0f}")
        parts.append(f"H{beyond}")
    return "".join(parts[:-1])
