"""What was taken back gives its code, mark or number up, to the same goods alone.

A lot or batch that is entered again is a new row: no status, reading or hold of the
first entry reaches it. The first one keeps its page, its code marked as taken back.
"""

from typing import Any

from django.db.models import Model

from production.quantities.domain.code_shape import GONE
from production.quantities.domain.refusal import Refused
from production.record.reads.any_case import called, numbered, spellings
from production.stock.domain.checks import OF_ALKALI
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Status
from production.stock.models.readings import Measurement
from production.stock.reads.holds import standing_holds
from production.stock.reads.stock import latest_status
from production.workshop.models.items import Item


def free_code(code: str, item: Item, supplier: Model | None = None) -> None:
    """Refuse a code that stands in any case; one that was given up may be used again.

    Two that differ in capitals only are one to whoever types or reads them.
    """
    for old in bearing(Lot, code):
        _free_code(old, code, item, supplier)


def bearing(of: type[Lot | Batch], code: str) -> list[Any]:
    """The lots or batches with this code in any case, the very code first."""
    rows = of._default_manager.order_by("pk")
    found = called(rows, "code", spellings([code]))
    return sorted(found, key=lambda row: row.code != code)


def refuse_twin(stands: str, code: str) -> None:
    """Refuse the code of something that stands under the same in other capitals."""
    if stands != code:
        raise Refused(f"{stands} stands already: use it, or write another code.")


def _free_code(old: Lot, code: str, item: Item, supplier: Model | None) -> None:
    if old.movements.standing().exists():
        refuse_twin(old.code, code)
        raise Refused(f"The code {code} is taken. Choose another, or leave it empty.")
    if old.item_id != item.pk:
        raise Refused(
            f"{code} was a lot of {old.item} and was taken back: its code is not used "
            f"for {item}. Choose another, or leave it empty."
        )
    before = old.line.purchase.supplier if old.line else None
    if before and supplier and before != supplier:
        raise Refused(
            f"{code} came from {before} and was taken back: what {supplier} sent gets "
            "a code of its own. Choose another, or leave it empty."
        )
    if old.batch and old.batch.movements.standing().exists():
        raise Refused(
            f"{code} is the lot of {old.batch}, which stands open: make it there, or "
            "choose another code."
        )
    _never_labelled(old)
    _not_stopped(old)
    give_up(old)


def free_mark(mark: str, stage: str, makes: Item | None) -> None:
    """The same for the mark of a batch: for the same stage and the same item."""
    for old in bearing(Batch, mark):
        _free_mark(old, mark, stage, makes)


def _free_mark(old: Batch, mark: str, stage: str, makes: Item | None) -> None:
    if Batch.objects.standing().filter(pk=old.pk).exists():
        refuse_twin(old.code, mark)
        raise Refused(f"There is a batch {mark} already. Choose another mark.")
    if old.stage != stage and Lot.objects.filter(batch=old).exists():
        raise Refused(
            f"{mark} was {old.get_stage_display()} and was taken back: its mark is not "
            "used for another stage. Choose another, or leave it empty."
        )
    if makes is not None:
        made_before(old, mark, makes)
    if (lot := Lot.objects.filter(batch=old).first()) is not None:
        _never_labelled(lot)
        _not_stopped(lot)
    give_up(old)


def same_as_before(batch: Batch, item: Item) -> None:
    """A batch under a mark that was given up makes what the first one made."""
    for old in Batch.objects.filter(code__startswith=f"{batch.code}{GONE}"):
        made_before(old, batch.code, item)


def made_before(old: Batch, mark: str, item: Item) -> None:
    lot = Lot.objects.filter(batch=old).select_related("item").first()
    made = lot.item if lot else old.version.formula.makes if old.version else None
    if made is not None and made != item:
        raise Refused(
            f"{mark} made {made} and was taken back: its mark is not used for {item}. "
            "Choose another, or leave it empty."
        )


def _never_labelled(lot: Lot) -> None:
    if lot.labelled:
        raise Refused(
            f"A label with the code {lot} was printed on {lot.labelled}: it may stand "
            "on a bottle. Choose another code."
        )


def _not_stopped(lot: Lot) -> None:
    """What stopped the goods is not left behind with the first entry."""
    latest = latest_status(lot)
    failed = Measurement.objects.filter(lot=lot, passed=False, what__in=OF_ALKALI)
    if (
        standing_holds([lot])
        or (latest and latest.status == Status.Word.REJECTED)
        or failed.filter(taken_back=None).standing().exists()
    ):
        raise Refused(
            f"{lot} was stopped before it was taken back: its page says why. Answer "
            "that first, or choose another code."
        )


def give_up(old: Lot | Batch) -> None:
    """Mark the code of the first entry, so that the next one may bear it."""
    rows = type(old).objects
    longest = old._meta.get_field("code").max_length
    number = 1
    while True:
        mark = f"{GONE})" if number == 1 else f"{GONE} {number})"
        code = old.code[: longest - len(mark)] + mark
        if not rows.filter(code=code).exists():
            break
        number += 1
    rows.filter(pk=old.pk).update(code=code)


def was_given_up(code: str) -> bool:
    return GONE in code and code.endswith(")")


def free_number(
    papers: type[Model], number: str, *, but: Model | None = None, **of: Any
) -> None:
    """Refuse a number that a standing paper bears, in any case and with any spaces; of
    a purchase, of its supplier.

    Asked by a deed that holds the lock of the book, so that none takes it meanwhile.
    """
    rows: Any = numbered(papers._default_manager.filter(**of), [number])
    if not rows.exists():
        return
    other = rows.standing().exclude(pk=but and but.pk).first()
    if other is None:
        return
    raise Refused(f"{other.already} Open it to mend it, or write another number.")
