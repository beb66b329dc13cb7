"""Moving in: a history file is replayed through the same deeds as the pages."""

import hashlib
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction

from production.actions import batches, buying, formulas, sales, statuses, stock
from production.actions.lots import NewLot, Reading
from production.actions.workshop import (
    add_item,
    change_item,
    ensure_customer,
    ensure_item,
    ensure_place,
    ensure_supplier,
    set_up_workshop,
)
from production.domain import history
from production.domain.history import Event
from production.domain.refusal import Refused
from production.models import (
    Batch,
    Deed,
    InciName,
    Item,
    Lot,
    Place,
    Purchase,
    ReferenceOil,
    Sale,
    Version,
    Workshop,
)

CLERK = "history"
ZERO = Decimal(0)


def clerk() -> Any:
    """The inactive user who signs for an imported past; made on first use."""
    user, fresh = get_user_model().objects.get_or_create(
        username=CLERK, defaults={"is_active": False, "is_superuser": True}
    )
    if fresh:
        user.set_unusable_password()
        user.save(update_fields=["password"])
    return user


@transaction.atomic
def import_history(*, text: str, by: Any = None) -> int:
    """Replay a whole file or nothing; the number of events. A second time is noticed."""
    currency, events = history.read(text)
    mark = hashlib.sha256(text.encode()).hexdigest()[:16]
    if Deed.objects.filter(key__startswith=f"history:{mark}:").exists():
        raise Refused("This very file was imported before. Nothing was added.")
    _agree_on_currency(currency)
    by = by or clerk()
    for number, event in enumerate(events, start=1):
        if event.where not in EVENTS:
            raise event.fault("this type of event is not known.")
        event.raw("type")
        act = {"by": by, "key": f"history:{mark}:{number}"}
        try:
            EVENTS[event.where](event, act)
        except Refused as fault:
            if str(fault).startswith(f"Line {event.line}"):
                raise
            raise event.fault(str(fault)) from fault
        event.done()
    return len(events)


def _agree_on_currency(currency: str) -> None:
    workshop = Workshop.objects.first()
    if workshop is None:
        set_up_workshop(name="Workshop", currency=currency)
    elif workshop.currency != currency and Deed.objects.exists():
        raise Refused(
            f"The file is in {currency}, the workshop in {workshop.currency}. "
            "One workshop keeps one currency."
        )
    else:
        set_up_workshop(currency=currency)


def _dated(event: Event, act: dict[str, Any]) -> dict[str, Any]:
    return {**act, "on": event.day("date"), "reason": event.text("reason", "")}


def _lot(event: Event, key: str = "lot") -> Lot:
    code = event.text(key)
    lot = Lot.objects.filter(code=code).select_related("item").first()
    if lot is None:
        raise event.fault(f"there is no lot {code} yet.")
    return lot


def _batch(event: Event) -> Batch:
    code = event.text("batch")
    batch = Batch.objects.filter(code=code).first()
    if batch is None:
        raise event.fault(f"there is no batch {code} yet.")
    return batch


def _place(event: Event, key: str = "place") -> Place | None:
    name = event.words(key)
    return ensure_place(name) if name else None


def _new_lot(event: Event, code: str) -> NewLot:
    constituents = event.raw("constituents", {})
    if not isinstance(constituents, dict):
        raise event.fault("'constituents' is a group in braces.")
    shares = Event(constituents, event.line, f"{event.where}, constituents")
    return NewLot(
        code=code,
        amount=event.number("amount"),
        supplier_lot=event.text("supplier_lot", ""),
        expires=event.maybe_day("expires"),
        net_mass=event.maybe("net_mass"),
        status=event.text("status", "released"),
        constituents={inci: shares.number(inci) for inci in constituents},
    )


def _item_of(event: Event, kind: str) -> Item:
    return ensure_item(
        name=event.text("item"),
        unit=event.text("unit"),
        kind=event.text("kind", kind),
        category=event.text("category", ""),
    )


