"""Finding a lot by what somebody typed: one owner of what a lot may be called.

A box of a deed takes the code, the batch's mark and the supplier's lot; who only looks
may write an invoice too, and in a search names as well. Several that answer are shown,
never guessed at.
"""

from collections.abc import Iterable

from django.apps import apps
from django.db.models import Exists, OuterRef, Q, QuerySet

from production.quantities.domain.code_shape import of_address
from production.quantities.domain.codes import completed, mistyped, normalise
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.models.ink import Restated
from production.record.reads.any_case import called, spellings
from production.stock.models.batches import Batch
from production.stock.models.lots import Given, Lot, Movement
from production.workshop.models.items import Item

MOST, MOST_NAMED = 12, 50
# What of a lot a search box looks into, and where it came from.
SEARCHED = (
    "code",
    "item__name",
    "supplier_lot",
    "line__purchase__number",
    "line__purchase__supplier__name",
)


class Several(Refused):
    """More than one lot answers to what was typed: ``lots`` are the first of them."""

    def __init__(self, text: str, lots: list[Lot], more: int = 0) -> None:
        self.lots, self.more = lots, more
        listed = "; ".join(f"{lot} ({about(lot)})" for lot in lots)
        rest = f"; and {more} more" if more else ""
        super().__init__(
            f"{text} may be {len(lots) + more} lots: {listed}{rest}. Write the code of "
            "the one you mean."
        )


def find_lot(text: str, *, invoices: bool = True) -> Lot:
    """The one lot that is called so; refused where there is none, and where several.

    A code as it stands comes first. Only what nothing is called may be mistyped.
    Without ``invoices`` the number of a paper names no lot: a deed asks so.
    """
    lots = Lot.objects.select_related("item", "batch")
    for spelling in dict.fromkeys((text, text.strip(), _of_address(text.strip()))):
        if lot := lots.filter(code=spelling).first():
            return lot
    found = lots_called(text, invoices=invoices)
    if len(found) == 1:
        return found[0]
    if found:
        raise Several(text.strip(), found[:MOST], len(found[MOST:]))
    if not invoices and (came := lots_called(text)):
        raise Refused(
            f"There is no lot {text.strip()}, but a paper with that number. Write the "
            f"code of the lot that came with it: {', '.join(map(str, came[:MOST]))}."
        )
    raise Refused(_none(text))


def lot_or_none(text: str) -> Lot | None:
    """The same for a box of a deed that is still open: None where it is not one."""
    try:
        return find_lot(text, invoices=False) if text.strip() else None
    except Refused:
        return None


def lots_called(text: str, *, invoices: bool = True) -> list[Lot]:
    """Lots by their code in any case, with or without its check character, by the mark
    of their batch, the supplier's lot, the invoice. In the order they were opened.

    What was taken back answers to its own code only. Two queries.
    """
    spelled = _spellings(text)
    if not spelled:
        return []
    here = Movement.objects.standing().filter(
        lot=OuterRef("pk"), kind__in=Movement.STARTS
    )
    stands = Lot.objects.filter(Exists(here)).order_by()
    # Each way by its own index: in one condition they would read every lot.
    batches = called(Batch.objects.order_by(), "code", spelled)
    ways = [
        called(stands, "supplier_lot", spelled).values("pk"),
        stands.filter(batch__in=batches.values("pk")).values("pk"),
        called(_given_anew(), "before", spelled).values("row"),
    ]
    if invoices:
        purchases = apps.get_model("production", "Purchase").objects.order_by()
        papers = called(purchases, "number", spelled).values("pk")
        lines = apps.get_model("production", "PurchaseLine").objects.order_by()
        lines = lines.filter(purchase__in=papers)
        ways.append(stands.filter(line__in=lines.values("pk")).values("pk"))
    pks = called(Lot.objects.order_by(), "code", spelled).values("pk").union(*ways)
    return list(_told({row["pk"] for row in pks}).order_by("pk"))


def _given_anew() -> QuerySet[Restated]:
    """What was said of codes: a lot answers to the one that it had before."""
    return Restated.objects.filter(of=Restated.Of.LOT, field="code").order_by()


def _of_address(text: str) -> str:
    """An odd code may be typed as its address writes it."""
    try:
        return of_address(text)
    except ValueError:
        return text


def lots_named(text: str) -> list[Lot]:
    """For a search: what has these words in what is written of it, or went to somebody
    called so; the newest first, ``MOST_NAMED`` at the most."""
    if not text.strip():
        return []
    found = Lot.objects.filter(mentions(text) | went_to(text)).order_by("-pk")
    return list(_told(found.values_list("pk", flat=True)[:MOST_NAMED]))


def mentions(text: str, way: str = "") -> Q:
    """Words in what is written of a lot; ``way`` is the path to it (``lines__lot__``).

    A way over many rows belongs into a query of keys.
    """
    match = Q()
    for spelling in {text.strip(), normalise(text)}:
        for path in SEARCHED:
            match |= Q(**{f"{way}{path}__icontains": spelling})
    return match


def went_to(text: str) -> Q:
    """Lots that somebody of this name was sold or given some of."""
    name = text.strip()
    sold = Movement.objects.standing().filter(
        kind=Movement.Kind.SOLD, sale_line__sale__customer__name__icontains=name
    )
    given = Given.objects.filter(recipient__icontains=name)
    return Q(pk__in=sold.order_by().values("lot")) | Q(
        pk__in=given.values("movement__lot")
    )


def about(lot: Lot) -> str:
    """What tells a lot from another of the same name; it comes with ``on_hand``."""
    said = [lot.item.name]
    if lot.line is not None:
        said.append(lot.line.purchase.supplier.name)
    if lot.supplier_lot:
        said.append(f"their lot {lot.supplier_lot}")
    if lot.batch is not None:
        said.append(f"batch {lot.batch}")
    unit = "g" if lot.item.unit == Item.Unit.GRAM else "pcs"
    said.append(f"{plain(lot.on_hand)} {unit} on hand")
    return ", ".join(said)


def _told(pks: Iterable[int]) -> QuerySet[Lot]:
    lots = Lot.objects.filter(pk__in=list(pks)).with_on_hand().with_status()
    return lots.select_related("item", "batch", "line__purchase__supplier")


def _spellings(text: str) -> list[str]:
    """What a code may be, in the database's capitals."""
    bare = " ".join(text.split())
    prefix, _, rest = bare.partition("-")
    said = {bare, normalise(bare), completed(bare)}
    if prefix.upper() == "B" and rest:
        said |= {f"B-{code}" for code in (normalise(rest), completed(rest)) if code}
    return spellings(said)


def _none(text: str) -> str:
    if found := called(Batch.objects.all(), "code", _spellings(text)).first():
        return (
            f"{found} is open: it has made no lot yet. Look at the page of the batch."
        )
    if mistyped(text):
        return (
            f"There is no lot {text}; if it is one of ours it is mistyped, since its "
            "last character does not fit the others. Read the code again."
        )
    return f"There is no lot {text}. Look it up among the lots."
