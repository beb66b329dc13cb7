"""The true superfat as an interval: published ranges, purity and the balance.

A superfat is set on one saponification value for each oil, one purity and weighings
without error. The pot knows better: the oils of a lot lie somewhere in their published
range, "min. 85 %" is a floor, and the balance shows whole steps. Shares are fractions,
saponification values mg KOH per g, amounts grams.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal, localcontext

from production.chemistry.domain.bands import (
    AlkaliRange,
    Band,
    Cause,
    OilRange,
    SuperfatRange,
)
from production.chemistry.domain.constants import ALKALIS, EXACT, KOH
from production.chemistry.domain.validation import (
    not_negative,
)
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

EXCESS, MAY_BE_EXCESS, IN_ORDER, INTENDED = (
    "excess",
    "may be excess",
    "in order",
    "intended",
)
_MG_PER_MOLE = 1000 * KOH
# A superfat set to 0 comes back with the rounding of the last of 50 digits.
_NOTHING = Decimal("1e-12")
_STEPS = 1000  # the superfat to set is looked for in steps of 0.1 %
_FINER = 10  # the next balance of the trade reads one place more


@dataclass(frozen=True, slots=True)
class _Pot:
    """What a superfat depends on: mg of KOH, and half a step of the balance in g."""

    oils: Sequence[OilRange]
    alkalis: Sequence[AlkaliRange]
    acid: Decimal
    half: Decimal
    demand: Decimal
    alkali: Decimal
    central: Decimal

    def superfat(self, alkali: Decimal = ZERO, demand: Decimal = ZERO) -> Decimal:
        """With so much more or less of either."""
        return ONE - (self.alkali + alkali - self.acid) / (self.demand + demand)

    def moved(self, one: Decimal, other: Decimal) -> tuple[Decimal, Decimal]:
        """How far below and above the central figure a cause reaches."""
        low, high = (one, other) if one < other else (other, one)
        return max(self.central - low, ZERO), max(high - self.central, ZERO)


def _pot(
    oils: Sequence[OilRange],
    alkalis: Sequence[AlkaliRange],
    acid: Decimal,
    half: Decimal,
) -> _Pot:
    demand = sum((oil.grams * oil.sv for oil in oils), ZERO)
    alkali = sum((_gives(a.alkali, a.weighed, a.purity) for a in alkalis), ZERO)
    central = ONE - (alkali - acid) / demand
    return _Pot(oils, alkalis, acid, half, demand, alkali, central)


def _gives(alkali: str, weighed: Decimal, purity: Decimal) -> Decimal:
    return weighed * purity * _MG_PER_MOLE / ALKALIS[alkali]


def superfat_range(
    oils: Sequence[OilRange],
    alkalis: Sequence[AlkaliRange],
    *,
    acid_moles: Decimal = ZERO,
    resolution: Decimal = ZERO,
    intended_excess: bool = False,
) -> SuperfatRange:
    """Where the true superfat lies: 1 - (alkali - acids) / demand, in moles.

    ``acid_moles`` is the alkali that acids in the lye take, held exact. ``resolution``
    is the smallest step of the balance in grams: each weighing is off by up to half of
    it. What "min. so much" leaves open is added in full, since the truth always lies
    above a floor. Raises Refused without oils, and for oils below the balance's step.
    """
    if not oils:
        raise Refused("Add at least one oil: without one there is no superfat.")
    not_negative(acid_moles, "the alkali that the acids take")
    not_negative(resolution, "the smallest step of the balance")
    with localcontext(EXACT):
        pot = _pot(oils, alkalis, acid_moles * _MG_PER_MOLE, resolution / 2)
        causes = _causes(pot)
        ends = _ends(pot)
        likely = _likely(pot, causes, ends)
        grade = INTENDED if intended_excess else _grade(pot.central, likely)
        clears = _clears(pot, causes, likely, grade)
    return SuperfatRange(pot.central, likely, ends, grade, causes, clears)


def _grade(central: Decimal, likely: Band) -> str:
    if central <= _NOTHING:
        return EXCESS
    return MAY_BE_EXCESS if likely.low < -_NOTHING else IN_ORDER


def _causes(pot: _Pot) -> tuple[Cause, ...]:
    """Each cause one at a time, from the central figures; none that moves nothing."""
    found = [*_of_oils(pot), *_of_purities(pot), _of_the_balance(pot)]
    moving = [cause for cause in found if cause.down or cause.up]
    return tuple(sorted(moving, key=lambda cause: cause.down, reverse=True))


def _of_oils(pot: _Pot) -> Iterable[Cause]:
    """Two lines of one name are the same oil and go the same way."""
    moves: dict[str, tuple[Decimal, Decimal]] = {}
    for oil in pot.oils:
        less, more = moves.get(oil.name, (ZERO, ZERO))
        less += oil.grams * (oil.sv - oil.sv_low)
        more += oil.grams * (oil.sv_high - oil.sv)
        moves[oil.name] = less, more
    for name, (less, more) in moves.items():
        down, up = pot.moved(pot.superfat(demand=-less), pot.superfat(demand=more))
        yield Cause(f"saponification value of {name}", "oil", down, up, of=name)


def _of_purities(pot: _Pot) -> Iterable[Cause]:
    for tub in pot.alkalis:
        less = _gives(tub.alkali, tub.weighed, tub.purity - tub.purity_low)
        more = _gives(tub.alkali, tub.weighed, tub.purity_high - tub.purity)
        down, up = pot.moved(pot.superfat(alkali=more), pot.superfat(alkali=-less))
        name = f"purity of the {tub.alkali}"
        if tub.floor:
            name += ", of which only a floor is known"
        yield Cause(name, "purity", down, up, of=tub.alkali, floor=tub.floor)


def _of_the_balance(pot: _Pot) -> Cause:
    """Every weighing is off by itself: the root of the sum of their squares."""
    pairs = []
    for oil in pot.oils:
        off = min(pot.half, oil.grams) * oil.sv
        _check_left(pot.demand - off, pot)
        pairs.append(pot.moved(pot.superfat(demand=-off), pot.superfat(demand=off)))
    for tub in pot.alkalis:
        off = _gives(tub.alkali, min(pot.half, tub.weighed), tub.purity)
        pairs.append(pot.moved(pot.superfat(off), pot.superfat(-off)))
    name = f"weighing in steps of {plain(pot.half * 2)} g"
    down, up = _root(pair[0] for pair in pairs), _root(pair[1] for pair in pairs)
    return Cause(name, "balance", down, up)


def _check_left(demand: Decimal, pot: _Pot) -> None:
    if demand <= 0:
        raise Refused(
            f"A balance in steps of {plain(pot.half * 2)} g cannot weigh these oils: "
            "take a finer balance or a larger batch."
        )


def _root(parts: Iterable[Decimal]) -> Decimal:
    return sum((part * part for part in parts), ZERO).sqrt()


def _ends(pot: _Pot) -> Band:
    """Everything at its worst at once, the weighings too."""
    half = pot.half
    least = sum((max(o.grams - half, ZERO) * o.sv_low for o in pot.oils), ZERO)
    most = sum(((o.grams + half) * o.sv_high for o in pot.oils), ZERO)
    _check_left(least, pot)
    weak = sum(
        (
            _gives(a.alkali, max(a.weighed - half, ZERO), a.purity_low)
            for a in pot.alkalis
        ),
        ZERO,
    )
    strong = sum(
        (_gives(a.alkali, a.weighed + half, a.purity_high) for a in pot.alkalis), ZERO
    )
    corners = [
        pot.superfat(alkali - pot.alkali, demand - pot.demand)
        for alkali in (weak, strong)
        for demand in (least, most)
    ]
    return Band(min(corners), max(corners))


def _likely(pot: _Pot, causes: Iterable[Cause], ends: Band | None = None) -> Band:
    """Never beyond the ends, which the roots of few causes could pass by a hair."""
    causes = tuple(causes)
    floors = sum((cause.down for cause in causes if cause.floor), ZERO)
    down = _root(cause.down for cause in causes if not cause.floor)
    low = pot.central - floors - down
    high = pot.central + _root(cause.up for cause in causes)
    if ends is None:
        return Band(low, high)
    return Band(max(low, ends.low), min(high, ends.high))


def _clears(
    pot: _Pot, causes: Sequence[Cause], likely: Band, grade: str
) -> tuple[str, ...]:
    """What would clear an amber or a red, each with the figures it would leave."""
    if grade not in (EXCESS, MAY_BE_EXCESS):
        return ()
    higher = _a_higher_superfat(pot, likely)
    known = _better_knowledge(pot, causes) if grade == MAY_BE_EXCESS else ()
    # What a floor hides is measured rather than covered with fat.
    floor = any(cause.floor for cause in causes)
    return (*known, *higher) if floor else (*higher, *known)


def _a_higher_superfat(pot: _Pot, likely: Band) -> Iterable[str]:
    """The alkali goes with 1 - superfat, and so does nearly all that is uncertain."""
    near = ONE - (ONE - pot.central) / (ONE - likely.low)
    steps = max(int(near * _STEPS), 0)
    band = _at(pot, steps)
    while steps and band.low >= 0 and (less := _at(pot, steps - 1)).low >= 0:
        steps, band = steps - 1, less
    while band.low < 0 and steps < _STEPS - 1:
        steps += 1
        band = _at(pot, steps)
    if band.low >= 0:
        superfat = plain(Decimal(steps) * 100 / _STEPS)
        yield (
            f"Set the superfat to {superfat} %: it then likely lies between "
            f"{_words(band)}."
        )


def _at(pot: _Pot, steps: int) -> Band:
    """The likely band with the alkali weighed for another superfat."""
    superfat = Decimal(steps) / _STEPS
    alkali = (ONE - superfat) * pot.demand + pot.acid
    weighed = [
        replace(tub, weighed=tub.weighed * alkali / pot.alkali) for tub in pot.alkalis
    ]
    other = replace(pot, alkalis=weighed, alkali=alkali, central=superfat)
    return _likely(other, _causes(other), _ends(other))


def _better_knowledge(pot: _Pot, causes: Sequence[Cause]) -> Iterable[str]:
    """A purity measured, a certificate, a finer balance: whatever is worth it.

    The superfat stays as set: the alkali is weighed anew by what was found out.
    """
    for cause in causes:
        if cause.kind == "purity":
            yield (
                f"Measure the purity of the {cause.of} and weigh by it: "
                f"{_left(_without(pot, causes, cause))}."
            )
    oil = next((c for c in causes if c.kind == "oil" and c.down), None)
    if oil is not None:
        yield (
            "Work with the saponification value on the certificate of this lot of "
            f"{oil.of}: {_left(_without(pot, causes, oil))}."
        )
    balance = next((c for c in causes if c.kind == "balance"), None)
    if balance is not None:
        yield from _a_finer_balance(pot, causes, balance)


def _a_finer_balance(
    pot: _Pot, causes: Sequence[Cause], balance: Cause
) -> Iterable[str]:
    """Only where the balance is what matters most, or alone decides."""
    half = pot.half / _FINER
    others = [cause for cause in causes if cause is not balance]
    left = _likely(pot, [*others, _of_the_balance(replace(pot, half=half))])
    if balance is causes[0] or left.low >= 0:
        yield f"Weigh in steps of {plain(half * 2)} g: {_left(left)}."


def _without(pot: _Pot, causes: Sequence[Cause], known: Cause) -> Band:
    """The likely band were this figure known; where it would lie is not known."""
    return _likely(pot, [cause for cause in causes if cause is not known])


def _left(band: Band) -> str:
    verdict = "" if band.low >= 0 else ", which is not enough on its own"
    return f"the superfat then likely lies between {_words(band)}{verdict}"


def _words(band: Band) -> str:
    """In percent, rounded outwards: nothing looks clearer than it is."""
    low = _percent(band.low, ROUND_FLOOR)
    return f"{low} % and {_percent(band.high, ROUND_CEILING)} %"


def _percent(value: Decimal, rounding: str) -> str:
    exact = round(value * 100, 12)  # the last of 50 digits is no reason to round up
    return plain(exact.quantize(Decimal("0.01"), rounding=rounding))