def _purchase(event: Event, act: dict[str, Any]) -> None:
    extras = []
    for part in event.parts("extra_costs", []):
        extras.append(
            buying.NewExtra(part.text("kind"), part.number("amount"), part.text("by"))
        )
        part.done()
    lines = [_purchase_line(part) for part in event.parts("lines")]
    rate = event.number("rate", Decimal(1))
    buying.record_purchase(
        **_dated(event, act),
        number=event.text("number"),
        supplier=ensure_supplier(event.text("supplier")),
        extra_costs=extras,
        lines=lines,
        ordered=event.maybe_day("ordered"),
        invoiced=event.maybe_day("invoiced"),
        rate=rate,
        place=_place(event),
    )


def _purchase_line(part: Event) -> buying.NewLine:
    price = part.maybe("price")
    facts = {
        "price": price,
        "tax": part.number("tax", ZERO),
        "recoverable_tax": part.number("recoverable_tax", ZERO),
        "shipping_weight": part.maybe("shipping_weight"),
        "text": part.text("text", ""),
    }
    if part.words("item") is None:
        part.done()
        return buying.NewLine(item=None, **facts)
    item = _item_of(part, Item.Kind.MATERIAL)
    if "lots" in part.facts:
        lots = [_line_lot(piece) for piece in part.parts("lots")]
    else:
        lots = [_new_lot(part, part.text("lot"))]
    part.done()
    return buying.NewLine(item=item, lots=lots, **facts)


def _line_lot(piece: Event) -> NewLot:
    new = _new_lot(piece, piece.text("lot"))
    piece.done()
    return new


def _uses(event: Event) -> list[batches.Use]:
    uses = []
    for part in event.parts("uses"):
        amount, place = part.number("amount"), _place(part)
        uses.append(batches.Use(lot=_lot(part), amount=amount, place=place))
        part.done()
    return uses


def _work(event: Event) -> list[batches.NewWork]:
    work = []
    for part in event.parts("work", []):
        work.append(
            batches.NewWork(
                part.text("kind"), part.number("hours"), part.number("rate")
            )
        )
        part.done()
    return work


def _losses(event: Event) -> list[batches.NewLoss]:
    losses = []
    for part in event.parts("losses", []):
        losses.append(batches.NewLoss(part.text("kind"), part.number("amount")))
        part.done()
    return losses


def _output(part: Event) -> batches.Output:
    output = batches.Output(
        item=_item_of(part, Item.Kind.MADE),
        code=part.text("lot"),
        amount=part.number("amount"),
        net_mass=part.maybe("net_mass"),
        expires=part.maybe_day("expires"),
        status=part.text("status", "released"),
        place=_place(part),
    )
    part.done()
    return output


def _run(event: Event, act: dict[str, Any]) -> None:
    """A whole batch of one day, or the start of one that stays open."""
    head = {
        **_dated(event, act),
        "stage": event.text("stage"),
        "code": event.text("code"),
        "version": _version(event),
        "expected": event.maybe("expected"),
        "trial": event.yes("trial"),
    }
    makes = event.part("makes")
    if makes is None:
        batches.start_batch(**head)
        return
    batches.run_batch(
        **head,
        uses=_uses(event),
        output=_output(makes),
        losses=_losses(event),
        work=_work(event),
        override=event.yes("override"),
    )


def _version(event: Event) -> Version | None:
    part = event.part("formula")
    if part is None:
        return None
    name, number = part.text("name"), part.whole("version")
    part.done()
    version = Version.objects.filter(formula__name=name, number=number).first()
    if version is None:
        raise part.fault(f"there is no version {number} of {name} yet.")
    return version


def _use(event: Event, act: dict[str, Any]) -> None:
    batches.use_lots(
        **_dated(event, act),
        batch=_batch(event),
        uses=_uses(event),
        override=event.yes("override"),
    )


def _make(event: Event, act: dict[str, Any]) -> None:
    makes = event.part("makes")
    if makes is None:
        raise event.fault("'makes' is missing.")
    batches.make_lot(**_dated(event, act), batch=_batch(event), output=_output(makes))


def _batch_work(event: Event, act: dict[str, Any]) -> None:
    batches.note_work(**_dated(event, act), batch=_batch(event), work=_work(event))


def _batch_loss(event: Event, act: dict[str, Any]) -> None:
    batches.name_loss(**_dated(event, act), batch=_batch(event), losses=_losses(event))


def _step(event: Event, act: dict[str, Any]) -> None:
    batches.note_step(
        **_dated(event, act), batch=_batch(event), text=event.text("text")
    )


