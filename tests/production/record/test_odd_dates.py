"""The book holds what has happened, and asks where a year was mistyped.

A maker writes 2062 for 2026, or a best before of last year on a drum that came today.
A deed of tomorrow is refused wherever it comes from; an odd date on goods or on a paper
is asked about once, and a past that is taken in from a file is not.
"""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import NewLine, open_stock, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.entries import correct_movement
from production.counting.actions import count_lot
from production.exchange.actions.replaying import import_history
from production.models import Lot, Purchase
from production.quantities.domain.refusal import Doubted
from production.record.domain.odd_dates import later, odd_expiry, odd_paper
from production.record.reads.clock import today, told_by
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.make import act, day
from tests.production.history_cases import file_of
from tests.production.writing import typed

pytestmark = pytest.mark.django_db
CAME = date(2026, 3, 2)


def buy(expires=None, **facts):
    new = NewLot(Decimal(1000), expires=expires)
    line = NewLine(make.item(category="oil"), [new])
    house = ensure_supplier("Northmere Oils")
    return record_purchase(supplier=house, lines=[line], **act(), **facts)


class TestStillToCome:
    def test_no_deed_is_dated_tomorrow(self):
        soap, tomorrow = make.filled(), today() + timedelta(days=1)
        with make.refused("is still to come"):
            count_lot(lot=soap, found=Decimal(1), on=tomorrow, by=make.owner())
        count_lot(lot=soap, found=Decimal(20), on=today(), by=make.owner())

    def test_no_entry_is_moved_there(self):
        lot, tomorrow = make.lot(), today() + timedelta(days=1)
        entry = lot.movements.get()
        with make.refused("is still to come"):
            correct_movement(
                movement=entry,
                amount=Decimal(1000),
                moved_to=tomorrow,
                **act(reason="typed"),
            )

    def test_a_file_carries_no_future(self):
        event = {"type": "opening", "date": "2999-01-01", "lot": "R1", "amount": "5"}
        event |= {"item": "rapeseed oil", "unit": "g", "value": "3"}
        with make.refused("Line 2", "2999-01-01 is still to come"):
            import_history(text=file_of([event]))

    def test_an_invented_year_is_told_on_any_clock(self):
        far = today() + timedelta(days=90)
        with told_by(far):
            assert today() == far
        assert today() < far


@pytest.mark.parametrize(
    ("expires", "odd"),
    [
        (None, False),
        (CAME, False),
        (date(2036, 3, 2), False),
        (date(2026, 3, 1), True),
        (date(2062, 3, 2), True),
    ],
)
def test_an_expiry_is_asked_about(expires, odd):
    assert bool(odd_expiry(expires, CAME)) is odd
    if odd:
        with pytest.raises(Doubted, match="Is the year right"):
            buy(expires)
        assert buy(expires, sure=True)
    else:
        assert buy(expires)


@pytest.mark.parametrize(
    ("what", "on", "says"),
    [
        ("ordered", date(2026, 2, 2), ""),
        ("ordered", date(2026, 3, 3), "after it came"),
        ("ordered", date(2016, 3, 1), "two years before"),
        ("invoiced", date(2026, 4, 2), ""),
        ("invoiced", date(2062, 3, 2), "still to come"),
        ("invoiced", date(2020, 3, 2), "two years before"),
    ],
)
def test_the_day_of_a_paper_is_asked_about(what, on, says):
    found = odd_paper(what, on, CAME, today())
    assert says in found
    assert bool(found) is bool(says)
    if says:
        with pytest.raises(Doubted, match=says):
            buy(**{what: on})
    assert buy(**{what: on}, sure=True)


def test_a_leap_day_has_its_year():
    assert later(date(2028, 2, 29), 10) == date(2038, 2, 28)


def test_a_batch_is_asked_about_its_best_before():
    soap = make.proven(grams="900", item=make.item("diluted soap", kind="made"))

    def made(**facts):
        out = Output(
            Decimal(900), make.item("finished", kind="made"), expires=day(1), **facts
        )
        uses = [Use(lot=soap, amount=Decimal(900))]
        return run_batch(stage="finishing", uses=uses, output=out, **act())

    with pytest.raises(Doubted, match="before it was made on 2026-03-02"):
        made()
    assert made(sure=True).expires == day(1)


def test_opening_stock_may_have_expired_by_then():
    old = NewLot(Decimal(5), expires=day(1))
    assert open_stock(item=make.item(), lot=old, **act())
    far = NewLot(Decimal(5), expires=date(2126, 3, 1))
    with pytest.raises(Doubted, match="more than ten years"):
        open_stock(item=make.item(), lot=far, **act())


def test_a_past_is_not_asked():
    event = {"type": "opening", "date": "2026-03-02", "lot": "R1", "amount": "5"}
    event |= {"item": "rapeseed oil", "unit": "g", "value": "3"}
    import_history(text=file_of([event | {"expires": "2062-01-01"}]))
    assert Lot.objects.get().expires.year == 2062


def test_the_page_asks_with_a_tick_and_keeps_what_was_typed(desk):
    oil = make.item(category="oil")
    house = ensure_supplier("Northmere Oils")
    url = reverse("purchase-record")
    sent = typed(desk.get(url)) | {
        "supplier": house.pk,
        "on": "2026-03-02",
        "lines-0-item": oil.pk,
        "lines-0-amount": "5 kg",
        "lines-0-expires": "2062-06-30",
    }
    page = desk.post(url, sent).content.decode()
    assert "Is the year right?" in page
    assert "2062-06-30" in page
    assert 'type="checkbox" name="confirmed"' in page
    assert not Purchase.objects.exists()
    assert desk.post(url, sent | {"confirmed": "on"}).status_code == 302
    assert Lot.objects.get().expires == date(2062, 6, 30)
