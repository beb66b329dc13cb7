"""One legislation's rules for the label of a soap: its clauses and small functions.

A set of rules is one file under ``sets`` and one table of clauses; what it asks for is
told here, and no other place knows its name.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Literal

from labels.domain.allergens import AllergenDays, Duty, duty
from labels.domain.clauses import Clause

if TYPE_CHECKING:
    from labels.domain.elements import Element
    from labels.domain.heights import Heights, Panel
    from labels.domain.languages import Country
    from labels.domain.net_contents import Declared, NetContents

Clauses = Mapping[str, Clause]


def _none(text: str) -> tuple[str, ...]:
    """Where no wording is fixed."""
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSet:
    """What one legislation asks of the label of a soap; shares in percent.

    ``elements`` are what a label must have, in the order of the check; ``contents``
    words a quantity; ``heights`` gives the least letters for a quantity and a panel.
    ``heading`` is a term of the rules above the list, "" where it is translated.
    ``countries`` are those it is the law of, the first where nothing else is said.
    ``packers``: the rules of the average system say how far one pack may fall short.
    ``faults`` tells what is wrong with contents as somebody worded them.
    ``allergen_days`` are when allergens are due; ``allergen_days_in`` where that
    differs, by the code of a country.
    """

    code: str
    title: str
    clauses: Clauses
    names: Literal["us", "eu"]
    default_basis: Literal["added", "finished"]
    free_group_includes_one_percent: bool
    parfum_may_close: bool
    rinse_off_over: Decimal | None
    leave_on_over: Decimal | None
    elements: tuple[Element, ...]
    contents: Callable[[Declared], NetContents]
    heights: Callable[[NetContents | None, Panel, Clauses], Heights]
    one_percent: Decimal = Decimal(1)
    countries: tuple[Country, ...] = ()
    dated: bool = False
    heading: str = ""
    packers: bool = False
    faults: Callable[[str], tuple[str, ...]] = _none
    allergen_days: AllergenDays = field(default_factory=AllergenDays)
    allergen_days_in: Mapping[str, AllergenDays] = field(default_factory=dict)

    @property
    def declares_allergens(self) -> bool:
        return self.rinse_off_over is not None

    @property
    def compared_on(self) -> date:
        """The day on which all of it had been compared with its sources."""
        return min(one.read_on for one in self.clauses.values() if one.read_on)

    def clause(self, element: str) -> Clause:
        """The clause behind one element of this set; KeyError for none."""
        return self.clauses[element]

    def allergen_threshold(self, *, rinse_off: bool) -> Decimal | None:
        """The percentage that an allergen must exceed to be named; None: no duty."""
        return self.rinse_off_over if rinse_off else self.leave_on_over

    def allergen_duty(
        self,
        on: date | None,
        *,
        rinse_off: bool,
        existing: bool = False,
        sold_in: str = "",
    ) -> Duty | None:
        """Which allergens are due on what is placed that day; None: no duty.

        ``on`` None asks for all that is ever due. ``existing``: it was on the market
        before newer names were due; ``sold_in`` is the code of a country.
        """
        over = self.allergen_threshold(rinse_off=rinse_off)
        if over is None:
            return None
        days = self.allergen_days_in.get(sold_in, self.allergen_days)
        return duty(days, over, on, existing=existing)

    def country(self, code: str) -> Country | None:
        """The country of that code, if this set is its law."""
        return next((one for one in self.countries if one.code == code), None)