def _promotion(event: Event, act: dict[str, Any]) -> None:
    batches.promote_trial(**_dated(event, act), batch=_batch(event))


def _measurement(event: Event, act: dict[str, Any]) -> None:
    passed = event.raw("passed", None)
    if passed not in (None, True, False):
        raise event.fault("'passed' is true, false or null.")
    reading = Reading(
        what=event.text("what"),
        basis=event.text("basis", "measured"),
        value=event.maybe("value"),
        passed=passed,
        note=event.text("note", ""),
    )
    batches.record_measurement(
        **_dated(event, act),
        lot=_lot(event) if event.words("lot") else None,
        batch=_batch(event) if event.words("batch") else None,
        readings=[reading],
    )


def _sale(event: Event, act: dict[str, Any]) -> None:
    lines = []
    for part in event.parts("lines"):
        lines.append(
            sales.NewSaleLine(
                lot=_lot(part),
                amount=part.number("amount"),
                unit_price=part.maybe("unit_price"),
                place=_place(part),
            )
        )
        part.done()
    customer = event.words("customer")
    sales.sell(
        **_dated(event, act),
        number=event.text("number"),
        channel=event.text("channel", ""),
        customer=ensure_customer(customer) if customer else None,
        lines=lines,
    )


def _return(event: Event, act: dict[str, Any]) -> None:
    number, position = event.text("sale"), event.whole("line")
    sale = Sale.objects.filter(number=number).first()
    line = sale and sale.lines.filter(position=position).first()
    if line is None:
        raise event.fault(f"there is no line {position} of a sale {number} yet.")
    if line.lot != _lot(event):
        raise event.fault(f"{line} sold {line.lot}, not {event.text('lot')}.")
    sales.take_back(
        **_dated(event, act),
        number=event.text("number"),
        line=line,
        amount=event.number("amount"),
        then=event.text("then"),
        place=_place(event),
    )


def _loss(event: Event, act: dict[str, Any]) -> None:
    stock.discard(
        **_dated(event, act),
        lot=_lot(event),
        amount=event.number("amount"),
        place=_place(event),
    )


def _count(event: Event, act: dict[str, Any]) -> None:
    stock.count_lot(
        **_dated(event, act),
        lot=_lot(event),
        difference=event.number("difference"),
        place=_place(event),
    )


def _reweigh(event: Event, act: dict[str, Any]) -> None:
    stock.reweigh_lot(
        **_dated(event, act),
        lot=_lot(event),
        difference=event.number("difference"),
        place=_place(event),
    )


def _given(event: Event, act: dict[str, Any]) -> None:
    stock.give(
        **_dated(event, act),
        lot=_lot(event),
        amount=event.number("amount"),
        why=event.text("why"),
        recipient=event.text("recipient", ""),
        place=_place(event),
    )


def _move(event: Event, act: dict[str, Any]) -> None:
    stock.move_lot(
        **_dated(event, act),
        lot=_lot(event),
        amount=event.number("amount"),
        place=_place(event, "from"),
        to=ensure_place(event.text("to")),
    )


def _status(event: Event, act: dict[str, Any]) -> None:
    statuses.record_status(
        **_dated(event, act), lot=_lot(event), status=event.text("status")
    )


def _opening(event: Event, act: dict[str, Any]) -> None:
    buying.open_stock(
        **_dated(event, act),
        item=_item_of(event, Item.Kind.MATERIAL),
        lot=_new_lot(event, event.text("lot")),
        value=event.maybe("value"),
        place=_place(event),
    )


def _tap(event: Event, act: dict[str, Any]) -> None:
    buying.receive_from_tap(
        **_dated(event, act),
        item=ensure_item(name=event.text("item"), unit="g", kind=Item.Kind.MATERIAL),
        code=event.text("lot"),
        amount=event.number("amount"),
        value=event.number("value"),
    )


def _purchase_of(event: Event) -> Purchase:
    number = event.text("purchase")
    purchase = Purchase.objects.filter(number=number).first()
    if purchase is None:
        raise event.fault(f"there is no purchase {number} yet.")
    return purchase


def _price(event: Event, act: dict[str, Any]) -> None:
    position = event.whole("line")
    line = _purchase_of(event).lines.filter(position=position).first()
    if line is None:
        raise event.fault(f"the purchase has no line {position}.")
    buying.price_line(
        **_dated(event, act),
        line=line,
        price=event.number("price"),
        tax=event.number("tax", ZERO),
        recoverable_tax=event.number("recoverable_tax", ZERO),
    )


