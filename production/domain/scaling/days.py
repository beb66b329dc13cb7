"""When it can be sold: each stage rests before the next one takes it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from production.domain.refusal import Refused
from production.domain.scaling.chain import Chain, Stage


@dataclass(frozen=True, slots=True)
class Wait:
    """Whole days from the making of a stage until the next one may take it."""

    stage: str
    days: int


@dataclass(frozen=True, slots=True)
class FirstDay:
    """The day each stage is ready, in the order of making, and the last of them."""

    ready: tuple[tuple[str, date], ...]
    on: date


def first_day(start: date, waits: Iterable[Wait]) -> FirstDay:
    """The first day of sale, each stage being made once the one before is ready.

    Refused for a wait below zero.
    """
    ready, on = [], start
    for wait in waits:
        if wait.days < 0:
            raise Refused(
                f"{wait.stage} cannot wait {wait.days} days: write 0 or more."
            )
        try:
            on += timedelta(days=wait.days)
        except OverflowError as fault:
            raise Refused(
                f"{wait.stage} would be ready after the end of the calendar: check the "
                "day and its rest."
            ) from fault
        ready.append((wait.stage, on))
    return FirstDay(tuple(ready), on)


def longest_wait(chain: Chain) -> tuple[Wait, ...]:
    """The way through the chain that takes longest, in the order of making.

    What is prepared on the side rests beside the rest.
    """
    ways: dict[int, tuple[Stage, ...]] = {}
    for stage in reversed(chain.stages):
        behind = [ways[item.key] for item in stage.plan.takes if item.key in ways]
        longest = max(behind, key=lambda way: (_days(way), len(way)), default=())
        way = (*longest, stage)
        if _days(way) >= _days(ways.get(stage.makes.key, ())):
            ways[stage.makes.key] = way
    found = max(ways.values(), key=lambda way: (_days(way), len(way)), default=())
    return tuple(Wait(stage.name, stage.rest_days) for stage in found)


def _days(way: tuple[Stage, ...]) -> int:
    return sum(stage.rest_days for stage in way)
