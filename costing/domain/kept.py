"""Values as they are kept: what moved from account to account, day by day.

Each step takes so much nano out of one account into another, so that all accounts add
up to nothing. What a trial holds and loses is development until it is accepted; on
that day it goes where it would have been.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from costing.domain.rollup import BatchNode, Flow, LotNode, LotValue, Parts, Totals
from production.quantities.domain.numbers import share_units

PURCHASES, OPENING, MAKING_COST = "purchases", "opening", "making_cost"
STOCK, WORK_IN_PROGRESS = "stock", "work_in_progress"
DEVELOPMENT, ABNORMAL, SOLD = "development", "abnormal", "cost_of_goods_sold"
# An account of its own has what was given for each reason ("given: gift"), an abnormal
# loss by each name, and the making cost by each kind of work.
GIVEN = "given"
DISCARDED, COUNTED, SENT_BACK = "discarded", "counted", "sent_back"
ACCOUNT_OF = {
    "used": WORK_IN_PROGRESS,
    "sold": SOLD,
    "returned": SOLD,
    "given": GIVEN,
    "discarded": DISCARDED,
    "counted": COUNTED,
    "sent back": SENT_BACK,
}
LOST = (GIVEN, DISCARDED, COUNTED)

# What an account stands at, in nano.
Accounts = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Step:
    """So much nano, out of one account into another, on a day."""

    on: date
    out_of: str
    into: str
    nano: int


@dataclass(frozen=True, slots=True)
class Valued:
    """One entry of a lot with its cost; ``parts`` are signed as a loss to the lot."""

    entry: int
    parts: Parts
    step: Step
    batch: str | None = None


@dataclass(frozen=True, slots=True)
class Trial:
    """Whether a batch was one, and when it was accepted."""

    tried: bool = False
    accepted: date | None = None

    def on(self, day: date) -> bool:
        """Whether it was still one at the end of that day."""
        return self.tried and (self.accepted is None or day < self.accepted)


NO_TRIAL = Trial()


def account_of(kind: str, why: str = "") -> str:
    """The account that an entry leads to."""
    return named(ACCOUNT_OF[kind], why)


def named(account: str, name: str) -> str:
    """The account of one name within another; that one itself where there is none."""
    return f"{account}: {name}" if name else account


def parent(account: str) -> str:
    """The account that one of a name is within."""
    return account.split(":")[0]


def _as_trial(account: str) -> str:
    own = parent(account) in (STOCK, ABNORMAL, *LOST)
    return DEVELOPMENT if own else account


def born(node: LotNode, value: LotValue, trial: Trial = NO_TRIAL) -> list[Step]:
    """What came into a lot, and what of it was lost with its making.

    And, where it was a trial, what the day on which it was accepted makes stock.
    """
    if node.began is None:
        return []
    came, bought = OPENING if node.opening else PURCHASES, _sum(node.bought)
    steps = [
        Step(node.began, came, STOCK, bought),
        Step(node.began, WORK_IN_PROGRESS, STOCK, _sum(value.total) - bought),
        *_spoilt(node, node.began, _sum(value.abnormal)),
    ]
    return _steps([*_classed(steps, trial), *_accepted(steps, node, value, trial)])


def _spoilt(node: LotNode, began: date, nano: int) -> list[Step]:
    """An abnormal loss by its names, in shares of how much was lost by each."""
    shares = [nano]
    if node.spoilt and nano:
        shares = share_units(nano, list(node.spoilt.values()))
    names = list(node.spoilt) or [""]
    return [
        Step(began, STOCK, named(ABNORMAL, name), share)
        for name, share in zip(names, shares, strict=False)
    ]


def _accepted(
    steps: Iterable[Step], node: LotNode, value: LotValue, trial: Trial
) -> Iterator[Step]:
    """All that was development of it by then goes to its own account."""
    if not trial.tried or trial.accepted is None:
        return
    flows = [one.step for one in _valued(node, value, NO_TRIAL)]
    went: Counter[str] = Counter()
    for step in (*steps, *flows):
        if trial.on(step.on):
            for account, nano in ((step.out_of, -step.nano), (step.into, step.nano)):
                if _as_trial(account) != account:
                    went[account] += nano
    for account, nano in went.items():
        yield Step(trial.accepted, DEVELOPMENT, account, nano)


def left(node: LotNode, value: LotValue, trial: Trial = NO_TRIAL) -> list[Valued]:
    """Each entry that took something out of a lot or brought it back."""
    return list(_valued(node, value, trial))


def _valued(node: LotNode, value: LotValue, trial: Trial) -> Iterator[Valued]:
    for flow in node.flows:
        if flow.id in value.taken:
            yield gone(flow, value.taken[flow.id], trial)


def gone(flow: Flow, parts: Parts, trial: Trial = NO_TRIAL) -> Valued:
    """One entry with its cost; ValueError where its day was not asked."""
    if flow.on is None:
        raise ValueError(f"entry {flow.id} names no day")
    step = Step(flow.on, STOCK, account_of(flow.kind, flow.why), _sum(parts))
    [step] = _classed([step], trial)
    return Valued(flow.id, parts, step, flow.batch)


def _classed(steps: Iterable[Step], trial: Trial) -> list[Step]:
    return [
        Step(step.on, _as_trial(step.out_of), _as_trial(step.into), step.nano)
        if trial.on(step.on)
        else step
        for step in steps
    ]


def worked(
    node: BatchNode, went_in: Iterable[tuple[date, int]], ended: date | None
) -> list[Step]:
    """The making cost of a batch, and where what it held stood meanwhile.

    ``went_in`` are the uses, ``ended`` the day on which its lot was made.
    """
    trial = Trial(node.tried, node.accepted)
    hours = [(on, _sum(parts)) for on, parts in node.worked]
    steps = [
        Step(on, named(MAKING_COST, kind), WORK_IN_PROGRESS, nano)
        for on, parts in node.worked
        for kind, nano in parts.items()
    ]
    turns = [day for day in (node.accepted, node.lost_on) if day is not None]
    for on, nano in (*hours, *went_in):
        stood = WORK_IN_PROGRESS
        for day in sorted({on, *(turn for turn in turns if turn > on)}):
            if ended is not None and day >= ended:
                break
            now = _stands(node, trial, day)
            steps.append(Step(day, stood, now, nano))
            stood = now
        if ended is not None:
            steps.append(Step(ended, stood, WORK_IN_PROGRESS, nano))
    return _steps(steps)


def _stands(node: BatchNode, trial: Trial, day: date) -> str:
    if trial.on(day):
        return DEVELOPMENT
    lost = node.lost_on is not None and day >= node.lost_on
    return named(ABNORMAL, node.lost_as) if lost else WORK_IN_PROGRESS


def _steps(steps: Iterable[Step]) -> list[Step]:
    """One step a day and pair of accounts; what moves nothing is left out."""
    moved: Counter[tuple[date, str, str]] = Counter()
    for step in steps:
        if step.out_of != step.into:
            moved[step.on, step.out_of, step.into] += step.nano
    return [Step(*at, nano) for at, nano in sorted(moved.items()) if nano]


def _sum(parts: Parts) -> int:
    return sum(parts.values())


def accounts(steps: Iterable[Step]) -> dict[str, int]:
    """What the accounts stand at after these steps."""
    stands: Counter[str] = Counter()
    for step in steps:
        stands[step.out_of] -= step.nano
        stands[step.into] += step.nano
    return {name: nano for name, nano in stands.items() if nano}


def totals_of(stands: Accounts) -> Totals:
    """The figures of the whole book from its accounts."""

    def together(name: str) -> int:
        return sum(nano for account, nano in stands.items() if parent(account) == name)

    return Totals(
        purchases=-together(PURCHASES),
        opening=-together(OPENING),
        making_cost=-together(MAKING_COST),
        work_in_progress=together(WORK_IN_PROGRESS),
        stock=together(STOCK),
        cost_of_goods_sold=together(SOLD),
        abnormal=together(ABNORMAL),
        given=together(GIVEN),
        discarded=together(DISCARDED),
        counted=together(COUNTED),
        development=together(DEVELOPMENT),
        sent_back=together(SENT_BACK),
    )


def by_name(stands: Accounts, account: str) -> dict[str, int]:
    """What the accounts within one stand at, by their names; "" where one has none."""
    return {
        own.partition(": ")[2]: nano
        for own, nano in sorted(stands.items())
        if parent(own) == account and nano
    }
