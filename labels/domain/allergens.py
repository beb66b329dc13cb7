"""Fragrance allergens: which names are due on a day, and how far off a product is.

The names and limits are those of Annex III to Regulation (EC) 1223/2009; the days on
which a market asks for them are given by its own set of rules.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.quantities.domain.numbers import plain

_READ = {"secondary": ", read in a summary", "recalled": ", from memory"}


@dataclass(frozen=True, slots=True)
class Allergen:
    """One entry of Annex III; ``newer`` where (EU) 2023/1545 added its name."""

    label: str
    entry: str
    newer: bool
    read: str
    note: str = ""

    @classmethod
    def from_row(cls, row: Mapping[str, str]) -> "Allergen":
        """Read it from a row of ``fixtures/reference/allergens.csv``."""
        return cls(
            label=row["label"],
            entry=row["entry"],
            newer=bool(row["placed_without_until"]),
            read=row["source"] + _READ.get(row["standing"], ""),
            note=row["note"],
        )


@dataclass(frozen=True, slots=True)
class AllergenDays:
    """From which day names are due on what is placed on a market.

    ``older``: the 24 names before (EU) 2023/1545, None: throughout. ``newer``: the
    names that it added, None: not asked for. ``newer_on_sale``: the same for what
    was on the market before ``newer``; such stock without the names may be sold until
    the day before.
    """

    older: date | None = None
    newer: date | None = None
    newer_on_sale: date | None = None


# (EU) 2023/1545, footnotes: placed without the new names until 31 July 2026, made
# available until 31 July 2028; the older names are due throughout.
UNION_DAYS = AllergenDays(newer=date(2026, 8, 1), newer_on_sale=date(2028, 8, 1))


@dataclass(frozen=True, slots=True)
class Duty:
    """A name is due above ``over`` percent of the finished product."""

    over: Decimal
    older: bool = True
    newer: bool = True

    def asks_for(self, allergen: Allergen | None) -> bool:
        """Whether that entry is due; what no table knows is asked about as if."""
        if allergen is None:
            return self.older or self.newer
        return self.newer if allergen.newer else self.older


def duty(
    days: AllergenDays,
    over: Decimal,
    on: date | None = None,
    *,
    existing: bool = False,
) -> Duty | None:
    """What is due on goods placed on that day, None for no name at all.

    ``on`` None asks for every name that is ever due; ``existing`` are goods that were
    on the market before the newer names were due.
    """
    begins = days.newer_on_sale if existing and days.newer_on_sale else days.newer
    older = days.older is None or on is None or on >= days.older
    newer = begins is not None and (on is None or on >= begins)
    return Duty(over, older, newer) if older or newer else None


@dataclass(frozen=True, slots=True)
class Tested:
    """One entry against the threshold: percent of the product, and what follows."""

    label: str
    percent: Decimal
    over: Decimal
    due: bool

    @property
    def named(self) -> bool:
        return self.due and self.percent > self.over

    @property
    def margin(self) -> str:
        """How far above or below the threshold it is, in words."""
        share, limit = _percent(self.percent), _percent(self.over)
        if self.percent == self.over:
            return f"{share} of the product, just at {limit}, which it must exceed"
        apart = _percent(abs(self.percent - self.over))
        side = "above" if self.percent > self.over else "below"
        return f"{share} of the product, {apart} {side} {limit}"


def figure(share: Decimal) -> str:
    """Percent to four figures, so that a small margin is not rounded away."""
    return plain(round(share, max(4, 3 - share.adjusted()))) if share else "0"


def _percent(share: Decimal) -> str:
    return f"{figure(share)}\N{NO-BREAK SPACE}%"
