"""The packers' rules of the average system: how far single packs may fall short.

None of them lets a maker aim low: the average is never below what is declared.
Directive 76/211/EEC Annex I; UK SI 2006/659 reg 4 and Schedules 2 and 3. Amounts are
in mL at 20 degrees C, or in g.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

TENTH = Decimal("0.1")
# Up to so much: the tolerable error as a share, or as an amount. Annex I 2.4,
# verified up to 1,000; the last row in official guidance. Neighbours meet at their
# bounds.
TOLERABLE = (
    (50, Decimal("0.09"), None),
    (100, None, Decimal("4.5")),
    (200, Decimal("0.045"), None),
    (300, None, Decimal(9)),
    (500, Decimal("0.03"), None),
    (1000, None, Decimal(15)),
    (10_000, Decimal("0.015"), None),
)
LEAST, MOST = Decimal(5), Decimal(10_000)
SMALL_BATCH = 100
# Of a batch under 100, of which each pack is weighed: UK SI 2006/659 Sch 2, verified;
# of a larger one: guidance.
FEW_OF_SMALL, FEW = Decimal("0.05"), Decimal("0.025")
E_MARK = Decimal(3)  # mm: Annex I 3.3


@dataclass(frozen=True, slots=True)
class Limits:
    """The tolerable negative error; few packs below ``first``, none below another."""

    tolerable: Decimal
    first: Decimal
    second: Decimal


@dataclass(frozen=True, slots=True)
class Kept:
    """Which of the three rules a batch keeps, and its share below the first limit."""

    average: bool
    few: bool
    none_below: bool
    share: Decimal

    @property
    def all(self) -> bool:
        return self.average and self.few and self.none_below


def limits(nominal: Decimal) -> Limits:
    """For so many mL or g; a percentage is rounded up to 0.1 (Annex I 2.5, official
    guidance). Refused outside 5 to 10,000."""
    if not LEAST <= nominal <= MOST:
        raise Refused(
            f"The packers' rules reach from {LEAST} to {plain(MOST)} mL or g: "
            f"{plain(nominal)} is outside."
        )
    _, share, amount = next(row for row in TOLERABLE if nominal <= row[0])
    error = amount or (nominal * (share or 0)).quantize(TENTH, ROUND_UP)
    return Limits(error, nominal - error, nominal - 2 * error)


def check_weights(nominal: Decimal, density: Decimal) -> Limits:
    """The same in grams for a volume; ``density`` in g/mL at 20 degrees C.

    SI 2006/659 Sch 2 para 1; Annex I 2.2.
    """
    of = limits(nominal)
    return Limits(of.tolerable * density, of.first * density, of.second * density)


def keeps_rules(
    nominal: Decimal, batch: int, mean: Decimal, below_first: int, below_second: int
) -> Kept:
    """The three rules: Annex I 1.1 to 1.3; SI 2006/659 reg 4."""
    if batch < 1 or not 0 <= below_second <= below_first <= batch:
        raise Refused("Count the packs of a batch, and of these those that are short.")
    share = Decimal(below_first) / batch
    few = FEW_OF_SMALL if batch < SMALL_BATCH else FEW
    return Kept(mean >= nominal, share <= few, below_second == 0, share)


def weighed(nominal: Decimal, contents: Sequence[Decimal]) -> Kept:
    """The same for a batch of which each pack was weighed."""
    of = limits(nominal)
    count = len(contents)
    if not count:
        raise Refused("Weigh the packs of the batch first.")
    return keeps_rules(
        nominal,
        count,
        sum(contents, Decimal(0)) / count,
        sum(one < of.first for one in contents),
        sum(one < of.second for one in contents),
    )


def no_e_mark(nominal: Decimal, height: Decimal = E_MARK) -> tuple[str, ...]:
    """Why the mark of the packers' rules may not stand; ``height`` in mm.

    Directive 76/211/EEC Art 1, Annex I 3.3; SI 2006/659 reg 2, 3(1), 5(3).
    """
    found = []
    if not LEAST <= nominal <= MOST:
        found.append(
            f"The e-mark stands on {LEAST} to {plain(MOST)} mL or g: this is "
            f"{plain(nominal)}."
        )
    if height < E_MARK:
        found.append(f"The e-mark is at least {E_MARK} mm high.")
    return tuple(found)
