"""The lines of a batch sheet, and amounts as it prints them."""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from production.quantities.domain.numbers import grouped, plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import GRAMS
from production.recipes.domain.pot import GoesIn

Kind = Literal[
    "oil",
    "water",
    "alkali",
    "acid",
    "additive",
    "fragrance",
    "soap",
    "packaging",
    "material",
]
Unit = Literal["g", "piece"]
Units = Literal["metric", "us"]
Place = Literal["kettle", "jug", "late"]


@dataclass(frozen=True, slots=True)
class Figure:
    """An amount as the sheet shows it; ``exact`` is the value behind it."""

    exact: Decimal
    text: str
    unit: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A lot and how much of it is wanted, in grams or whole pieces.

    ``goes_in``: "lye" is dissolved with the alkali, "late" is added after the cook.
    Refused for an amount of nothing: an unknown one is no line.
    """

    item: str
    lot: str
    target: Decimal
    unit: Unit = "g"
    kind: Kind = "material"
    expires: date | None = None
    note: str = ""
    goes_in: GoesIn = ""

    def __post_init__(self) -> None:
        if self.target <= 0:
            raise Refused(f"{self.item} has no amount: write how much goes in.")


@dataclass(frozen=True, slots=True)
class Tare:
    """A vessel and what it weighs empty, in grams; None: not known yet."""

    name: str
    grams: Decimal | None = None


def in_units(grams: Decimal, units: Units) -> Figure:
    """Grams for the balance, and for a US workshop pounds and ounces beside them.

    0.1 g from 100 g on, 0.01 g below, 0.001 g below 1 g, half up: no amount ever
    shows as nothing. Ounces to 0.01, below 100 g to 0.001.
    """
    text = _shown_grams(grams)
    beside = _pounds(grams) if units == "us" else ""
    return Figure(grams, text, "g", beside)


def _shown_grams(grams: Decimal) -> str:
    for step, least in (("0.1", 100), ("0.01", 1), ("0.001", 0)):
        shown = grams.quantize(Decimal(step), ROUND_HALF_UP)
        if abs(grams.quantize(Decimal("0.01"), ROUND_HALF_UP)) >= least:
            break
    return f"{shown:,f}"  # a point stands in it, so its comma has one reading


def _pounds(grams: Decimal) -> str:
    step = Decimal("0.01") if abs(grams) >= 100 else Decimal("0.001")
    ounces = (grams / GRAMS["oz"]).quantize(step, ROUND_HALF_UP)
    if not ounces:
        return ""  # too little for an ounce to say
    pounds, rest = divmod(ounces, 16)
    # Without a zero behind three figures: 1.250 could be a thousand to who copies it.
    return f"{pounds:f} lb {rest} oz" if pounds else f"{plain(rest)} oz"


def shown(amount: Decimal, unit: Unit, units: Units) -> Figure:
    """Grams by ``in_units``; pieces as they are counted."""
    if unit == "g":
        return in_units(amount, units)
    return Figure(amount, grouped(amount), "pc" if amount == 1 else "pcs")