def _extra_cost(event: Event, act: dict[str, Any]) -> None:
    buying.add_extra_cost(
        **_dated(event, act),
        purchase=_purchase_of(event),
        kind=event.text("kind"),
        amount=event.number("amount"),
        by_basis=event.text("by"),
        invoiced=event.maybe_day("invoiced"),
    )


def _closing(event: Event, act: dict[str, Any]) -> None:
    stock.close_book(**_dated(event, act), through=event.day("through"))


def _formula(event: Event, act: dict[str, Any]) -> None:
    lines = []
    for part in event.parts("lines"):
        item = Item.objects.filter(name=part.text("item")).first()
        if item is None:
            raise part.fault(f"there is no item {part.text('item')} yet.")
        lines.append(
            formulas.NewVersionLine(item, part.maybe("share"), part.maybe("each"))
        )
        part.done()
    makes = Item.objects.filter(name=event.text("makes")).first()
    if makes is None:
        raise event.fault(f"there is no item {event.text('makes')} yet.")
    terms = event.part("terms")
    formulas.write_version(
        **_dated(event, act),
        name=event.text("name"),
        stage=event.text("stage"),
        makes=makes,
        lines=lines,
        **(_terms(terms) if terms else {}),
    )


def _terms(part: Event) -> dict[str, Any]:
    readers: dict[str, Callable[[str], Any]] = {
        "release": part.text,
        "steps": part.text,
        "rest_days": part.whole,
        "shelf_days": part.whole,
    }
    terms = {key: readers.get(key, part.number)(key) for key in part.facts}
    part.done()
    return terms


def _item(event: Event, act: dict[str, Any]) -> None:
    facts: dict[str, Any] = {}
    for key in ("category", "alkali", "acid", "own_inci", "own_potassium_soap"):
        if key in event.facts:
            facts[key] = event.text(key)
    for key in ("needs_check", "on_tap"):
        if key in event.facts:
            facts[key] = event.yes(key)
    for key in ("density", "tap_price"):
        if key in event.facts:
            facts[key] = event.maybe(key)
    for key, model in (("oil", ReferenceOil), ("name_on_label", InciName)):
        if key in event.facts:
            slug = event.words(key)
            facts[key] = model.objects.filter(key=slug).first() if slug else None
            if slug and facts[key] is None:
                raise event.fault(f"{key!r} {slug!r} is in no published table.")
    name, unit, kind = event.text("name"), event.text("unit"), event.text("kind")
    known = Item.objects.filter(name=name).first()
    if known is None:
        add_item(name=name, unit=unit, kind=kind, **facts)
    else:
        change_item(item=known, unit=unit, kind=kind, **facts)


def _workshop(event: Event, act: dict[str, Any]) -> None:
    keys = (
        "name",
        "address",
        "contact",
        "zone",
        "units",
        "paper",
        "domain",
        "emergency",
    )
    set_up_workshop(**{key: event.text(key) for key in keys if key in event.facts})


def _party(event: Event, act: dict[str, Any]) -> None:
    ensure = {"supplier": ensure_supplier, "customer": ensure_customer}
    role = event.text("role")
    if role not in ensure:
        raise event.fault("'role' is supplier or customer.")
    row = ensure[role](event.text("name"))
    row.contact = event.text("contact", "")
    row.save(update_fields=["contact"])


EVENTS: dict[str, Callable[[Event, dict[str, Any]], None]] = {
    "workshop": _workshop,
    "party": _party,
    "item": _item,
    "formula": _formula,
    "opening": _opening,
    "purchase": _purchase,
    "price": _price,
    "extra_cost": _extra_cost,
    "tap": _tap,
    "batch": _run,
    "use": _use,
    "work": _batch_work,
    "batch_loss": _batch_loss,
    "step": _step,
    "make": _make,
    "promotion": _promotion,
    "measurement": _measurement,
    "status": _status,
    "count": _count,
    "reweigh": _reweigh,
    "given": _given,
    "move": _move,
    "sale": _sale,
    "return": _return,
    "loss": _loss,
    "closing": _closing,
}
