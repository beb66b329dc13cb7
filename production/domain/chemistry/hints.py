"""What the fatty acids of a recipe let one expect: rules in words, read off figures.

A rule speaks of one figure and of nothing else; its sentences and limits are the
workshop's to edit. Shares are fractions, the iodine value is g of iodine per 100 g.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from production.domain.chemistry.profile import GROUPS
from production.domain.chemistry.ranges import Band
from production.domain.numbers import plain
from production.domain.refusal import Refused

TOPICS = (
    "clear when diluted",
    "responds to brine",
    "prone to rancidity",
    "needs soft water",
)
FIGURES = (*GROUPS, "iodine_value", "potassium_share", "superfat")


@dataclass(frozen=True, slots=True)
class Rule:
    """It ``says`` its sentence where low <= figure < high; None leaves an end open.

    ``basis`` is its source, or says that it has none.
    """

    key: str
    topic: str
    figure: str
    low: Decimal | None
    high: Decimal | None
    says: str
    basis: str

    def __post_init__(self) -> None:
        if self.topic not in TOPICS:
            raise Refused(f"A rule is about one of {', '.join(TOPICS)}.")
        if self.figure not in FIGURES:
            raise Refused(f"A rule reads one of {', '.join(FIGURES)}.")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise Refused(
                f"The rule runs from {plain(self.low)} down to {plain(self.high)}: "
                "change the limits over."
            )

    def holds(self, figure: Decimal) -> bool:
        """Whether this one figure lies within the limits."""
        return (self.low is None or self.low <= figure) and (
            self.high is None or figure < self.high
        )

    def touches(self, band: Band) -> bool:
        """Whether some of the band lies within the limits."""
        first = band.low if self.low is None else max(band.low, self.low)
        return first <= band.high and (self.high is None or first < self.high)


@dataclass(frozen=True, slots=True)
class Hint:
    """A rule that speaks; not ``certain`` where only a part of the band is within."""

    rule: Rule
    certain: bool


def hints(
    rules: Iterable[Rule], figures: Mapping[str, tuple[Decimal, Decimal] | None]
) -> tuple[Hint, ...]:
    """What the rules say of these bands, by topic, the certain ones first.

    Of a figure that is missing or None nothing is said.
    """
    spoken = []
    for rule in rules:
        known = figures.get(rule.figure)
        if known is None:
            continue
        band = Band(*known)
        if rule.touches(band):
            certain = rule.holds(band.low) and rule.holds(band.high)
            spoken.append(Hint(rule, certain))
    return tuple(
        sorted(spoken, key=lambda h: (TOPICS.index(h.rule.topic), not h.certain))
    )
