"""Money as it is typed and printed: a figure, and the currency it may say beside it.

Signs of currencies: CLDR 45, currencies, narrow symbols; from memory.
"""

import re
import unicodedata
from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

from production.quantities.domain.number_text import MINUS, NUMBER, read_number
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import unit_of

_DOLLARS = "USD CAD AUD NZD SGD HKD TWD MXN CLP COP ARS BBD BSD JMD TTD FJD BZD"
SIGNS: Mapping[str, frozenset[str]] = {
    sign: frozenset(codes.split())
    for sign, codes in {
        "$": _DOLLARS,
        "us$": "USD",
        "ca$": "CAD",
        "c$": "CAD",
        "a$": "AUD",
        "nz$": "NZD",
        "\u20ac": "EUR",
        "\u00a3": "GBP EGP",
        "\u00a5": "JPY CNY",
        "\u20b9": "INR",
        "kr": "SEK NOK DKK ISK",
        "z\u0142": "PLN",
        "k\u010d": "CZK",
        "ft": "HUF",
        "lei": "RON",
        "r$": "BRL",
        "fr": "CHF",
        "\u20ba": "TRY",
        "\u20b4": "UAH",
        "\u20a9": "KRW",
        "\u20aa": "ILS",
    }.items()
}
_SIGN = f"[+{re.escape(MINUS)}]"
_MONEY = re.compile(
    rf"(?P<minus>{_SIGN})?\s*(?P<before>[^0-9]*?)\s*"
    rf"(?P<inner>{_SIGN})?\s*(?P<figure>{NUMBER})\s*(?P<after>[^0-9]*)"
)
_EACH = re.compile(r"(?:/|\bper\b|\beach\b|\ba piece\b|\bea\b)", re.IGNORECASE)
# What a box asks the price of: all that is bought, one that is sold, 1,000 g on tap, an
# hour of work, a kilowatt hour.
Of = Literal["all of it", "one", "1,000 g", "an hour", "a kilowatt hour"]
_HOURS = {
    "an hour": re.compile(
        r"(?:/|\bper\b|\ban\b)\s*(?:hour|hrs?|h)\b\.?", re.IGNORECASE
    ),
    "a kilowatt hour": re.compile(
        r"(?:/|\bper\b|\ba\b)\s*(?:kwh|kilowatt[\s-]?hour)\b", re.IGNORECASE
    ),
}


def read_money(
    text: str,
    currency: str,
    what: str = "this book is kept",
    mend: str = "",
    of: Of = "all of it",
) -> Decimal:
    """``12.50``, ``$12.50``, ``1.234,50 EUR`` in ``currency``, exact and unrounded.

    ``5 each`` is 5 where the price ``of`` one is asked, ``5/kg`` where that of 1,000 g
    is, ``18 per hour`` where that of an hour is. Refused for another currency, for a
    price of anything else, and as a number is; ``what`` says whose currency it is,
    ``mend`` what else would help.
    """
    typed = text.strip()
    found = _MONEY.fullmatch(typed)
    if found is None or (found["minus"] and found["inner"]):
        return read_number(typed, measured=False)
    before, after = found["before"], found["after"]
    if of in _HOURS and (per := _HOURS[of].search(after)):
        after = (after[: per.start()] + after[per.end() :]).strip()
    elif (per := _EACH.search(after)) and _is_asked(after[per.start() :], of):
        after = after[: per.start()].rstrip()
    words = [word for word in (before, after) if word]
    if any(map(is_price_of_one, words)):
        other = "of one" if of == "all of it" else "of something else"
        raise Refused(f"{typed} is a price {other}: write the price of {of}.")
    for word in words:
        named = currencies_named(word)
        if not named or unit_of(word):
            raise Refused(f"{typed} is not a sum of money: write one, such as 12.50.")
        if currency not in named:
            ask = f"Write what it is in {currency}."
            raise Refused(f"{typed}: {what} in {currency}. {ask} {mend}".strip())
    sign = found["minus"] or found["inner"] or ""
    return read_number(sign + found["figure"], measured=False)


def _is_asked(words: str, of: Of) -> bool:
    """Whether ``each``, ``per bottle``, ``/kg`` says what is asked anyway."""
    thing = _EACH.sub("", words).strip()
    if is_price_of_one(thing) or of == "all of it" or of in _HOURS:
        return False
    if of == "1,000 g":
        return unit_of(thing) == "kg"
    return unit_of(thing) in (None, "piece")


def currencies_named(word: str) -> frozenset[str]:
    """The currencies that ``EUR`` or a sign may be; none where it names no money."""
    bare = word.strip().casefold().removesuffix(".")
    if bare in SIGNS:
        return SIGNS[bare]
    if len(bare) == 3 and bare.isascii() and bare.isalpha():
        return frozenset({bare.upper()})
    return frozenset()


def says_more(text: str) -> bool:
    """Whether a word or a sign stands beside the figure."""
    return any(s.isalpha() or unicodedata.category(s) == "Sc" for s in text)


def is_price_of_one(words: str) -> bool:
    """Whether ``per kg`` or ``/kg`` or ``each`` stands in it."""
    return _EACH.search(words) is not None
