"""Rows for tests, made through the same deeds as the pages; nothing is random."""

from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from functools import partial
from itertools import count

import pytest
from django.apps import apps
from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group

from production.attachments.actions import attach_file
from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.trials import note_look
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.models import Item, Lot
from production.papers.domain.papers import read_paper
from production.papers.files.attachments import store
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.record.actions.people import MAKER, OWNER
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot, Reading, set_status
from production.workshop.actions.cards import add_item
from tests.once import remembered

DAY = date(2026, 3, 2)
_serial = count(1)


def day(number: int) -> date:
    """A day of March 2026."""
    return date(2026, 3, number)


def owner():
    return _person("ines", OWNER)


def maker():
    return _person("tobias", MAKER)


def _person(name, group):
    user, fresh = get_user_model().objects.get_or_create(username=name)
    if fresh:
        user.groups.add(Group.objects.get_or_create(name=group)[0])
    return user


def item(name="rapeseed oil", **facts):
    known = Item.objects.filter(name=name).first()
    return known or add_item(name=name, **facts)


def koh(purity="0.9", carbonate="0", code="K1", grams="5000", **facts):
    """A lot of potassium hydroxide; purity None leaves it unknown."""
    readings = []
    if purity is not None:
        readings = [
            Reading("purity", Decimal(purity), "stated"),
            Reading("carbonate", Decimal(carbonate), "stated"),
        ]
    kind = item("potassium hydroxide", category="alkali", alkali="KOH")
    return lot(code, grams=grams, item=kind, readings=tuple(readings), **facts)


def lot(
    code="",
    *,
    grams="1000",
    price="10.00",
    item=None,
    on=DAY,
    readings=(),
    expires=None,
    status="",
    **extra,
) -> Lot:
    """A bought lot of one item; ``grams`` are pieces where the item is counted."""
    serial = next(_serial)
    new = NewLot(
        amount=Decimal(grams),
        code=code or f"L{serial:03}",
        expires=expires,
        readings=readings,
        status=status,
    )
    line = NewLine(
        item=item or globals()["item"](),
        lots=[new],
        price=None if price is None else Decimal(price),
    )
    purchase = record_purchase(
        number=f"BUY-{serial}",
        supplier=ensure_supplier("Northmere Oils"),
        lines=[line],
        on=on,
        by=owner(),
        sure=True,
        **extra,
    )
    return purchase.lines.get().lots.get()


def proven(code="", **facts) -> Lot:
    """Soap that was bought, with the supplier's passed check."""
    return lot(code, readings=(check(),), **facts)


def bottles(code="", pieces="50", price="25.00", **facts):
    kind = item("bottle 250", kind="packaging", unit="piece")
    return lot(code, grams=pieces, price=price, item=kind, **facts)


def batch(
    stage="dilution",
    *,
    uses,
    makes="diluted soap",
    amount=None,
    unit="g",
    on=DAY,
    status="released",
    code="",
    net_mass=None,
    tested=True,
    **facts,
) -> Lot:
    """A whole batch in one deed; ``uses`` are pairs of a lot and an amount.

    Without an ``amount`` 900 came out, or all of the grams that went in.
    Where alkali waits for a check, a released one was tested and passed; one that was
    not ``tested`` is only called released, as an earlier book might.
    """
    product = item(makes, kind="made", unit=unit)
    if amount is None:
        poured = sum(Decimal(grams) for lot, grams in uses if lot.item.unit == "g")
        amount = min(poured, Decimal(900)) if unit == "g" else 900
    made = run_batch(
        stage=stage,
        uses=[Use(lot=lot, amount=Decimal(amount)) for lot, amount in uses],
        output=Output(
            amount=Decimal(amount),
            item=product,
            code=code,
            status=status,
            net_mass=None if net_mass is None else Decimal(net_mass),
        ),
        on=on,
        by=owner(),
        **facts,
    )
    if status == "released" and made.statuses.last().status == "quarantine":
        if not tested:
            set_status(made.deed, made, status, on=on)
            return made
        note_measurement(lot=made, readings=[check()], on=on, by=owner())
        if not made.statuses.filter(status="released").exists():
            release_lot(lot=made, on=on, by=owner(), reason="tested")
    return made


