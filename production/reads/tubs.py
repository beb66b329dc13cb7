"""Another tub than was planned for: what the plan was for, what to weigh instead."""

from decimal import Decimal

from production.domain.numbers import grams, plain
from production.models import Lot
from production.reads.cooking import lyes_known, strength


def instead_of(code: str, amount: Decimal | None, lot: Lot) -> str:
    """The sentence for a tub that differs in strength from the planned one; else "".

    ``amount`` is the grams that were planned out of the tub of this code.
    """
    planned = Lot.objects.filter(code=code).select_related("item").first()
    if planned is None or planned.pk == lot.pk or not planned.item.is_alkali:
        return ""
    if planned.item.alkali != lot.item.alkali:
        return (
            f"The plan was for {planned}, {planned.item}; {lot} is {lot.item}. Put it "
            "back and read the code of the right tub."
        )
    lyes = lyes_known([planned, lot])
    one, other = lyes.get(planned.pk), lyes.get(lot.pk)
    if one and other and (one.purity, one.basis) == (other.purity, other.basis):
        return ""
    says = f"The plan was for {planned}, {strength(one)}; {lot} is {strength(other)}"
    if one is None or other is None:
        return f"{says}. Note it from the tub or its certificate, and plan again."
    if amount is None:
        return f"{says}: plan again with its code."
    instead = grams(amount * one.purity / other.purity)
    return f"{says}: weigh {plain(instead)} g instead of {plain(amount)} g."
