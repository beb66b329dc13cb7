"""What the supplier's papers say of a lot of fragrance, edition by edition."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.stock.models.lots import Lot
from production.stock.models.readings import Constituent, FragranceDocument
from production.workshop.models.items import Item

WHOLE = Decimal(1)


@deed("note a fragrance document", moves_nothing=True, gives=FragranceDocument)
def note_document(
    deed: Deed,
    *,
    lot: Lot,
    edition: str,
    dated: date | None = None,
    flash_point: Decimal | None = None,
    vanillin: Decimal | None = None,
    most: Decimal | None = None,
    constituents: Mapping[str, Decimal] | None = None,
    no_allergens: bool = False,
) -> FragranceDocument:
    """Write down a document; it counts from now on, and the earlier ones stay.

    ``vanillin``, ``most`` and the constituents are fractions, ``flash_point`` is in
    degrees Celsius; ``no_allergens`` where it says that none is to be named.
    """
    if lot.item.category != Item.Category.FRAGRANCE:
        raise Refused(
            f"{lot} is {lot.item}, no fragrance. A document is written for a lot of "
            "fragrance; of a blend, for each lot that went into it."
        )
    edition = edition.strip()
    if not edition:
        raise Refused("Write the version of the document, as printed on it.")
    _in_order(deed, lot, dated)
    _a_share(vanillin, "The vanillin content")
    _a_share(most, "The maximum use")
    if most == 0:
        raise Refused(
            "A maximum of 0 % would allow none of it. Leave it open if the document "
            "does not say it."
        )
    named = _named(constituents or {})
    row = written(
        FragranceDocument(
            deed=deed,
            lot=lot,
            edition=edition,
            dated=dated,
            flash_point=flash_point,
            vanillin=vanillin,
            most=most,
            no_allergens=no_allergens,
        )
    )
    for name, share in named.items():
        written(Constituent(deed=deed, lot=lot, document=row, inci=name, share=share))
    return row


def confirm_document(
    *, like: FragranceDocument | None = None, **act: Any
) -> FragranceDocument:
    """Write of a lot that its paper is the one that stands for another lot.

    Nothing is typed twice; ``like`` None only where the deed was done before. Refused
    for the document of another fragrance.
    """
    if like is None:
        return note_document(**act)
    lot = act["lot"]
    if like.lot.item_id != lot.item_id:
        raise Refused(
            f"{like.edition} is of {like.lot.item}, and {lot} is {lot.item}: write the "
            "document of this fragrance."
        )
    held = like.constituents.order_by("pk")
    return note_document(
        edition=like.edition,
        dated=like.dated,
        flash_point=like.flash_point,
        vanillin=like.vanillin,
        most=like.most,
        constituents={part.inci: part.share for part in held},
        no_allergens=like.no_allergens,
        **act,
    )


def _in_order(deed: Deed, lot: Lot, dated: date | None) -> None:
    if dated is None:
        return
    if dated > deed.on:
        raise Refused(f"The document is dated {dated}, after {deed.on}. Read it again.")
    last = FragranceDocument.objects.filter(lot=lot).first()
    if last is not None and last.dated is not None and dated < last.dated:
        raise Refused(
            f"{last.edition} of {last.dated} is in force, and this one of {dated} is "
            "older. The newest counts: attach the old one as a file instead."
        )


def _a_share(share: Decimal | None, what: str) -> None:
    if share is not None and not 0 <= share <= WHOLE:
        raise Refused(
            f"{what} of {plain(share * 100)} % is not between 0 and 100 %: look at the "
            "document again."
        )


def _named(constituents: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Names trimmed; one that stands twice, or more than the whole, is refused."""
    found: dict[str, Decimal] = {}
    seen: set[str] = set()
    for typed, share in constituents.items():
        name = " ".join(typed.split())
        if not name:
            raise Refused("Write the name of each constituent, or leave its row empty.")
        if name.casefold() in seen:
            raise Refused(f"{name} is written twice. Keep the right row.")
        if not 0 < share <= WHOLE:
            raise Refused(
                f"{name} at {plain(share * 100)} % is not above 0 and up to 100 %: "
                "write its share of the fragrance, or leave it out."
            )
        seen.add(name.casefold())
        found[name] = share
    whole = sum(found.values(), Decimal(0))
    if whole > WHOLE:
        raise Refused(
            f"The constituents add up to {plain(whole * 100)} %, more than the whole "
            "fragrance. Look for a wrong decimal point."
        )
    return found
