"""What a soap lets one expect: rules of thumb in words, one verdict a topic.

A rule speaks of one figure and of nothing else; its sentences and limits are the
workshop's to edit. Shares are fractions, the iodine value is g of iodine per 100 g.
Of the rules of a topic the first that holds at the typical figures is the verdict.
Where a range reaches into another rule, the verdict says so as a doubt of its own.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from production.chemistry.domain.bands import Band
from production.chemistry.domain.profile import GROUP_WORDS, Figure
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

TOPICS = (
    "clear when diluted",
    "cloud point",
    "superfat kept clear",
    "responds to brine",
    "thinned by glycerin",
    "prone to rancidity",
    "needs soft water",
    "sequestrant",
    "preservation and pH",
)
# What is spoken of where: lime matters where paste meets water, not in the kettle.
SPOKEN_AT: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "cook": (
            "clear when diluted",
            "superfat kept clear",
            "responds to brine",
            "prone to rancidity",
        ),
        "dilution": (
            "clear when diluted",
            "cloud point",
            "needs soft water",
            "sequestrant",
            "preservation and pH",
        ),
        "finishing": (
            "clear when diluted",
            "cloud point",
            "responds to brine",
            "thinned by glycerin",
            "preservation and pH",
        ),
    }
)
FIGURES: Mapping[str, str] = MappingProxyType(
    {
        **GROUP_WORDS,
        "iodine_value": "iodine value",
        "potassium_share": "potassium share of the soap",
        "superfat": "superfat",
        "soap_content": "soap content",
        "glycerin": "added glycerin",
    }
)


@dataclass(frozen=True, slots=True)
class Rule:
    """It ``says`` its sentence where low <= figure < high; None leaves an end open.

    Open at both ends it needs no figure. ``basis`` is its source, or says that it has
    none.
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

    def within(self, figure: Decimal) -> bool:
        """Whether this one figure lies within the limits."""
        return (self.low is None or self.low <= figure) and (
            self.high is None or figure < self.high
        )

    def covers(self, band: Band) -> bool:
        """Whether the whole band lies within the limits."""
        return self.within(band.low) and self.within(band.high)

    def touches(self, band: Band) -> bool:
        """Whether some of the band lies within the limits."""
        first = band.low if self.low is None else max(band.low, self.low)
        return first <= band.high and (self.high is None or first < self.high)

    def holds(self, figure: Figure | None) -> bool:
        """Whether it speaks: at the typical figure, or over the whole range."""
        if figure is None:
            return self.low is None and self.high is None
        if figure.typical is None:
            return self.covers(figure.band)
        return self.within(figure.typical)


@dataclass(frozen=True, slots=True)
class Doubt:
    """A figure whose range reaches into another ``rule``, or out of the verdict's."""

    of: str
    figure: Figure
    rule: Rule | None = None

    @property
    def range_of(self) -> str:
        """What the range is of, in words."""
        if self.of == "superfat":
            return "the likely range of the superfat"
        return f"the range of published values of {FIGURES[self.of]}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """The one thing that is said of a topic, and how sure it is.

    ``rule`` is None where none holds at the typical figures and a range reaches one.
    """

    topic: str
    rule: Rule | None
    doubts: tuple[Doubt, ...]


def verdicts(
    rules: Iterable[Rule], figures: Mapping[str, Figure | None]
) -> tuple[Verdict, ...]:
    """One verdict a topic at the most; ``rules`` stand in the order of their word.

    Of a figure that is missing or None nothing is said.
    """
    of_topic: dict[str, list[Rule]] = {topic: [] for topic in TOPICS}
    for rule in rules:
        of_topic[rule.topic].append(rule)
    found = (_verdict(topic, some, figures) for topic, some in of_topic.items())
    return tuple(one for one in found if one.rule or one.doubts)


def _verdict(
    topic: str, rules: Sequence[Rule], figures: Mapping[str, Figure | None]
) -> Verdict:
    spoken = next((r for r in rules if r.holds(figures.get(r.figure))), None)
    place = len(rules) if spoken is None else rules.index(spoken)
    doubts: dict[str, Doubt] = {}
    for at, rule in enumerate(rules):
        figure = figures.get(rule.figure)
        if figure is None or rule.holds(figure) or not rule.touches(figure.band):
            continue
        if at < place or (spoken is not None and rule.figure == spoken.figure):
            doubts.setdefault(rule.figure, Doubt(rule.figure, figure, rule))
    if spoken is not None and spoken.figure not in doubts:
        figure = figures.get(spoken.figure)
        if figure is not None and not spoken.covers(figure.band):
            doubts[spoken.figure] = Doubt(spoken.figure, figure)
    return Verdict(topic, spoken, tuple(doubts.values()))
