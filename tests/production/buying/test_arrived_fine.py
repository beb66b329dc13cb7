"""The look on arrival: one button releases what waits, what failed is held."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.buying.actions.arrivals import arrive_fine
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.models import Lot, Measurement, Purchase
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot
from production.stock.actions.opening_lots import NewLot, Reading
from tests import make
from tests.make import act, refused, sent_twice

pytestmark = pytest.mark.django_db


def bought():
    """An order of two lots of an alkali that wait, and oil that does not."""
    lye = make.item("lye flakes", category="alkali", alkali="KOH", needs_check=True)
    tubs = [NewLot(amount=Decimal(900), code=code) for code in ("T1", "T2")]
    oil = NewLot(amount=Decimal(500), code="OIL")
    return record_purchase(
        supplier=ensure_supplier("Northmere Oils"),
        lines=[
            NewLine(item=lye, lots=tubs),
            NewLine(item=make.item(), lots=[oil]),
        ],
        **act(2),
    )


def words():
    return dict(Lot.objects.with_status().values_list("code", "status"))


def lot(code):
    return Lot.objects.get(code=code)


def test_what_waits_is_released_and_the_check_is_in_the_book():
    purchase = bought()
    assert words() == {"T1": "quarantine", "T2": "quarantine", "OIL": "released"}
    sent_twice(arrive_fine, purchase=purchase, **act(3, by=make.maker()))
    assert set(words().values()) == {"released"}
    checks = Measurement.objects.filter(passed=True)
    assert sorted(row.lot.code for row in checks) == ["T1", "T2"]


def test_what_is_not_fine_is_held_with_its_reason():
    purchase = bought()
    with refused("Write the reason for holding what did not arrive fine"):
        arrive_fine(purchase=purchase, failed=[lot("T2")], **act(3))
    torn = {"reason": "lid cracked, flakes damp"}
    arrive_fine(purchase=purchase, failed=[lot("T2")], **torn, **act(3))
    assert (words()["T1"], words()["T2"]) == ("released", "held")
    failed = Measurement.objects.get(passed=False)
    assert (failed.lot.code, failed.note) == ("T2", "lid cracked, flakes damp")


def test_a_failed_check_on_file_holds_the_lot():
    purchase = bought()
    bad = Reading("clarity", passed=False)
    note_measurement(lot=lot("T1"), readings=[bad], **act(2))
    arrive_fine(purchase=purchase, **act(3))
    assert (words()["T1"], words()["T2"]) == ("held", "released")


def test_a_check_that_was_passed_in_the_end_does_not_hold_it():
    purchase = bought()
    for passed in (False, True):
        reading = Reading("clarity", passed=passed)
        note_measurement(lot=lot("T1"), readings=[reading], **act(2))
    arrive_fine(purchase=purchase, **act(3))
    assert words()["T1"] == "released"


def test_nothing_waits_a_second_time():
    purchase = bought()
    arrive_fine(purchase=purchase, **act(3))
    with refused("No lot of", "waits for its check on 2026-03-03"):
        arrive_fine(purchase=purchase, **act(3))


def test_not_before_it_came():
    purchase = bought()
    with refused("waits for its check on 2026-03-01"):
        arrive_fine(purchase=purchase, **act(1))


def test_a_lot_held_on_its_own_is_left_alone():
    purchase = bought()
    hold_lot(lot=lot("T1"), reason="wrong label", **act(2))
    arrive_fine(purchase=purchase, **act(3))
    assert (words()["T1"], words()["T2"]) == ("held", "released")


def test_one_press_on_the_paper_releases_all(desk):
    purchase = bought()
    page = desk.get(purchase.get_absolute_url())
    assert "<button>Arrived fine</button>" in page.content.decode()
    sent = {"key": page.context["arrived"]["key"].value()}
    for _ in range(2):
        answer = desk.post(reverse("purchase-arrived", args=[purchase.pk]), sent)
        assert answer.url == purchase.get_absolute_url()
    assert set(words().values()) == {"released"}
    assert Measurement.objects.filter(passed=True).count() == 2
    after = desk.get(purchase.get_absolute_url()).content.decode()
    assert "Arrived fine" not in after


def test_one_that_is_not_fine_is_ticked_on_its_page(desk):
    purchase = bought()
    url = reverse("purchase-arrived", args=[purchase.pk])
    good = {"failed": str(lot("T2").pk), "reason": "damp", "on": "2026-03-03"}
    bad = {"reason": ""}
    sent = {"key": "k1"} | good
    refused_page = desk.post(url, sent | bad).content.decode()
    assert "Say what is wrong with it." in refused_page
    assert "checked" in refused_page
    assert set(words().values()) == {"quarantine", "released"}
    assert desk.post(url, sent).status_code == 302
    assert (words()["T1"], words()["T2"]) == ("released", "held")


def test_the_page_of_a_purchase_where_nothing_waits(desk):
    make.lot("L1")
    purchase = Purchase.objects.get()
    assert "Arrived fine" not in desk.get(purchase.get_absolute_url()).content.decode()
    url = reverse("purchase-arrived", args=[purchase.pk])
    assert "No lot of it waits" in desk.get(url).content.decode()


def test_a_refusal_keeps_what_was_typed_and_writes_nothing(desk):
    purchase = bought()
    url = reverse("purchase-arrived", args=[purchase.pk])
    sent = {"key": "k1", "on": "2026-03-01", "reason": "late"}
    page = desk.post(url, sent).content.decode()
    assert "waits for its check on 2026-03-01" in page
    assert 'value="k1"' in page
    assert 'value="2026-03-01"' in page
    assert "late</textarea>" in page
    assert set(words().values()) == {"quarantine", "released"}
