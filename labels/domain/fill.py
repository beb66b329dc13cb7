"""What is declared against what is inside: an average below it is never right."""

from dataclasses import dataclass
from decimal import ROUND_UP, Decimal

from labels.domain.cutting import cut
from labels.domain.net_contents import NetContents
from labels.domain.packers import limits
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

SHOWN = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Fill:
    """What one piece holds, in g, and its density in g/mL at 20 degrees C.

    None where nobody said it; ``asks`` says what to do then. ``of`` names the lot and
    ``measured`` where the density is from.
    """

    grams: Decimal | None = None
    density: Decimal | None = None
    of: str = "a piece"
    measured: str = ""
    asks: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """``short``: it declares more than is inside. ``holds``: it does not. ``asks``: it
    was not compared, and why. One of them has words."""

    short: str = ""
    holds: str = ""
    asks: str = ""


def judge(contents: NetContents, fill: Fill) -> Judged:
    """Compare the largest figure that a label prints with what a piece holds.

    The larger of several figures is the one enforced (NIST's note to packers, a
    summary); no average may be below it: 16 CFR 500.25, 21 CFR 701.13(s), Directive
    76/211/EEC Annex I 1.1, C.R.C., c. 417, s. 39.
    """
    if fill.grams is None:
        return Judged(asks=fill.asks or "Not compared with the fill: say its net mass.")
    if not contents.declared.by_volume:
        return _judge(contents, fill, Decimal(1))
    if fill.density is None:
        return Judged(
            asks=fill.asks
            or "Not compared with the fill: measure the density at 20 °C."
        )
    return _judge(contents, fill, fill.density)


def target(binding: Decimal, density: Decimal, division: Decimal = SHOWN) -> Decimal:
    """The least grams on average, rounded up to a division of the scale."""
    steps = (binding * density / division).to_integral_value(ROUND_UP)
    return steps * division


def _judge(contents: NetContents, fill: Fill, density: Decimal) -> Judged:
    grams = fill.grams or Decimal(0)
    unit = "mL" if contents.declared.by_volume else "g"
    holds = f"{fill.of} holds {plain(grams)} g"
    if unit == "mL":
        volume = plain(cut(grams / density, 9))
        holds += f", at {plain(density)} g/mL{fill.measured} {volume} mL"
    wanted = f"{plain(contents.binding.quantize(SHOWN, ROUND_UP))} {unit}"
    least = plain(target(contents.binding, density))
    if grams < contents.binding * density:
        return Judged(
            short=f"The label declares {contents}, so at least {wanted}; {holds}. Fill "
            f"{least} g or more on average, or declare less."
        )
    told = f"{holds}; declared are {wanted}: {least} g or more on average."
    return Judged(holds=told[0].upper() + told[1:])


def single_packs(contents: NetContents) -> str:
    """How far single packs may fall short, in words; "" outside the packers' rules."""
    nominal = contents.binding
    unit = "mL" if contents.declared.by_volume else "g"
    try:
        of = limits(nominal)
    except Refused:
        return ""
    return (
        f"Single packs: few below {plain(of.first)} {unit}, none below "
        f"{plain(of.second)} {unit}; the average may not be below {plain(nominal)} "
        f"{unit}."
    )
