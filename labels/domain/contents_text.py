"""What a maker writes as contents: one amount, and the same amount said again."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from labels.domain.cutting import (
    FIGURES,
    FLUID_OUNCE,
    OUNCE,
    cut,
    metric_figure,
    metric_of,
    ounces_of,
    step,
)
from production.quantities.domain.number_text import NUMBER, read_number
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import GRAMS, MILLILITRES, unit_of

System = Literal["metric", "us", "imperial", "avoirdupois"]
UNITS: Mapping[str, Decimal] = {**MILLILITRES, **GRAMS}
METRIC = {"ml", "cl", "l", "g", "kg", "mg"}
_AS = "a number and a unit, such as 8 fl oz or 250 mL"
LONGEST = 80
# Words that qualify or inflate a unit: 15 USC 1453(b); 21 CFR 701.13(f) names "giant"
# and "full", 16 CFR 500.24 "jumbo", "when packed" and "minimum"; the rest are alike.
INFLATING = {
    *("giant", "full", "jumbo", "minimum", "min", "packed", "huge", "big", "large"),
    *("generous", "approx", "approximately", "about", "ca", "circa", "average"),
    *("least", "extra", "bonus", "family", "super", "king", "colossal", "mega"),
}
_NET = {"net", "netcontents", "netcontent", "contents"}
_NET_WEIGHT = {"netwt", "netweight"}
_NOT_NET = {"nt", "ntwt", "nett", "n"}
_TOKEN = re.compile(
    rf"(?P<number>{NUMBER})|(?P<word>[^\W\d_][^\W\d_.]*\.?)|(?P<sign>\S)"
)
# Between two of these one amount ends.
_BREAKS = "()[]/;=|\u00b7\u2022"


@dataclass(frozen=True, slots=True)
class Part:
    """``1 1/2 pt``: a number, its unit, and how it was written."""

    number: Decimal
    unit: str
    written: str

    @property
    def amount(self) -> Decimal:
        return self.number * UNITS[self.unit]

    @property
    def fraction(self) -> bool:
        return not re.fullmatch(r"[0-9.,'\s\u2009\u202f]+", self.written)

    @property
    def place(self) -> Decimal:
        """The last place as written: 1 of 237, 0.01 of 8.45."""
        exponent = self.number.as_tuple().exponent
        return Decimal(1).scaleb(min(0, int(exponent)))


@dataclass(frozen=True, slots=True)
class Figure:
    """One amount in one system, such as ``1 lb 8 oz``; exact, in mL or g."""

    parts: tuple[Part, ...]

    @property
    def amount(self) -> Decimal:
        return sum((part.amount for part in self.parts), Decimal(0))

    @property
    def system(self) -> System:
        return _system(self.parts[0].unit)

    @property
    def by_volume(self) -> bool:
        return self.parts[0].unit in MILLILITRES

    @property
    def metric(self) -> bool:
        return self.system == "metric"

    @property
    def ounce(self) -> Decimal:
        """The US ounce that it is counted in, in mL or g."""
        return FLUID_OUNCE if self.by_volume else OUNCE

    def __str__(self) -> str:
        return " ".join(
            f"{one.written} {_SHOWN.get(one.unit, one.unit)}" for one in self.parts
        )


_SHOWN = {
    "floz": "fl oz",
    "ml": "mL",
    "l": "L",
    "impfloz": "imp fl oz",
    "imppt": "imp pt",
    "impqt": "imp qt",
    "impgal": "imp gal",
}


@dataclass(frozen=True, slots=True)
class Declared:
    """What a maker promises is inside, exact, in mL or g, beside what was typed.

    ``figures`` are all that stand there, in order; ``net_weight``: it is called so.
    """

    typed: str
    amount: Decimal
    by_volume: bool
    metric: bool
    figures: tuple[Figure, ...] = ()
    net_weight: bool = False

    @property
    def binding(self) -> Decimal:
        """The largest that stands there: of several it is the one enforced."""
        return max((one.amount for one in self.figures), default=self.amount)


def read_contents(text: str) -> Declared:
    """Read ``8 fl oz``, ``1 lb 8 oz``, ``Net Wt 24 oz (1 lb 8 oz) 680 g``.

    ``fl oz`` is US. Units of one system are summed; an amount said again, in brackets
    or in other units, is compared and never added. What a label here prints reads back
    to itself. Refused for two amounts that differ by more than cutting or rounding, for
    a word that is no unit ("giant"), for weight mixed with volume, and for nothing.
    """
    typed = " ".join(text.split())
    if not typed:
        raise Refused(f"Write the contents as {_AS}: nothing stands there.")
    if len(typed) > LONGEST:
        raise Refused(f"That is too long for contents: write {_AS}.")
    figures, words = _figures(typed)
    net_weight = _judge_words(typed, words)
    first = figures[0]
    if any(one.by_volume != first.by_volume for one in figures):
        other = next(one for one in figures if one.by_volume != first.by_volume)
        raise Refused(
            f"{typed} mixes weight and volume, {first} and {other}: write one or the "
            "other."
        )
    if net_weight and first.by_volume:
        raise Refused(f"Net weight stands with a weight: {first} is a volume.")
    figures = (first, *(_same(first, one) for one in figures[1:]))
    if any(not 0 < one.amount <= 100_000 for one in figures):
        raise Refused(f"{typed} is no bottle: write what one of them holds.")
    meant = _meant(figures)
    return Declared(
        typed, meant.amount, meant.by_volume, meant.metric, figures, net_weight
    )


def _figures(typed: str) -> tuple[tuple[Figure, ...], list[str]]:
    """The amounts in a text, and the words that are no units."""
    parts: list[list[Part]] = []
    extra: list[str] = []
    apart = True
    for number, words, broken in _measures(typed):
        apart = apart or broken
        if number is None:
            extra += words
            continue
        unit, rest = _unit(words)
        if not unit:
            spelt = " ".join(words) or typed
            raise Refused(
                f"{spelt} is no unit of a label: write mL, L, fl oz, pt, g, kg, oz or "
                f"lb, and no other word beside it. Contents are {_AS}."
            )
        before = [] if apart else parts[-1]
        part = Part(read_number(number), _of_liquid(unit, before), number)
        if before and _goes_on(before[-1], part):
            before.append(part)
        else:
            parts.append([part])
        extra += rest
        apart = bool(rest)
    if not parts:
        raise Refused(f"{typed} is not an amount: contents are {_AS}.")
    return tuple(Figure(tuple(one)) for one in parts), extra


def _measures(typed: str) -> Iterator[tuple[str | None, list[str], bool]]:
    """Each number with the words after it, and whether a break stood before it."""
    number: str | None = None
    words: list[str] = []
    broken = ended = False
    for token in _TOKEN.finditer(typed):
        sign = token["sign"]
        if sign and sign not in f"{_BREAKS},:.":
            raise Refused(f"{typed} is not an amount: contents are {_AS}.")
        if token["word"] and not ended:
            words.append(token["word"].rstrip("."))
            continue
        if sign and sign not in _BREAKS:
            continue
        if number is not None or words:
            yield number, words, broken
            number, words, broken = None, [], False
        ended = False
        if token["word"]:
            words.append(token["word"].rstrip("."))
        elif sign:
            broken = True
        else:
            number = token["number"]
    if number is not None or words:
        yield number, words, broken


def _unit(words: Sequence[str]) -> tuple[str, list[str]]:
    """The longest beginning that is a unit of a label, and the words after it."""
    for upto in range(len(words), 0, -1):
        unit = unit_of("".join(words[:upto]))
        if unit in UNITS:
            return str(unit), list(words[upto:])
    # A word that inflates stands between the number and its unit.
    inner = [word for word in words if word.lower() in INFLATING]
    if inner and len(inner) < len(words):
        unit, rest = _unit([word for word in words if word not in inner])
        return unit, inner + rest
    return "", []


def _of_liquid(unit: str, before: Sequence[Part]) -> str:
    """``1 pt 8 oz.`` are fluid ounces, as 21 CFR 701.13(m)(4) prints them."""
    if unit == "oz" and before and before[-1].unit in ("gal", "qt", "pt"):
        return "floz"
    return unit


def _goes_on(before: Part, part: Part) -> bool:
    """Whether a smaller unit of the same system goes on with the amount."""
    same = _system(before.unit) == _system(part.unit)
    alike = (before.unit in GRAMS) == (part.unit in GRAMS)
    return same and alike and part.amount < UNITS[before.unit] > UNITS[part.unit]


def _system(unit: str) -> System:
    if unit in METRIC:
        return "metric"
    if unit in GRAMS:
        return "avoirdupois"
    return "imperial" if unit.startswith("imp") else "us"


def _judge_words(typed: str, words: Sequence[str]) -> bool:
    """Whether it is called net weight. Refused for any other word."""
    spelt = "".join(words).lower()
    if not words or spelt in _NET:
        return False
    if spelt in _NET_WEIGHT:
        return True
    for word in words:
        if word.lower() in _NOT_NET:
            raise Refused(
                f"{word} in {typed}: net is written in full (UK SI 2006/659 reg "
                "8(3)). Write Net, or leave it out."
            )
        if word.lower() in INFLATING:
            raise Refused(
                f"{word} in {typed}: no word may qualify or inflate the amount "
                "(15 USC 1453(b); 21 CFR 701.13(f); 16 CFR 500.24). Contents are "
                f"{_AS}."
            )
    raise Refused(
        f"{' '.join(words)} in {typed} is no unit of a label: only Net, Net contents "
        f"or Net Wt may stand there. Contents are {_AS}."
    )


def _same(first: Figure, other: Figure) -> Figure:
    """The other one, where it says the same. A fluid ounce beside metric may be the
    imperial one. Refused, with both, where it does not."""
    if _agree(first, other):
        return other
    imperial = _imperial(other)
    if first.metric and imperial is not None and _agree(first, imperial):
        return imperial
    least = other.parts[-1].unit
    shown = plain(cut(first.amount / UNITS[least], FIGURES + 1))
    told = (
        ""
        if least == first.parts[-1].unit
        else (f": {first} is {shown} {_SHOWN.get(least, least)}")
    )
    raise Refused(
        f"{first} and {other} do not agree{told}. Write the one that is meant; the "
        "other is worked out."
    )


def _imperial(figure: Figure) -> Figure | None:
    """The same figures in imperial units; None where there are none such."""
    units = [f"imp{part.unit}" for part in figure.parts]
    if not all(unit in UNITS for unit in units):
        return None
    pairs = zip(figure.parts, units, strict=True)
    return Figure(tuple(replace(part, unit=unit) for part, unit in pairs))


def _agree(one: Figure, other: Figure) -> bool:
    """Whether cutting or rounding to the figures of a label explains the difference:
    less than the last figure that is printed, or, where fewer were written, less than
    the last of these and 1 %. Either may be the one that was converted."""
    return _near(one, other) or _near(other, one)


def _near(source: Figure, made: Figure) -> bool:
    last = made.parts[-1]
    size = Decimal(1) if made.metric else UNITS[last.unit]
    said, true = made.amount / size, source.amount / size
    apart = abs(said - true)
    figures = 2 if made.metric and true < 100 else FIGURES
    # The two sets of factors differ in the seventh figure.
    if apart < step(max(said, true), figures) + true / 100_000:
        return True
    return apart < last.place * UNITS[last.unit] / size and apart <= true / 100


def _meant(figures: Sequence[Figure]) -> Figure:
    """The first; but the largest where the others are what a label makes of it."""
    ours = [one for one in figures if one.system != "imperial"] or figures
    most = max(ours, key=lambda one: one.amount)
    if all(_follows(most, one) for one in figures):
        return most
    return figures[0]


def _follows(source: Figure, other: Figure) -> bool:
    if source.amount == other.amount:
        return True
    ounce = source.ounce
    if other.metric:
        if source.metric:
            return metric_figure(source.amount) == other.amount
        return metric_of(source.amount / ounce, ounce) == other.amount
    if source.metric:
        return ounces_of(source.amount, ounce) * ounce == other.amount
    return cut(source.amount / ounce, FIGURES) * ounce == other.amount
