"""Goods in store that dry out or draw damp: what they hold now, what to weigh now."""

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import SHARE_STEP, grams, grouped, plain
from production.quantities.domain.refusal import Refused

SOAP, PURITY = "soap content", "purity"
# For showing what a new content means at the scale.
ASKED = Decimal(1000)


def weigh_now(asked: Decimal, then_content: Decimal, now_content: Decimal) -> Decimal:
    """Grams that hold as much now as ``asked`` grams held then, to the milligram.

    Both contents are mass fractions: asked x then / now. Refused for nothing, and for
    more than the whole.
    """
    for content in (then_content, now_content):
        if not 0 < content <= 1:
            raise Refused("A content is above 0 and at most 100 %: read it again.")
    return in_step(asked, then_content, now_content)


def in_step(asked: Decimal, then: Decimal, now: Decimal) -> Decimal:
    """The same from any two figures that stand in that proportion, in grams."""
    if asked < 0 or then <= 0 or now <= 0:
        raise Refused("Write weights and contents above zero.")
    with localcontext(EXACT):
        return grams(asked * then / now)


@dataclass(frozen=True, slots=True)
class Restated:
    """A content (mass fraction) before and after its lot was weighed again.

    ``calculated`` where the one before was followed from what went in, not read.
    """

    what: str
    then: Decimal
    now: Decimal
    calculated: bool = False


@dataclass(frozen=True, slots=True)
class Weighing:
    """A lot weighed again: its grams in all, before and after, and what it holds."""

    before: Decimal
    after: Decimal
    restated: tuple[Restated, ...] = ()

    @property
    def says(self) -> tuple[str, ...]:
        """What it holds, and what to weigh from now on, in sentences."""
        if not self.restated:
            now = _shown(in_step(ASKED, self.after, self.before))
            return (
                "What it holds is not in the book; the difference is taken as water. "
                f"Where you would have weighed {_shown(ASKED)} g, weigh {now} g now.",
            )
        return tuple(_sentence(row) for row in self.restated)


def _sentence(row: Restated) -> str:
    then, now = _percent(row.then), _percent(row.now)
    weigh = _shown(weigh_now(ASKED, row.then, row.now))
    if row.what == PURITY:
        return (
            f"It is {now} pure now, {then} before. Where the recipe says "
            f"{_shown(ASKED)} g of {then}, weigh {weigh} g now."
        )
    return (
        f"It holds {now} soap now, {then} before. Where you would have weighed "
        f"{_shown(ASKED)} g, weigh {weigh} g now."
    )


def restate(
    row: Restated, before: Decimal, after: Decimal, *, lot: str = "the lot"
) -> Restated:
    """The content once the grams changed and only water came or went.

    Refused where it would be more than the whole.
    """
    with localcontext(EXACT):
        now = (row.then * before / after).quantize(SHARE_STEP)
    if now > 1:
        raise Refused(
            f"At {plain(after)} g the {row.what} of {lot} would be {now}: more than "
            "the whole. Weigh again."
        )
    return Restated(row.what, row.then, now, row.calculated)


# "A few percent": common practice, no source.
MOST_DAMP = Decimal("0.05")


def judge_alkali(before: Decimal, after: Decimal, *, lot: str = "the lot") -> None:
    """Refuse what a scale cannot know of an alkali in store.

    It draws damp and carbon dioxide and never dries: it gets heavier and weaker, and
    past a few percent how much of either only a titration says.
    """
    if after < before:
        raise Refused(
            f"{lot} is an alkali: it draws damp and never dries, so it is no purer for "
            f"weighing {plain(before - after)} g less. Something was taken out that is "
            "not in the book: count it instead, and titrate it to be sure."
        )
    if after > before * (1 + MOST_DAMP):
        raise Refused(
            f"{lot} weighs {_percent(after / before - 1)} more: with the damp it drew "
            "carbon dioxide, and how strong it is its weight does not say. Titrate "
            "it and note the purity that you find; then count it, so that the book has "
            "its grams."
        )


def _percent(share: Decimal) -> str:
    return f"{share * 100:.1f} %"


def _shown(mass: Decimal) -> str:
    return grouped(mass.quantize(Decimal("0.1"), ROUND_HALF_EVEN))
