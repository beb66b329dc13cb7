"""Finding a lot by what somebody typed: one owner of what a lot may be called.

A field takes the code, the batch's mark, the supplier's lot and the invoice; a search
takes names as well. Several that answer are shown, never guessed at.
"""

from collections.abc import Iterable
from string import ascii_lowercase, ascii_uppercase
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Upper

from production.domain.code_shape import of_address
from production.domain.codes import completed, mistyped, normalise
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.models import (
    Batch,
    Given,
    Item,
    Lot,
    Movement,
    Purchase,
    PurchaseLine,
    Restated,
)

MOST, MOST_NAMED = 12, 50
CAME = (Movement.Kind.RECEIVED, Movement.Kind.OPENING, Movement.Kind.MADE)
# What of a lot a search box looks into, and where it came from.
SEARCHED = (
    "code",
    "item__name",
    "supplier_lot",
    "line__purchase__number",
    "line__purchase__supplier__name",
)
ASCII_UPPER = str.maketrans(ascii_lowercase, ascii_uppercase)


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


def find_lot(text: str) -> Lot:
    """The one lot that is called so; refused where there is none, and where several.

    A code as it stands comes first. Only what nothing is called may be mistyped.
    """
    lots = Lot.objects.select_related("item", "batch")
    for spelling in dict.fromkeys((text, text.strip(), _of_address(text.strip()))):
        if lot := lots.filter(code=spelling).first():
            return lot
    called = lots_called(text)
    if len(called) == 1:
        return called[0]
    if called:
        raise Several(text.strip(), called[:MOST], len(called[MOST:]))
    raise Refused(_none(text))


def lot_or_none(text: str) -> Lot | None:
    """The same, where a page only looks ahead: None where it is not one."""
    try:
        return find_lot(text) if text.strip() else None
    except Refused:
        return None


def lots_called(text: str) -> list[Lot]:
    """Lots by their code in any case, with or without its check character, by the mark
    of their batch, the supplier's lot, the invoice. In the order they were opened.

    What was taken back answers to its own code only. Two queries.
    """
    spellings = _spellings(text)
    if not spellings:
        return []
    here = Movement.objects.standing().filter(lot=OuterRef("pk"), kind__in=CAME)
    stands = Lot.objects.filter(Exists(here)).order_by()
    # Each way by its own index: in one condition they would read every lot.
    batches = _called(Batch.objects.order_by(), "code", spellings)
    invoices = _called(Purchase.objects.order_by(), "number", spellings)
    lines = PurchaseLine.objects.order_by().filter(purchase__in=invoices.values("pk"))
    pks = (
        _called(Lot.objects.order_by(), "code", spellings)
        .values("pk")
        .union(
            _called(stands, "supplier_lot", spellings).values("pk"),
            stands.filter(batch__in=batches.values("pk")).values("pk"),
            stands.filter(line__in=lines.values("pk")).values("pk"),
            _called(_given_anew(), "before", spellings).values("row"),
        )
    )
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


def _called(rows: QuerySet[Any], column: str, spellings: list[str]) -> QuerySet[Any]:
    return rows.alias(called=Upper(column)).filter(called__in=spellings)


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
    """What a code may be, in the database's capitals: SQLite has those of ASCII."""
    bare = " ".join(text.split())
    prefix, _, rest = bare.partition("-")
    said = {bare, normalise(bare), completed(bare)}
    if prefix.upper() == "B" and rest:
        said |= {f"B-{code}" for code in (normalise(rest), completed(rest)) if code}
    cases = (str, str.upper, str.lower, str.title, str.capitalize)
    found = {case(one).translate(ASCII_UPPER) for one in said for case in cases}
    return sorted(found - {""})


def _none(text: str) -> str:
    if found := _called(Batch.objects.all(), "code", _spellings(text)).first():
        return (
            f"{found} is open: it has made no lot yet. Look at the page of the batch."
        )
    if mistyped(text):
        return (
            f"There is no lot {text}; if it is one of ours it is mistyped, since its "
            "last character does not fit the others. Read the code again."
        )
    return f"There is no lot {text}. Look it up among the lots."
