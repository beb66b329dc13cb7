"""What a supplier says of a fragrance, judged at the strength it is used at.

A remark is a hint for the person who formulates; whether a product is safe is decided
by a qualified safety assessor.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from production.quantities.domain.numbers import plain

# A listed allergen is named on the label above this share of a product that is rinsed
# off: Regulation (EC) No 1223/2009, Annex III, as amended by (EU) 2023/1545.
NAMED_ABOVE = Decimal("0.0001")
# Vanillin, as a share of the finished soap: common practice, no source.
TANS_ABOVE = Decimal("0.0001")
BROWNS_ABOVE = Decimal("0.001")
# How far below the flash point soap should be: common practice, no source.
KEEP_BELOW = Decimal(10)

# A share as poured is a quotient: its last digits are no dose.
_EXACT_TO = 12

STOP, ASK, KNOW = "stop", "ask", "know"


@dataclass(frozen=True, slots=True)
class Document:
    """The papers of one lot of fragrance. Shares are fractions, None is not said.

    ``flash_point`` in degrees Celsius; ``vanillin`` and the constituents are shares of
    the fragrance; ``most`` is the largest share of a finished product that is rinsed
    off; ``no_allergens`` where the supplier says that it holds none to be named.
    """

    edition: str = ""
    flash_point: Decimal | None = None
    vanillin: Decimal | None = None
    most: Decimal | None = None
    constituents: Mapping[str, Decimal] = field(default_factory=dict)
    no_allergens: bool = False


@dataclass(frozen=True, slots=True)
class Poured:
    """A fragrance as a share of what is finished; ``document`` None: no papers."""

    name: str
    share: Decimal
    document: Document | None = None


@dataclass(frozen=True, slots=True)
class Dose:
    """A fragrance above its supplier's highest dose, both as fractions of the soap."""

    name: str
    share: Decimal
    most: Decimal

    def __str__(self) -> str:
        return (
            f"{self.name} is {_percent(self.share)} of what was made; at most "
            f"{_percent(self.most)} is allowed by its supplier."
        )


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence and how much it weighs: "stop", "ask" or "know"."""

    tone: str
    text: str

    def __str__(self) -> str:
        return self.text


def at_finished_strength(
    constituents: Mapping[str, Decimal], share: Decimal
) -> dict[str, Decimal]:
    """Shares of a fragrance as shares of the finished soap, the largest first."""
    found = {name: part * share for name, part in constituents.items()}
    return dict(sorted(found.items(), key=lambda one: (-one[1], one[0])))


def poured_parts(
    share: Decimal,
    parts: Sequence[tuple[str, Decimal, Document | None]],
    whole: Decimal,
) -> list[Poured]:
    """A blend as the fragrances in it, from (name, grams, papers) of ``whole`` grams.

    What is in the blend beside them, such as a carrier, only thins them.
    """
    return [
        Poured(name, share * grams / whole, papers) for name, grams, papers in parts
    ]


def above_the_most(
    held: Iterable[tuple[str, Decimal, Decimal | None]],
) -> tuple[Dose, ...]:
    """Which of these are too much, from (name, share, most); one name adds up.

    Of several limits of one fragrance the lowest counts; None is not said.
    """
    shares: dict[str, Decimal] = {}
    limits: dict[str, Decimal] = {}
    for name, share, most in held:
        shares[name] = shares.get(name, Decimal(0)) + share
        if most is not None:
            limits[name] = min(most, limits.get(name, most))
    return tuple(
        Dose(name, share, limits[name])
        for name, share in shares.items()
        if name in limits and round(share, _EXACT_TO) > limits[name]
    )


def judge_all(
    poured: Iterable[Poured], *, warmth: Decimal | None = None
) -> tuple[Remark, ...]:
    """The same for several fragrances in one soap: what they bring adds up."""
    there = [one for one in poured if one.share > 0]
    papers = [one for one in there if one.document is not None]
    bare = [one.name for one in there if one.document is None]
    found = [*_no_papers(bare)]
    if papers:
        for part in (_most, _vanillin, _allergens):
            found += part(papers)
        found += _flash_point(papers, warmth)
    grave = (STOP, ASK, KNOW)
    return tuple(sorted(found, key=lambda remark: grave.index(remark.tone)))


def _no_papers(names: Sequence[str]) -> list[Remark]:
    if not names:
        return []
    return [
        Remark(
            ASK,
            f"No document of the supplier is written for {_and(names)}: ask for it "
            "before this is sold. What it holds and how much may be used is not known.",
        )
    ]


def _most(poured: Sequence[Poured]) -> list[Remark]:
    """Each takes up a part of its limit; the parts together are at most the whole.

    On the safe side: two fragrances may be limited by different constituents.
    """
    known = {one.name: one.document.most for one in poured if one.document}
    limits = {name: most for name, most in known.items() if most}
    unsaid = [name for name, most in known.items() if not most]
    found = _unsaid(unsaid, "no maximum for what is rinsed off")
    taken = sum(
        (one.share / limits[one.name] for one in poured if one.name in limits),
        Decimal(0),
    )
    if taken <= 1:
        return found
    used = sum((one.share for one in poured), Decimal(0))
    if len(poured) == 1:
        [(name, most)] = limits.items()
        says = (
            f"{name} is {_percent(used)} of the finished soap; its document allows at "
            f"most {_percent(most)} in what is rinsed off. Use less."
        )
    else:
        says = (
            f"{_and([*limits])} together take up {_percent(taken)} of what their "
            "documents allow in what is rinsed off. Use less, or ask a safety assessor."
        )
    return [Remark(STOP, says), *found]


def _vanillin(poured: Sequence[Poured]) -> list[Remark]:
    held, unsaid = _sum_of(poured, lambda papers: papers.vanillin)
    found = _unsaid(unsaid, "nothing about vanillin", "whether the soap browns is open")
    if held <= TANS_ABOVE:
        return found
    turns = "brown" if held > BROWNS_ABOVE else "tan"
    says = (
        f"Vanillin is {_percent(held)} of the finished soap: expect it to turn {turns} "
        "within days or weeks. Look at a trial after a week before you choose the "
        "bottle and the colour."
    )
    return [Remark(KNOW, says), *found]


def _allergens(poured: Sequence[Poured]) -> list[Remark]:
    named: dict[str, str] = {}
    sums: dict[str, Decimal] = {}
    for one in poured:
        held = one.document.constituents if one.document else {}
        for name, share in at_finished_strength(held, one.share).items():
            key = named.setdefault(name.casefold(), name)
            sums[key] = sums.get(key, Decimal(0)) + share
    over = {name: share for name, share in sums.items() if share > NAMED_ABOVE}
    if not over:
        return []
    ranked = sorted(over.items(), key=lambda one: (-one[1], one[0]))
    names = _and([f"{name} ({_percent(share)})" for name, share in ranked])
    return [
        Remark(
            KNOW,
            f"Above {_percent(NAMED_ABOVE)} of the finished soap: {names}. What of "
            "these stands in Annex III of Regulation (EC) No 1223/2009 is named on an "
            "EU label.",
        )
    ]


def _flash_point(poured: Sequence[Poured], warmth: Decimal | None) -> list[Remark]:
    points = {one.name: one.document.flash_point for one in poured if one.document}
    known = {name: point for name, point in points.items() if point is not None}
    unsaid = [name for name, point in points.items() if point is None]
    found = _unsaid(unsaid, "no flash point", "keep flames and sparks away")
    if not known:
        return found
    name, lowest = min(known.items(), key=lambda one: one[1])
    return [_cool_first(name, lowest, warmth), *found]


def flash_caution(point: Decimal) -> str:
    """What a hand that pours must know of a flash point in degrees Celsius."""
    return (
        f"Flash point {plain(point)} \N{DEGREE SIGN}C: let the soap cool well below it "
        "before this goes in, air the room, and keep flames and sparks away. The "
        "supplier's safety data sheet decides."
    )


def _cool_first(name: str, point: Decimal, warmth: Decimal | None) -> Remark:
    if warmth is None:
        return Remark(KNOW, f"{name}: {flash_caution(point)}")
    at = f"at {plain(warmth)} \N{DEGREE SIGN}C"
    if warmth >= point:
        says = f"Do not pour {name} {at}: its vapour can catch fire. "
        return Remark(STOP, says + flash_caution(point))
    if warmth > point - KEEP_BELOW:
        says = f"The soap {at} is too near the flash point of {name}. "
        return Remark(STOP, says + flash_caution(point))
    return Remark(KNOW, f"{name}: {flash_caution(point)}")


def _sum_of(
    poured: Sequence[Poured], of: Callable[[Document], Decimal | None]
) -> tuple[Decimal, list[str]]:
    """What is known of it in the finished soap, and who says nothing."""
    held, unsaid = Decimal(0), []
    for one in poured:
        value = of(one.document) if one.document else None
        if value is None:
            unsaid.append(one.name)
        else:
            held += one.share * value
    return held, unsaid


def _unsaid(names: Sequence[str], what: str, then: str = "") -> list[Remark]:
    if not names:
        return []
    says = "say" if len(names) > 1 else "says"
    rest = f"; {then} until then" if then else ""
    return [
        Remark(
            ASK, f"The document of {_and(names)} {says} {what}. Ask the supplier{rest}."
        )
    ]


def _percent(share: Decimal) -> str:
    """To four figures, as people write it."""
    value = share * 100
    places = 4 if value < 1 else 2
    return f"{plain(round(value, places))} %"


def _and(names: Sequence[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
