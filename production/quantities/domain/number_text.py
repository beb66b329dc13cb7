"""Numbers as people and programs write them: the one reader that every door asks.

The marks are those of the locales (CLDR 45, numbers: symbols and grouping; from
memory): a point or a comma before the decimals; a comma, a point, a space or an
apostrophe between groups of three, and the Indian groups of two. One mark alone before
three figures may be either, so it is asked about; but ``374.592`` is how a page prints
grams, so a point is that of decimals there, save before a zero at the end: none is
printed, and who types one may have a thousand in mind.
"""

import re
import unicodedata
from decimal import Decimal, localcontext

from production.quantities.domain.numbers import plain, too_far
from production.quantities.domain.refusal import Refused

LONGEST = 60
# What may stand between groups of three: SI Brochure (9th edition), 5.4.4, asks for a
# thin space; programs write any of these.
SPACES = " \u00a0\u2007\u2009\u202f"
APOSTROPHES = "'\u2019"
MINUS = "-\u2212\u2013"
_HALVES = "".join(
    sign
    for sign in map(chr, (*range(0xBC, 0xBF), *range(0x2150, 0x215F), 0x2189))
    if unicodedata.decomposition(sign)
)
_SPACE = f"[{SPACES}]"
# One number inside a longer text; ``read_number`` says whether it is one.
NUMBER = (
    rf"(?:(?:[0-9]|(?<![^\W\d_])[.,](?=[0-9]))[0-9.,{APOSTROPHES}]*"
    rf"(?:{_SPACE}[0-9]{{3}}(?![0-9/])[0-9.,]*)*"
    rf"(?:/[0-9]+|{_SPACE}*[{_HALVES}]|{_SPACE}+[0-9]+/[0-9]+)?|[{_HALVES}])"
)
_TWO_READINGS = re.compile(r"([1-9][0-9]{0,2})([.,])([0-9]{3})")
# The same inside a longer text, such as ``2 lb 1.250 oz``.
_POINT_INSIDE = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.,])")
_COMMA_OF_DECIMALS = re.compile(
    r"(?<![0-9,.])(?:[0-9]+,(?:[0-9]{1,2}|[0-9]{4,})|0,[0-9]+|[0-9]{4,},[0-9]{3})(?![0-9,.])"
    r"|[0-9]\.[0-9]{3},[0-9]"
)
_PLAIN = re.compile(r"[0-9]+([.,][0-9]+)?|[.,][0-9]+")
_GROUPS = tuple(
    re.compile(pattern)
    for pattern in (
        r"[1-9][0-9]{0,2}((?P<by>,)[0-9]{3})+(\.[0-9]+)?",
        r"[1-9][0-9]?((?P<by>,)[0-9]{2})+,[0-9]{3}(\.[0-9]+)?",
        r"[1-9][0-9]{0,2}((?P<by>\.)[0-9]{3}){2,}",
        r"[1-9][0-9]{0,2}((?P<by>\.)[0-9]{3})+,[0-9]+",
        r"[1-9][0-9]{0,2}((?P<by>[ '])[0-9]{3})((?P=by)[0-9]{3})*([.,][0-9]+)?",
    )
)
_FRACTION = re.compile(
    rf"(?:(?P<whole>[0-9]{{1,9}}){_SPACE}+)?(?P<above>[0-9]{{1,9}})/(?P<below>[0-9]{{1,9}})"
)
_POWER = re.compile(r"[0-9][eE][-+]?[0-9]")
_CANONICAL = re.compile(r"-?[0-9]{1,40}(\.[0-9]{1,40})?")


