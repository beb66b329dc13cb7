"""Codes of accounts, written on their card: no deed stands behind it."""

import re
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from costing.domain.accounts import ACCOUNTS, in_words
from costing.models import AccountCode
from costing.reads.accounts import codes_of
from production.quantities.domain.refusal import Refused

# What no program takes for a formula, and no table for two cells.
SHAPE = re.compile(r"[0-9A-Za-z][0-9A-Za-z .:/_-]{0,19}")


@transaction.atomic
def write_codes(codes: Mapping[str, str]) -> dict[str, str]:
    """Write the code of each account; an empty one takes it away."""
    for account, code in codes.items():
        if account not in ACCOUNTS:
            raise Refused(f"{account} is no account of these books.")
        code = code.strip()
        if not code:
            AccountCode.objects.filter(account=account).delete()
            continue
        if not SHAPE.fullmatch(code):
            raise Refused(
                f"The code of {in_words(account)} begins with a letter or a figure, "
                "and has at most 20 of them, points, colons, slashes and hyphens."
            )
        AccountCode.objects.update_or_create(account=account, defaults={"code": code})
    return codes_of()


def write_card(**codes: Any) -> dict[str, str]:
    """The same with each account as a keyword, as the page sends them."""
    return write_codes({name: code or "" for name, code in codes.items()})
