"""A quote as it is said on the phone: ``35 lb for 78.50``, ``6.40 per kg``."""

import re
from decimal import Decimal
from typing import Literal

from costing.domain.ideas import Quote
from production.quantities.domain.money_text import read_money
from production.quantities.domain.numbers import money
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_amount

SUCH_AS = {
    "g": "35 lb for 78.50, or 6.40 per kg",
    "piece": "130 for 101.40, or 0.78 each",
}
# A price "per bottle" is that of one; per dozen or per case it is not.
ONE_OF_THEM = {
    "bag",
    "bottle",
    "box",
    "cap",
    "jar",
    "label",
    "lid",
    "pouch",
    "pump",
    "sleeve",
    "tin",
    "tube",
    "unit",
}
_FOR = re.compile(r"(?P<amount>.+?)\s*(?:\bfor\b|=)\s*(?P<price>.+)", re.IGNORECASE)
_PER = re.compile(r"(?P<price>.+?)\s*(?:/|\bper\b|\ba\b)\s*(?P<of>.+)", re.IGNORECASE)
_EACH = re.compile(r"(?P<price>.+?)\s*\beach", re.IGNORECASE)


def read_quote(
    text: str,
    currency: str,
    *,
    unit: Literal["g", "piece"] = "g",
    density: Decimal | None = None,
) -> Quote:
    """``35 lb for 78.50``, ``6.40 per kg``, ``0.78 each``: an amount and its price.

    Amounts and money as everywhere in the book; ``unit`` is g or piece. Refused where
    either is missing, and for another currency.
    """
    said = text.strip()
    if found := _FOR.fullmatch(said):
        amount, price = found["amount"], found["price"]
    elif found := _EACH.fullmatch(said):
        amount, price = "1", found["price"]
    elif found := _PER.fullmatch(said):
        of, price = found["of"], found["price"]
        amount = of if of[0].isdigit() else f"1 {of}"
        if unit == "piece" and of.casefold() in ONE_OF_THEM:
            amount = "1"
    else:
        raise Refused(
            f"{said} is no quote: write an amount and its price, such as "
            f"{SUCH_AS[unit]}."
        )
    if unit == "g" and not any(sign.isalpha() for sign in amount):
        raise Refused(
            f"{said} does not say of what weight: write it, such as 35 lb for 78.50."
        )
    try:
        read = read_amount(amount, unit=unit, density=density)
    except Refused as fault:
        if unit == "g":
            raise
        raise Refused(f"{fault} A quote is such as {SUCH_AS[unit]}.") from fault
    return Quote(read.grams_or_pieces, money(read_money(price, currency)))