def read_number(text: str, *, measured: bool = True) -> Decimal:
    """``1234.5``, ``1,234.5``, ``1.234,5``, ``1 234,5``, ``1'234.5``, ``1/2``.

    Exact and finite, below zero behind a minus. Refused for what is no number, and for
    ``1,234`` and ``1.230`` with both of their readings; where nothing is ``measured``,
    as of money and pieces, for ``1.234`` too.
    """
    typed = text.strip()
    refuse_other_figures(typed)
    below = typed[:1] in MINUS and typed != ""
    bare = typed[1:].lstrip() if below or typed[:1] == "+" else typed
    two = _TWO_READINGS.fullmatch(bare)
    if two and not (measured and two[2] == "." and two[3][-1] != "0"):
        sign, part = "-" * below, Decimal(f"{two[1]}.{two[3]}")
        shown = plain(part) if measured else one_reading(part)
        raise Refused(
            f"{typed} can be read in two ways. Write {sign}{two[1]}{two[3]} or "
            f"{sign}{shown}."
        )
    number = _fraction(bare, typed)
    if number is None:
        number = _decimal(bare, typed)
    if too_far(number):
        raise Refused("That has more figures than anything here: write it again.")
    return -number if below else number


def one_reading(value: Decimal) -> str:
    """As ``read_number`` takes it anywhere: ``1.2340``, since ``1.234`` may be 1234."""
    text = plain(value)
    return f"{text}0" if _TWO_READINGS.fullmatch(text.lstrip(MINUS)) else text


def has_comma_of_decimals(text: str) -> bool:
    """Whether ``12,5`` or ``1.250,00`` stands in it, and no other reading."""
    return _COMMA_OF_DECIMALS.search(text) is not None


def refuse_point_beside_commas(text: str) -> None:
    """Refused for ``1.234`` where commas stand before the decimals elsewhere."""
    if found := _POINT_INSIDE.search(text):
        whole, part = found[0].replace(".", ""), one_reading(Decimal(found[0]))
        raise Refused(
            f"{found[0]} can be read in two ways: elsewhere in this sheet a comma "
            f"stands before the decimals. Write {whole} or {part}."
        )


def read_figure(value: object) -> Decimal | None:
    """A number of a file that programs write: ``-12.5`` and no other way, else None.

    Takes the text, or the whole number or Decimal that a JSON reader made of it.
    """
    if isinstance(value, bool):
        return None
    if isinstance(value, int | Decimal):
        number = Decimal(value)
        return None if too_far(number) else number
    if isinstance(value, str) and _CANONICAL.fullmatch(value):
        return Decimal(value)
    return None


def refuse_other_figures(text: str) -> None:
    """Refused for figures that are not 0 to 9, and for a text without an end."""
    if len(text) > LONGEST:
        raise Refused("That is too long for a number: write one, such as 12.50.")
    for sign in text:
        if sign.isascii() or sign in _HALVES:
            continue
        if unicodedata.category(sign) == "Nd":
            raise Refused(f"Write the figures as 0 to 9: {sign} is not read here.")
        if unicodedata.category(sign) in ("No", "Nl"):
            raise Refused(
                f"{sign} is not read as a figure: write the number out, such as 1000."
            )


def _fraction(bare: str, typed: str) -> Decimal | None:
    """``1/2``, ``1 1/2``, ``\u00bd``, ``1\u00bd``; None where it is no fraction."""
    spelt = unicodedata.normalize("NFKC", re.sub(f"([{_HALVES}])", r" \1", bare))
    found = _FRACTION.fullmatch(spelt.replace("\u2044", "/").strip())
    if found is None:
        return None
    above, below = Decimal(found["above"]), Decimal(found["below"])
    with localcontext(prec=40):
        number = above / below if below else None
        if number is None or number * below != above:
            such = f", such as {plain(round(number, 4))}" if number else ""
            raise Refused(f"{typed} has no end as a decimal: write it out{such}.")
        return Decimal(found["whole"] or 0) + number


def _decimal(bare: str, typed: str) -> Decimal:
    text = re.sub(f"[{APOSTROPHES}]", "'", re.sub(_SPACE, " ", bare))
    for groups in _GROUPS:
        if found := groups.fullmatch(text):
            text = text.replace(found["by"], "")
            break
    if _PLAIN.fullmatch(text):
        return Decimal(text.replace(",", "."))
    if _POWER.search(text):
        raise Refused(f"{typed} is written with a power: write the number out.")
    what = f"{typed} is not a number" if typed else "That is no number"
    raise Refused(f"{what}: write one, such as 12.50.")