def sale(lot, amount="1", *, customer="The Tin Lantern", on=DAY, **facts):
    return sell(
        lines=[NewSaleLine(lot, Decimal(amount), Decimal("9.00"))],
        customer=ensure_customer(customer) if customer else None,
        on=on,
        by=owner(),
        **facts,
    )


def attachment(name="analysis.txt", raw=b"acid value 0.2", **to):
    """A file beside a lot, a batch or a purchase."""
    return attach_file(
        file=read_paper(name, raw), store=partial(store, settings.HOME), **act(), **to
    )


def act(number=2, by=None, **facts):
    """When and by whom, for a deed called directly."""
    return {"on": day(number), "by": by or owner(), **facts}


def book():
    """Every row of the workshop as it stands."""
    return {
        model.__name__: list(model._base_manager.order_by("pk").values_list())
        for model in apps.get_app_config("production").get_models()
        if not model.__name__.startswith("Reference")
    }


@contextmanager
def refused(*says):
    """What happens inside is refused with these words, and writes nothing."""
    before = book()
    with pytest.raises(Refused) as caught:
        yield
    missing = [text for text in says if text not in str(caught.value)]
    assert not missing, f"{missing} not in: {caught.value}"
    assert book() == before


def sent_twice(deed, **facts):
    """The second sending of a form answers with the first result, and adds nothing."""
    facts = {"key": f"form-{next(_serial)}", **facts}
    first = deed(**facts)
    before = book()
    assert deed(**facts) == first
    assert book() == before
    return first


def version(stage="cook", *, name="", makes=None, lines=None, **terms):
    """A recipe; a cook of one oil unless ``lines`` say otherwise."""
    oil = item("rapeseed oil", category="oil")
    return write_version(
        name=name or f"recipe {next(_serial)}",
        stage=stage,
        makes=makes or item("paste", kind="made"),
        lines=lines or [NewVersionLine(oil, share=Decimal(1))],
        **act(1),
        **terms,
    )


@remembered
def cook(
    *, version=None, on=DAY, code="", batch_code="", amount="900", readings=(), **facts
) -> Lot:
    """A cooked paste in quarantine, with the readings of its neutrality if given."""
    oil = lot(grams="1000", on=on, item=item("rapeseed oil", category="oil"))
    lye = koh(grams="500", code="", on=on)
    water = lot(grams="1000", on=on, item=item("distilled water", category="water"))
    into = ((oil, "700"), (lye, "140"), (water, "400"))
    paste = run_batch(
        stage="cook",
        code=batch_code,
        version=version,
        uses=[Use(lot=each, amount=Decimal(grams)) for each, grams in into],
        output=Output(
            amount=Decimal(amount), item=item("paste", kind="made"), code=code
        ),
        on=on,
        by=owner(),
        **facts,
    )
    if readings:
        note_measurement(lot=paste, readings=readings, on=on, by=owner())
    return paste


def check(passed=True):
    """A neutrality check."""
    return Reading("neutrality", passed=passed)


@remembered
def filled(code="", pieces="20", *, on=DAY, status="released", **facts) -> Lot:
    """Bottles of soap, filled in one deed from a lot of diluted soap."""
    soap = proven(grams="10000", on=on, item=item("diluted soap", kind="made"))
    return batch(
        "filling",
        uses=[(soap, "5000"), (bottles(pieces="100", on=on), pieces)],
        makes="hand soap 250",
        unit="piece",
        amount=pieces,
        code=code,
        on=on,
        status=status,
        **facts,
    )


def seen(batch, number=3):
    """A trial that was looked at after a day and measured, so that it is accepted."""
    note_look(batch=batch, look="day", text="stayed clear", **act(number))
    reading = Reading("pH", Decimal("9.6"))
    note_measurement(batch=batch, readings=[reading], **act(number))


def on_hand(lot) -> Decimal:
    return Lot.objects.with_on_hand().get(pk=lot.pk).on_hand
