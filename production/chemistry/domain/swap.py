"""One oil in place of another: the shares that leave a chosen figure as it was.

Every figure here adds up by mass: saponification value, iodine value, shares of fatty
acids. The other oils keep their proportions among themselves, so that with F the figure
of the blend, F_rest that of the other oils together and f that of the new oil, the new
oil's share is (F - F_rest) / (f - F_rest).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, localcontext
from types import MappingProxyType

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.profile import GROUP_WORDS
from production.chemistry.domain.validation import not_negative
from production.quantities.domain.numbers import ONE, ZERO, plain, share_out
from production.quantities.domain.refusal import Refused

SHARE, ALKALI = "share", "alkali"
# What stays as it was, in words; "share" needs no figure.
HOLDS: Mapping[str, str] = MappingProxyType(
    {
        SHARE: "the share of the oil",
        ALKALI: "the saponification value",
        "iodine_value": "the iodine value",
        **{key: f"the share of {words}" for key, words in GROUP_WORDS.items()},
    }
)
UNIT = Decimal("1e-8")


@dataclass(frozen=True, slots=True)
class Part:
    """An oil with its share of the oils, a fraction, and the figure that is held.

    ``figure`` is mg KOH per g, g of iodine per 100 g or a share of fatty acids, as the
    hold asks; None is unknown, and only a hold of the share does without.
    """

    name: str
    share: Decimal
    figure: Decimal | None = None

    def __post_init__(self) -> None:
        not_negative(self.share, f"the share of {self.name}")
        if self.figure is not None:
            not_negative(self.figure, f"the figure of {self.name}")


def swap(
    parts: Sequence[Part], out: str, into: Part, hold: str, *, merge: bool = False
) -> tuple[Part, ...]:
    """The recipe with ``into`` where ``out`` stood, shares to 8 places, 1 in all.

    The share that ``into`` comes with is not read. ``merge`` adds it to a line of the
    same name. Raises Refused where no such recipe is: the figure cannot be held with
    this oil, a figure is unknown, an oil is not in the recipe, or already in it.
    """
    _check(parts, out, into, hold, merge)
    with localcontext(EXACT):
        gone = sum((part.share for part in parts if part.name == out), ZERO)
        rest = [part for part in parts if part.name != out]
        new = gone if hold == SHARE else _share(parts, rest, into, hold)
        scale = (ONE - new) / (ONE - gone) if gone < 1 else ONE
        place = next(at for at, part in enumerate(parts) if part.name == out)
        before = sum(part.name != out for part in parts[:place])
        changed = [replace(part, share=part.share * scale) for part in rest]
        changed.insert(before, replace(into, share=new))
        if merge:
            changed = _merged(changed, into.name)
        shares = share_out(ONE, [part.share for part in changed], UNIT)
    return tuple(
        replace(part, share=share) for part, share in zip(changed, shares, strict=True)
    )


def _check(parts: Sequence[Part], out: str, into: Part, hold: str, merge: bool) -> None:
    if hold not in HOLDS:
        raise Refused(f"Hold one of {', '.join(HOLDS)}.")
    whole = sum((part.share for part in parts), ZERO)
    if whole != 1:
        raise Refused(
            f"The oils add up to {plain(whole * 100)} %: bring them to 100 % first."
        )
    names = [part.name for part in parts]
    if out not in names:
        raise Refused(f"{out} is not in the recipe: choose an oil that is.")
    if into.name == out:
        raise Refused(f"{out} cannot stand in for itself: choose another oil.")
    if into.name in names and not merge:
        raise Refused(
            f"{into.name} is in the recipe already: have the two lines made one, or "
            "choose another oil."
        )
    figures = {part.figure for part in (*parts, into) if part.name == into.name}
    if len(figures) > 1:
        raise Refused(
            f"{into.name} stands here with two figures: keep one, or choose another "
            "oil."
        )


def _share(
    parts: Sequence[Part], rest: Sequence[Part], into: Part, hold: str
) -> Decimal:
    """The closed form, refused where it gives no share."""
    held = HOLDS[hold]
    figure = _known(into, held)
    before = sum((part.share * _known(part, held) for part in parts), ZERO)
    weight = sum((part.share for part in rest), ZERO)
    if not weight:
        raise Refused(
            f"There is no other oil to make up for {into.name}: hold the share instead."
        )
    others = sum((part.share * _known(part, held) for part in rest), ZERO) / weight
    if figure == others:
        raise Refused(
            f"{_capital(held)} of {into.name} is that of the other oils together: no "
            "share of it changes the blend. Hold the share instead."
        )
    new = (before - others) / (figure - others)
    if not 0 < new < 1:
        raise Refused(
            f"With {into.name} {held} cannot stay as it was: its share would come to "
            f"{plain(round(new * 100, 2))} %. Choose another oil or hold something "
            "else."
        )
    return new


def _known(part: Part, held: str) -> Decimal:
    if part.figure is None:
        raise Refused(
            f"{_capital(held)} of {part.name} is not known: note it, or hold the "
            "share instead."
        )
    return part.figure


def _merged(parts: Sequence[Part], name: str) -> list[Part]:
    """All lines of this name as one, where the first of them stood."""
    share = sum((part.share for part in parts if part.name == name), ZERO)
    first = next(at for at, part in enumerate(parts) if part.name == name)
    return [
        replace(part, share=share) if at == first else part
        for at, part in enumerate(parts)
        if part.name != name or at == first
    ]


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
