"""Several people at once: nothing is taken twice, and no paper gets a twin."""

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection, connections

from config.audit import audit
from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.correcting.actions.entries import reverse_movement
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import discard
from production.models import Deed, Lot, Sale
from production.quantities.domain.codes import is_valid
from production.quantities.domain.refusal import Refused
from production.record.domain.text import write
from production.release.actions.statuses import hold_lot
from production.selling.actions import sales as deeds
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine
from production.stock.actions.opening_lots import NewLot
from tests import make

pytestmark = pytest.mark.django_db(transaction=True)
SLOW = 60


@pytest.fixture(autouse=True)
def shared(transactional_db, tmp_path):
    """A database that threads can share: SQLite's in memory knows no waiting."""
    if connection.vendor != "sqlite":
        yield
        return
    settings, kept = connection.settings_dict, connection.connection
    name = settings["NAME"]
    path = tmp_path / "shared.sqlite3"
    with closing(sqlite3.connect(path)) as copy:
        kept.backup(copy)
    settings["NAME"], connection.connection = path, None
    yield
    connection.close()
    settings["NAME"], connection.connection = name, kept


def at_once(*acts):
    """Let every act begin at the same moment; what each gave, or how it was refused."""
    gate = Barrier(len(acts))

    def run(act):
        try:
            gate.wait(SLOW)
            return act()
        except Refused as fault:
            return fault
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def the_laws_hold():
    assert [fault for finding in audit() for fault in finding.faults] == []


def refusals(found):
    return [str(one) for one in found if isinstance(one, Refused)]


def test_twelve_hands_take_300_g_of_1000_g_and_three_get_it():
    lot, mix = make.lot("OIL", grams="1000"), make.item("mix", kind="made")
    by = make.owner()

    def take():
        return run_batch(
            stage="preparation",
            uses=[Use(Decimal(300), Lot.objects.get(code="OIL"))],
            output=Output(Decimal(300), mix),
            **make.act(3, by=by),
        )

    found = at_once(*[take] * 12)
    refused = refusals(found)
    assert len(refused) == 9
    assert all(text.startswith("Only 100 g of OIL are on hand") for text in refused)
    assert make.on_hand(lot) == 100
    codes = {lot.code for lot in found if isinstance(lot, Lot)}
    assert len(codes) == 3
    the_laws_hold()


def test_one_form_sent_eight_times_at_once_is_one_deed():
    lot, by = make.lot("OIL", grams="1000"), make.owner()
    customer = ensure_customer("Ada")

    def sell():
        return deeds.sell(
            lines=[NewSaleLine(lot, Decimal(10))],
            customer=customer,
            key="form-1",
            **make.act(3, by=by),
        )

    found = at_once(*[sell] * 8)
    assert refusals(found) == []
    assert len({sale.pk for sale in found}) == 1
    assert Sale.objects.count() == 1
    assert Deed.objects.filter(key="form-1").count() == 1
    assert make.on_hand(lot) == 990
    the_laws_hold()


def test_codes_and_numbers_that_are_issued_at_once_are_all_different():
    by = make.owner()
    item, supplier = make.item(), ensure_supplier("Northmere Oils")

    def buy():
        lots = [NewLot(Decimal(10)), NewLot(Decimal(20))]
        line = NewLine(item, lots, price=Decimal(1))
        act = make.act(3, by=by)
        return record_purchase(supplier=supplier, lines=[line], **act)

    found = at_once(*[buy] * 6)
    assert refusals(found) == []
    assert len({purchase.number for purchase in found}) == 6
    codes = list(Lot.objects.values_list("code", flat=True))
    assert len(set(codes)) == 12
    assert all(is_valid(code) for code in codes)


def test_a_sale_and_a_hold_at_once_leave_a_book_that_can_be_told():
    """Either the sale came first, or the hold did and the sale was refused."""
    lots = [make.lot(f"L{number}") for number in range(4)]
    by = make.owner()

    def sell(lot):
        lines = [NewSaleLine(lot, Decimal(10))]
        return lambda: deeds.sell(lines=lines, channel="stall", **make.act(3, by=by))

    def hold(lot):
        return lambda: hold_lot(lot=lot, **make.act(3, by=by, reason="odd"))

    acts = [act for lot in lots for act in (sell(lot), hold(lot))]
    found = at_once(*acts)
    assert all("is held" in text for text in refusals(found))
    assert set(Lot.objects.with_status().values_list("status", flat=True)) == {"held"}
    the_laws_hold()
    past = write("USD", history_events())
    for lot in lots:
        sold = lot.movements.filter(kind="sold").first()
        held = lot.statuses.get(status="held")
        assert sold is None or sold.deed_id < held.deed_id
    assert '"held"' in past


def test_a_deed_and_a_closing_at_once_never_leave_an_entry_in_a_closed_month():
    lot, by = make.lot("OIL"), make.owner()

    def spill():
        act = make.act(10, by=by, reason="spill")
        return discard(lot=lot, amount=Decimal(1), **act)

    def close():
        act = make.act(11, by=by)
        return close_book(through=make.day(10), past=True, **act)

    found = at_once(spill, close, spill, spill)
    closing = Deed.objects.get(verb="close the book")
    assert not Deed.objects.filter(on=make.day(10), pk__gt=closing.pk).exists()
    assert all("closed through" in text for text in refusals(found))
    the_laws_hold()


def test_one_entry_taken_back_by_two_at_once_is_taken_back_once():
    lot, by = make.lot("OIL"), make.owner()
    act = make.act(10, by=by, reason="spill")
    discard(lot=lot, amount=Decimal(100), **act)
    entry = lot.movements.get(kind="discarded")

    def take_back():
        act = make.act(11, by=by, reason="it was not spilt")
        return reverse_movement(movement=entry, **act)

    found = at_once(*[take_back] * 4)
    assert len(refusals(found)) == 3
    assert make.on_hand(lot) == 1000
    the_laws_hold()


def test_the_same_history_sent_twice_at_once_moves_in_once():
    opening = {
        "type": "opening",
        "date": "2026-01-02",
        "lot": "O1",
        "item": "olive oil",
        "amount": "4000",
        "unit": "g",
        "value": "20",
    }
    text = write("USD", [opening])
    found = at_once(*[lambda: import_history(text=text)] * 3)
    assert sorted(map(str, found))[0] == "1"
    assert len(refusals(found)) == 2
    assert make.on_hand(Lot.objects.get()) == 4000
