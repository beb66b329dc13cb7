"""A batch whose making was taken back makes the same lot again."""

from datetime import date
from decimal import Decimal

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import ensure_valid
from production.stock.actions.freed_codes import free_code, was_given_up
from production.stock.actions.opening_lots import given_code, issue_code
from production.stock.models.lots import Lot


def made_again(
    lot: Lot, *, code: str, expires: date | None, net_mass: Decimal | None
) -> Lot:
    """Its facts are those of the new making; its code is, where one was written."""
    code = given_code(code)
    if not code and was_given_up(lot.code):
        code = issue_code()
    if code and code != lot.code:
        if lot.labelled:
            raise Refused(
                f"Labels with the code {lot} were printed on {lot.labelled}: leave the "
                "code as it is."
            )
        free_code(code, lot.item)
        lot.code = code
    lot.expires, lot.net_mass = expires, net_mass
    ensure_valid(lot)
    lot.save(update_fields=["code", "expires", "net_mass"])
    return lot
