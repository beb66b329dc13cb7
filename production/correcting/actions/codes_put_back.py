"""What is put back bears its code and number again."""

from collections.abc import Iterable
from typing import Any

from production.buying.models import Purchase
from production.quantities.domain.code_shape import GONE
from production.quantities.domain.refusal import Refused
from production.selling.models import Return, Sale
from production.stock.actions.freed_codes import (
    bearing,
    free_number,
    give_up,
    was_given_up,
)
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement


def stand_again(entries: Iterable[Any]) -> None:
    """Entries that are put back bring their code, mark and number with them.

    Refused while something else bears it: that is taken back first.
    """
    for row in entries:
        _named_again(row.lot)
        if row.batch:
            _named_again(row.batch)
        if row.lot.line and row.kind == Movement.Kind.RECEIVED:
            paper = row.lot.line.purchase
            free_number(Purchase, paper.number, but=paper, supplier=paper.supplier)
        if row.sale_line and row.kind == Movement.Kind.SOLD:
            paper = row.sale_line.sale
            free_number(Sale, paper.number, but=paper)
        for back in Return.objects.filter(movement=row.root):
            free_number(Return, back.number, but=back)


def _named_again(old: Lot | Batch) -> None:
    if not was_given_up(old.code):
        return
    code = old.code.rpartition(GONE)[0]
    rows = type(old).objects
    for other in bearing(type(old), code):
        stands = (
            other.movements.standing()
            if isinstance(other, Lot)
            else Batch.objects.standing().filter(pk=other.pk)
        )
        if stands.exists():
            raise Refused(
                f"{code} was entered again since: take that back first, or leave this."
            )
        give_up(other)
    rows.filter(pk=old.pk).update(code=code)
