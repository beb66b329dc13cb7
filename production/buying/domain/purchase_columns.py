"""The head of a column: which field it is, and the unit or currency it speaks of.

A heading speaks for the bare figures below it; what a cell says itself comes first. A
word beside the heading of a figure is honoured or refused, never passed over.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from production.buying.domain.purchase_headings import HEADINGS
from production.quantities.domain.density import GRAMS_PER_ML
from production.quantities.domain.money_text import (
    currencies_named,
    is_price_of_one,
    says_more,
)
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import names_a_unit, unit_of

MEASURED = ("amount", "shipping_weight")
MONEY = ("price", "tax", "recoverable_tax", "extra_amount", "total")
SHARES = ("purity", "carbonate")
RATES = ("rate", "extra_rate")
FIGURES = (*MEASURED, *MONEY, *SHARES, *RATES, "density")

_PLAINLY: Mapping[str, frozenset[str]] = {
    "amount": frozenset({"net"}),
    "shipping_weight": frozenset({"gross", "packed"}),
    **dict.fromkeys(SHARES, frozenset({"%", "percent", "per cent", "w/w", "% w/w"})),
    "density": frozenset(GRAMS_PER_ML),
    "price": frozenset({"without tax", "excl. tax", "excl. vat"}),
}
_BRACKETS = re.compile(r"[(\[{](.*?)[)\]}]")
_PARTS = re.compile(r"[\s,;:]+|(?=[/%])")
_OF_ONE = ("unitprice", "unitcost", "priceeach", "costeach", "priceofone")
_TOTAL = (
    "Total can be read in two ways. Head it Price where it is that of the line, or "
    "Invoice total."
)


@dataclass(frozen=True, slots=True)
class Column:
    """A field, and the words that belong behind each bare figure below it."""

    field: str
    unit: str = ""

    def with_unit(self, text: str) -> str:
        """``5`` under kg is ``5 kg``; ``25 lb`` is what it says."""
        own = names_a_unit(text) or (self.field in MONEY and says_more(text))
        return text if own or not self.unit or not text else f"{text} {self.unit}"


# No heading is longer; looking for brackets in one without an end takes minutes.
LONGEST = 200


def bare(title: str) -> str:
    """A heading without case, spaces and stops."""
    return re.sub(r"[\W_]", "", title.casefold())


FIELDS: Mapping[str, str] = {
    bare(words): heading.field
    for heading in HEADINGS
    for words in (heading.words, *heading.also)
}


def column_of(title: str) -> Column | None:
    """Which column it heads; None where its words are not known.

    Refused for a word that the figures below cannot honour.
    """
    if len(title) > LONGEST:
        return None
    words = _BRACKETS.sub(" ", title).strip()
    if bare(words) == "total":
        raise Refused(_TOTAL)
    field, tail = _field(words)
    if bare(words) in _OF_ONE or (field in (*MONEY, None) and is_price_of_one(title)):
        raise Refused(
            f"{title} is the price of one: a line here has the price of all of it. "
            "Write that under Price, and head this Note to leave it aside."
        )
    if field is None or (tail and field not in FIGURES):
        return None
    said = " ".join((tail, *_BRACKETS.findall(title))).strip()
    said = re.sub(r"^in\s+", "", said, flags=re.IGNORECASE)
    hint = said.casefold()
    # In brackets on a column of words it is only a remark.
    if not hint or field not in FIGURES or hint in _PLAINLY.get(field, ()):
        return Column(field)
    if field in MEASURED and unit_of(said):
        return Column(field, hint)
    if field in MONEY and currencies_named(hint):
        return Column(field, hint.upper())
    raise Refused(
        f"{title}: {hint} is not understood here. Head it by its name alone, and "
        "write what is meant in the cells."
    )


def _field(words: str) -> tuple[str | None, str]:
    """The field of the longest known beginning, and what stands behind it."""
    if field := FIELDS.get(bare(words)):
        return field, "".join(s for s in words if s == "%" or _is_money_sign(s))
    parts = [part for part in _PARTS.split(words) if part]
    for count in range(len(parts) - 1, 0, -1):
        if field := FIELDS.get(bare("".join(parts[:count]))):
            return field, " ".join(parts[count:])
    return None, ""


def _is_money_sign(sign: str) -> bool:
    return unicodedata.category(sign) == "Sc"
