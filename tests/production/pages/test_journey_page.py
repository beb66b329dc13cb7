"""The whole way in a browser without scripts: bought, cooked, filled, sold, traced."""

from datetime import timedelta

import pytest
from django.urls import reverse

from production.buying.actions.suppliers import ensure_supplier
from production.models import (
    Batch,
    Deed,
    Item,
    Lot,
    Purchase,
    ReferenceOil,
    Sale,
    Version,
)
from production.record.reads.clock import today
from production.selling.actions.customers import ensure_customer
from tests import make
from tests.production.writing import check, fill, typed

DAY = "2026-03-02"


def items(desk):
    for name, facts in {
        "olive oil": {"category": "oil"},
        "potassium hydroxide": {"category": "alkali", "alkali": "KOH"},
        "tap water": {"category": "water", "on_tap": "on"},
        "bottle 250": {"kind": "packaging", "unit": "piece"},
        "paste": {"kind": "made"},
        "diluted soap": {"kind": "made"},
        "hand wash": {"kind": "made", "unit": "piece"},
    }.items():
        fill(desk, reverse("item-add"), name=name, **facts)
    olive = Item.objects.get(name="olive oil")
    olive.oil = ReferenceOil.objects.filter(name__icontains="olive").first()
    olive.save(update_fields=["oil"])
    return {item.name: item.pk for item in Item.objects.all()}


def buy(desk, pk):
    fill(desk, reverse("supplier-add"), name="Northmere Oils")
    supplier = str(ensure_supplier("Northmere Oils").pk)
    fill(
        desk,
        reverse("purchase-record"),
        supplier=supplier,
        number="PO-7",
        on=DAY,
        lines__0__item=pk["olive oil"],
        lines__0__amount="35 lb",
        lines__0__price="78.50",
        lines__0__code="OIL-1",
        lines__1__item=pk["potassium hydroxide"],
        lines__1__amount="5 kg",
        lines__1__purity="89.9",
        lines__1__code="KOH-1",
        lines__2__item=pk["bottle 250"],
        lines__2__amount="40",
        lines__2__price="31.20",
        lines__2__code="BOT-1",
        extra_costs__0__amount="64.80",
    )


def recipe(desk, pk):
    url = f"{reverse('recipe-write')}?stage=cook"
    fill(
        desk,
        url,
        name="Tideline",
        makes=pk["paste"],
        superfat="2",
        water_per_alkali="2.2",
        rest_days="0",
        lines__0__item=pk["olive oil"],
        lines__0__share="100",
        on=DAY,
    )
    return Version.objects.get()


@pytest.fixture
def stocked(desk):
    pk = items(desk)
    buy(desk, pk)
    return pk


def test_the_whole_way_from_a_purchase_to_a_trace(desk, stocked):
    pk, version = stocked, recipe(desk, stocked)
    cook = reverse("batch-run", args=["cook"])
    cook += f"?version={version.pk}&oils=6+kg&alkali_lot=KOH-1"
    read = {"uses__2__read": "potassium hydroxide, 89.9 %, lot KOH-1"}
    read |= {"uses__2__amount": "1240 g"}
    fill(desk, cook, amount="9.9 kg", on=DAY, lot_code="PASTE-1", **read)
    paste = Lot.objects.get(code="PASTE-1")
    used = {row.lot.item.name: -row.amount for row in paste.batch.movements.all()}
    assert used["olive oil"] == 6000
    assert 1200 < used["potassium hydroxide"] < 1400
    measure = reverse("lot-measure", args=["PASTE-1"])
    check(desk, measure, on=DAY)
    fill(desk, measure, what="soap content", value="64", on=DAY)
    fill(desk, reverse("lot-release", args=["PASTE-1"]), on=DAY)

    thin = reverse("batch-run", args=["dilution"])
    thin += "?version=&paste=PASTE-1&amount=5+kg&target=20"
    fill(desk, thin, amount="16 kg", item=pk["diluted soap"], on=DAY, lot_code="THIN-1")
    assert (
        Lot.objects.get(code="THIN-1").batch.movements.filter(kind="used").count() == 2
    )

    fill(
        desk,
        reverse("batch-run", args=["filling"]),
        uses__0__lot="THIN-1",
        uses__0__amount="245*40",
        uses__1__lot="BOT-1",
        uses__1__amount="40",
        item=pk["hand wash"],
        amount="40",
        net_mass="245 g",
        lot_code="FILL-1",
        on=DAY,
    )
    fill(desk, reverse("lot-release", args=["FILL-1"]), on=DAY)
    fill(desk, reverse("customer-add"), name="The Tin Lantern")
    customer = ensure_customer("The Tin Lantern").pk
    fill(
        desk,
        reverse("sale-sell"),
        customer=customer,
        lines__0__lot="FILL-1",
        lines__0__amount="12",
        lines__0__unit_price="7.00",
        on=DAY,
    )
    assert Sale.objects.get().lines.get().amount == 12
    page = desk.get(reverse("trace"), {"lot": "OIL-1"}).content.decode()
    for word in ("PASTE-1", "THIN-1", "FILL-1", "The Tin Lantern"):
        assert word in page


def test_a_double_click_posts_once(desk, stocked):
    sent = typed(desk.get(reverse("sale-sell")))
    lot = make.lot("L1", item=make.item("brush", unit="piece", category="additive"))
    sent |= {"channel": "stall", "lines-0-lot": "L1", "lines-0-amount": "3", "on": DAY}
    first = desk.post(reverse("sale-sell"), sent)
    second = desk.post(reverse("sale-sell"), sent)
    assert first.status_code == second.status_code == 302
    assert first.url == second.url
    assert Sale.objects.count() == 1
    assert Lot.objects.with_on_hand().get(pk=lot.pk).on_hand == 997


def test_a_refusal_keeps_what_was_typed_and_writes_nothing(desk, stocked):
    sent = typed(desk.get(reverse("sale-sell")))
    make.lot(
        "L1", grams="5", item=make.item("brush", unit="piece", category="additive")
    )
    deeds = Deed.objects.count()
    sent |= {"channel": "stall", "lines-0-lot": "L1", "lines-0-amount": "6", "on": DAY}
    answer = desk.post(reverse("sale-sell"), sent)
    page = answer.content.decode()
    assert "Only 5 pieces of L1" in page
    assert 'value="stall"' in page
    assert 'name="lines-0-amount" value="6"' in page
    assert f'value="{sent["key"]}"' in page
    assert Deed.objects.count() == deeds


def test_add_rows_keeps_what_was_typed_without_a_script(desk, stocked):
    sent = typed(desk.get(reverse("purchase-record")))
    sent |= {"lines-0-amount": "2 lb 3 oz", "add-lines": "4"}
    answer = desk.post(reverse("purchase-record"), sent)
    page = answer.content.decode()
    assert 'value="2 lb 3 oz"' in page
    assert "lines-7-item" in page
    assert "lines-8-item" not in page
    assert "errorlist" not in page
    assert Purchase.objects.count() == 1


def test_a_day_to_come_is_refused(desk, stocked):
    sent = typed(desk.get(reverse("batch-start")))
    sent |= {"stage": "cook", "on": str(today() + timedelta(days=1))}
    answer = desk.post(reverse("batch-start"), sent)
    assert "is still to come" in answer.content.decode()
    assert not Batch.objects.exists()
