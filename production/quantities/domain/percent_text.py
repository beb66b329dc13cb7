"""Percent as it is typed: ``0.6`` in such a box is 0.6 %, in every one of them.

Where a figure that small is improbable the box asks with both readings. The limits are
common practice, no source.
"""

import re
from decimal import Decimal

from production.quantities.domain.number_text import read_number
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

# A purity, a strength or a soap content of 1 % and less is hardly ever meant.
HIGH = Decimal(1)
# Of most shares less than a tenth of a percent is.
USUAL = Decimal("0.099999")
# A supplier's document and a bench trial list figures of any size.
ANY = Decimal(0)
WHOLE = Decimal(100)
FINEST = Decimal("0.000001")
SPACES = "Leave a space between the shares: 0.5 1 1.5."

_SIGN = re.compile(
    r"%\s*(?P<first>[^%a-z]+)|(?P<last>[^%a-z]+?)\s*(?:%|percent|per cent|pct\.?)",
    re.IGNORECASE,
)


def read_percent(
    text: str,
    *,
    signed: bool = False,
    asked_up_to: Decimal = USUAL,
    most: Decimal = WHOLE,
) -> Decimal:
    """``8``, ``8 %`` and ``8 percent`` as the fraction 0.08, to 0.000001 %.

    A bare number above zero and up to ``asked_up_to`` percent is refused with both of
    its readings, as is what lies beyond ``most`` percent, the whole.
    """
    typed = text.strip()
    signs = _SIGN.fullmatch(typed)
    number = read_number(signs["first"] or signs["last"] if signs else typed)
    if not signs and is_asked(number, asked_up_to):
        raise Refused(
            f"Is {plain(number)} % meant, or {plain(number * 100)} %? "
            "Write it with the sign."
        )
    if number < 0 and not signed:
        raise Refused(f"{typed} is below zero: write it without the minus.")
    if most > WHOLE and not -WHOLE <= number <= most:
        raise Refused(f"{typed} is out of reach: write -100 to {plain(most)} %.")
    if not -WHOLE <= number <= most:
        raise Refused(f"{typed} is more than the whole. Write 0 to 100 %.")
    if number != number.quantize(FINEST):
        raise Refused(f"{typed} is finer than {FINEST} %.")
    return number / 100


def in_percent(share: Decimal, asked_up_to: Decimal = USUAL) -> str:
    """As a box shows it: with its sign where a bare number would be asked about."""
    number = share * 100
    return plain(number) + (" %" if is_asked(number, asked_up_to) else "")


def is_asked(number: Decimal, asked_up_to: Decimal) -> bool:
    return 0 < abs(number) <= asked_up_to


def read_shares(text: str) -> list[Decimal]:
    """``0.5 1 1.5`` or ``0,5; 1; 1,5`` in percent, as fractions below the whole."""
    tokens = re.split(r"[;\s%]+|,(?=\s|$)", text.strip().strip("%,;"))
    found = []
    for token in filter(None, tokens):
        if re.fullmatch(r"\d+,\d+", token) and not token.startswith("0,"):
            raise Refused(f"{token} can be read in two ways. {SPACES}")
        many = token.split(",") if "." in token or token.count(",") > 1 else [token]
        found += [_below_the_whole(part) for part in many if part]
    if not found:
        raise Refused(SPACES)
    return found


def _below_the_whole(token: str) -> Decimal:
    share = read_percent(token, asked_up_to=ANY)
    if share == 1:
        raise Refused(f"{token} % is not from 0 up to less than 100 %.")
    return share
