"""What people type at the scale, turned into grams by the exact legal factors."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import Literal

from production.quantities.domain.number_text import (
    LONGEST,
    MINUS,
    NUMBER,
    read_number,
    refuse_other_figures,
)
from production.quantities.domain.numbers import grams as to_grams
from production.quantities.domain.refusal import Refused

# Definitions: pound and inch, international agreement of 1959; US gallon, 231 cubic
# inches (NIST Handbook 44, Appendix C); imperial gallon, UK Weights and Measures
# Act 1985, Schedule 1. Every quotient below ends, so all of these are exact.
POUND = Decimal("453.59237")
US_GALLON = Decimal(231) * Decimal("2.54") ** 3
IMPERIAL_GALLON = Decimal("4546.09")

GRAMS: Mapping[str, Decimal] = {
    "mg": Decimal("0.001"),
    "g": Decimal(1),
    "kg": Decimal(1000),
    "oz": POUND / 16,
    "lb": POUND,
}
# What a sum is told for where nobody wrote how much.
A_KILO = GRAMS["kg"]
MILLILITRES: Mapping[str, Decimal] = {
    "ml": Decimal(1),
    "cl": Decimal(10),
    "l": Decimal(1000),
    "floz": US_GALLON / 128,
    "pt": US_GALLON / 8,
    "qt": US_GALLON / 4,
    "gal": US_GALLON,
    "impfloz": IMPERIAL_GALLON / 160,
    "imppt": IMPERIAL_GALLON / 8,
    "impqt": IMPERIAL_GALLON / 4,
    "impgal": IMPERIAL_GALLON,
}
_SPELT_OUT = {
    "gram": "g",
    "kilogram": "kg",
    "kilo": "kg",
    "milligram": "mg",
    "ounce": "oz",
    "pound": "lb",
    "millilitre": "ml",
    "milliliter": "ml",
    "centilitre": "cl",
    "centiliter": "cl",
    "litre": "l",
    "liter": "l",
    "fluidounce": "floz",
    "pint": "pt",
    "quart": "qt",
    "gallon": "gal",
}


def _spellings() -> dict[str, str]:
    """Every way to write a unit, without spaces and stops, to its one name."""
    names: dict[str, str] = {}
    singular = {name: name for name in (*GRAMS, *MILLILITRES)} | _SPELT_OUT
    for word, name in singular.items():
        for spelt in (word, f"{word}s"):
            names[spelt] = name
            if f"imp{name}" in MILLILITRES:
                names |= {f"us{spelt}": name, f"imp{spelt}": f"imp{name}"}
    return names


_NAMES = _spellings()
_PIECES = {"pc", "pcs", "piece", "pieces", "ea", "each"}

LARGEST = Decimal(10) ** 9  # a thousand tonnes: beyond it a unit was mistyped

# A point straight after a letter is a full stop (``fl. oz.``), never a decimal point.
_FULL_STOP = re.compile(r"(?<=[a-z])\.(?![0-9])")
_MEASURE = re.compile(rf"({NUMBER})\s*([a-z\s]*)")
_TIMES = re.compile("[*x\u00d7]")
# SI Brochure, 9th edition, table 7: M is mega, m is milli.
_MEGAGRAM = re.compile(r"(?<![A-Za-z])Mg(?![A-Za-z])")


@dataclass(frozen=True, slots=True)
class Amount:
    """Grams, or whole pieces, to 3 places, beside what was typed."""

    grams_or_pieces: Decimal
    typed: str


def read_amount(
    text: str,
    *,
    density: Decimal | None = None,
    unit: Literal["g", "piece"] = "g",
    zero: bool = False,
) -> Amount:
    """Read ``2 lb 3 oz``, ``1.5 kg``, ``10 fl oz``, ``250*12`` or ``250``.

    A bare number is grams, or pieces where the item is counted. ``oz`` is a weight, of
    a liquid too; ``gal``, ``qt``, ``pt`` and ``fl oz`` are US unless ``imp`` is
    written. Volume needs the density in g/mL. Rounds half up to 0.001. Refused for
    anything that is not one amount above zero (``zero``: or nothing), and for a mark
    that can be read in two ways.
    """
    typed = text.strip()
    _refuse_at_first_sight(typed, unit)
    with localcontext(prec=200):  # exact: nothing is rounded before the last step
        times, measures = _split(typed, measured=unit != "piece")
        if unit == "piece":
            amount = times * _pieces(measures)
            if amount != int(amount):
                raise Refused(f"{typed} is not a whole number of pieces.")
        else:
            amount = times * _grams(measures, density)
    if amount > LARGEST:
        raise Refused(f"{typed} is more than a workshop can hold: check the unit.")
    if amount == 0 and zero:
        return Amount(Decimal(0), typed)
    if amount == 0:
        raise Refused(f"{typed} is nothing: write an amount above zero.")
    rounded = to_grams(amount)
    if rounded == 0:
        raise Refused(f"{typed} is less than 0.001 g, the least that can be recorded.")
    return Amount(rounded, typed)


def read_volume(text: str) -> Amount:
    """Read ``24 L``, ``5 gal`` or ``250 mL`` as mL; a bare number is mL.

    Refused as an amount is, and for a weight: what a vessel holds is a volume.
    """
    read = read_amount(text, density=Decimal(1))
    names = {
        name for f in _TIMES.split(text.lower()) for _, name in read_measures(f, text)
    }
    if names & GRAMS.keys():
        raise Refused(f"{read.typed} is a weight: write a volume, such as 24 L.")
    return read


def names_a_unit(text: str) -> bool:
    """Whether letters stand beside the figures: ``250*12`` and ``3 x 4`` have none."""
    return any(sign.isalpha() for sign in _TIMES.sub("", text.lower()))


def unit_of(words: str) -> str | None:
    """``kg`` for ``Kgs.`` or ``kilograms``, ``piece`` for ``pcs``; None: no unit."""
    if _MEGAGRAM.search(words):
        return None
    name = _unit(re.sub(r"[.\s]", "", words.lower()))
    if name in _PIECES:
        return "piece"
    return name if name in GRAMS or name in MILLILITRES else None


def _refuse_at_first_sight(typed: str, unit: str) -> None:
    if not typed:
        such_as = "40" if unit == "piece" else "250 g, 1.5 kg or 2 lb 3 oz"
        raise Refused(f"Write an amount, such as {such_as}.")
    if len(typed) > LONGEST:
        raise Refused("That is too long for an amount: write one, such as 250 g.")
    if typed[0] in MINUS:
        raise Refused(f"{typed} is below zero: write the amount without the minus.")
    refuse_other_figures(typed)
    if _MEGAGRAM.search(typed):
        raise Refused(f"{typed}: Mg is a megagram, a tonne. Write kg, or mg.")


def _split(typed: str, measured: bool) -> tuple[Decimal, list[tuple[Decimal, str]]]:
    """``2 lb 3 oz * 4``: how many times, and the measures (none: bare numbers only)."""
    times, measures = Decimal(1), list[tuple[Decimal, str]]()
    for factor in _TIMES.split(typed.lower()):
        found = read_measures(factor, typed, measured=measured)
        if len(found) == 1 and not found[0][1]:
            times *= found[0][0]
        elif measures:
            raise Refused(f"{typed} multiplies two amounts: multiply by a number.")
        else:
            measures = found
    return times, measures


def read_measures(
    factor: str, typed: str, *, measured: bool = True
) -> list[tuple[Decimal, str]]:
    """``2 lb, 3 oz``: each number with the name of its unit, empty where none is.

    ``factor`` is in small letters, ``typed`` what a refusal names. A word that is no
    unit is handed on as it stands.
    """
    factor = _FULL_STOP.sub(" ", re.sub(r"(?<=[a-z.]),\s+", " ", factor))
    pairs = _MEASURE.findall(factor)
    if not pairs or _MEASURE.sub("", factor).strip():
        raise Refused(f"{typed} is not an amount: write one, such as 250 g.")
    found = [
        (read_number(number, measured=measured), _unit(words))
        for number, words in pairs
    ]
    if len(found) > 1 and any(not name for _, name in found):
        raise Refused(f"{typed} has a number without a unit: write the unit after it.")
    return found


def _unit(words: str) -> str:
    """One name for each unit: ``Fl. Oz`` and ``fluid ounces`` are ``floz``."""
    return _NAMES.get(re.sub(r"\s", "", words), words.strip())


def _grams(measures: list[tuple[Decimal, str]], density: Decimal | None) -> Decimal:
    if not measures:
        return Decimal(1)  # a bare number is grams
    for _, name in measures:
        if name not in GRAMS and name not in MILLILITRES:
            raise Refused(
                f"{name} is not a unit known here: write g, kg, lb, oz or mL."
            )
    if len({name in GRAMS for _, name in measures}) > 1:
        raise Refused("That mixes weight and volume: write one or the other.")
    if measures[0][1] in GRAMS:
        return sum((number * GRAMS[name] for number, name in measures), Decimal(0))
    if density is None or density <= 0:
        raise Refused(
            "A volume needs the material's density: give it in g/mL, "
            "or write the amount in g, kg, lb or oz."
        )
    volume = sum((number * MILLILITRES[name] for number, name in measures), Decimal(0))
    return volume * density


def _pieces(measures: list[tuple[Decimal, str]]) -> Decimal:
    if not measures:
        return Decimal(1)
    if len(measures) > 1 or measures[0][1] not in _PIECES:
        raise Refused("This is counted in pieces: write a whole number, such as 40.")
    return measures[0][0]
