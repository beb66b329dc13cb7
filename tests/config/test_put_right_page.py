"""Putting a figure right on its page.

A maker finds "put right" beside the figure, sees the figure as it stood and as it is
from now on, and what it changes in money, in grams and in the pot, before anything is
written; then the same again once it is.
"""

import re
from decimal import Decimal as D

import pytest
from django.urls import reverse

from config.consequences import lots_of
from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.models import (
    Batch,
    Deed,
    ExtraCost,
    Given,
    Loss,
    Lot,
    Measurement,
    Purchase,
    Restated,
    Sale,
    SaleLine,
    Work,
)
from production.record.reads.restated import OF
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.make import act
from tests.production.correcting.typed_workshop import FINDS, kind_of, typed
from tests.production.writing import typed as boxes

pytestmark = pytest.mark.django_db


def words(page):
    text = re.sub(r"<[^>]*>", " ", page.content.decode())
    return " ".join(text.split())


def page_for(of, row):
    return reverse("put-right", args=[of.replace(" ", "-"), row.pk])


def looked(desk, url, **facts):
    """The page after the look, nothing written."""
    sent = {**boxes(desk.get(url)), "reason": "mistyped", **facts}
    return desk.post(url, sent)


def written(desk, url, **facts):
    page = looked(desk, url, **facts)
    return desk.post(url, boxes(page), follow=True)


def test_the_way_there_stands_beside_each_figure(desk):
    typed()
    soap, paste = Lot.objects.get(code="SOAP"), Lot.objects.get(code="PASTE")
    bought = Purchase.objects.get()
    seen = {
        bought.get_absolute_url(): [
            ("purchase", bought),
            ("line", bought.lines.first()),
            ("extra cost", ExtraCost.objects.get()),
        ],
        Lot.objects.get(code="OIL").get_absolute_url(): [
            ("lot", Lot.objects.get(code="OIL")),
            ("reading", Measurement.objects.get(what="saponification value")),
        ],
        Lot.objects.get(code="KOH").get_absolute_url(): [("entry", FINDS["entry"]())],
        soap.get_absolute_url(): [("given", Given.objects.get())],
        paste.batch.get_absolute_url(): [
            ("batch", paste.batch),
            ("work", Work.objects.get()),
            ("loss", Loss.objects.get()),
        ],
        Sale.objects.get().get_absolute_url(): [
            ("sale", Sale.objects.get()),
            ("sale line", SaleLine.objects.get()),
        ],
    }
    for url, things in seen.items():
        page = desk.get(url).content.decode()
        for of, row in things:
            assert f'href="{page_for(of, row)}"' in page, (url, of)


@pytest.mark.parametrize("of", FINDS)
def test_each_page_opens_with_the_figures_that_stand(desk, of):
    typed()
    page = desk.get(page_for(kind_of(of), FINDS[of]()))
    assert page.status_code == 200
    assert "Put right" in words(page)


@pytest.mark.parametrize("of", FINDS)
def test_each_page_asks_only_what_can_be_put_right(desk, of):
    typed()
    page = looked(desk, page_for(kind_of(of), FINDS[of]()))
    assert "It stands so already" in words(page)


def test_20_grams_spilt_for_40(desk):
    typed(spill=D(40))
    url = page_for("loss", Loss.objects.get())
    assert "Call it otherwise" in words(desk.get(url))
    assert "amount: 20 (before: 40)" in words(written(desk, url, amount="20"))


def test_freight_of_180_for_18(desk):
    """Two of the bottles are sold: what they cost is said in money."""
    typed(extra=D(180))
    url = page_for("extra cost", ExtraCost.objects.get())
    page = looked(desk, url, amount="18")
    assert not Restated.objects.exists()
    says = words(page)
    assert "Amount 180 18" in says
    assert "soap 250 SOAP" in says
    assert "2 pcs" in says
    assert "Value of goods sold" in says
    assert "Nothing is written yet" in says
    done = desk.post(url, boxes(page), follow=True)
    assert ExtraCost.objects.get().amount == 180
    assert Restated.objects.get().value == "18"
    after = words(done)
    assert "amount: 18 (before: 180)" in after
    for figure in re.findall(r"Value of [a-z ,]+ [\d.]+ (?:more|less)", says):
        assert figure in after


def test_what_was_looked_at_is_what_is_written(desk):
    typed()
    url = page_for("work", Work.objects.get())
    page = looked(desk, url, hours="3")
    again = desk.post(url, {**boxes(page), "hours": "4"})
    assert again.status_code == 200
    assert not Restated.objects.exists()
    assert "Hours 2.5 4" in words(again)


def test_a_refusal_stands_on_the_form_and_keeps_what_was_typed(desk):
    typed()
    url = page_for("batch", Batch.objects.get(code="C-1"))
    page = looked(desk, url, started="2026-03-04")
    assert "has an entry of 2026-03-03" in words(page)
    assert boxes(page)["started"] == "2026-03-04"
    page = looked(desk, url, started="2026-03-02", reason="")
    assert "Nothing is written yet" in words(page)


def test_sent_twice_it_is_written_once(desk):
    typed()
    url = page_for("sale line", SaleLine.objects.get())
    page = looked(desk, url, unit_price="8")
    sent = boxes(page)
    assert desk.post(url, sent).status_code == 302
    assert desk.post(url, sent).status_code == 302
    assert Restated.objects.count() == 1
    other = desk.post(url, {**sent, "unit_price": "7"})
    assert "sent already, with other figures" in words(other)
    assert Restated.objects.count() == 1
    assert "Taken in with S-9 line 1: 19.00, from now on 16.00" in words(page)


def test_a_doubted_value_asks_for_the_paper(desk):
    typed()
    url = page_for("reading", Measurement.objects.get(what="purity"))
    page = looked(desk, url, value="98")
    assert "more than flakes of KOH have" in words(page)
    page = desk.post(url, {**boxes(page), "confirmed": "on"})
    assert "Superfat of PASTE" in words(page)
    desk.post(url, boxes(page))
    assert Restated.objects.get().value == "0.98"


def test_a_net_mass_says_its_grams(desk):
    typed(net=D(6))
    url = page_for("lot", Lot.objects.get(code="BOT"))
    page = looked(desk, url, net_mass="60")
    assert Lot.objects.get(code="BOT").net_mass == 6
    assert "Net mass of one piece 6 60" in words(page)


def test_a_price_is_put_right_on_the_line(desk):
    typed()
    line = Lot.objects.get(code="OIL").line
    done = written(desk, page_for("line", line), price="500")
    assert line.prices.last().price == 500
    assert "Put right" in words(done)
    assert Deed.objects.filter(verb="put a figure right").count() == 1


def test_a_longer_life_is_decided_on_a_page(desk):
    lot = make.lot("KEEPS", expires=make.day(10))
    value = Reading("acid value", D("0.2"))
    note_measurement(lot=lot, readings=[value], **act(11))
    page = desk.get(reverse("lot-extend", args=["KEEPS"]))
    sent = boxes(page) | {"expires": "2030-01-01", "reason": "tested again"}
    sent["reading"] = str(Measurement.objects.get().pk)
    desk.post(reverse("lot-extend", args=["KEEPS"]), sent)
    assert str(Lot.objects.get().expires) == "2030-01-01"


def test_the_page_asks_no_more_of_a_longer_book(desk, django_assert_max_num_queries):
    typed()
    with django_assert_max_num_queries(20):
        desk.get(page_for("purchase", Purchase.objects.get()))


def test_a_reading_of_an_open_batch_reaches_what_it_made_and_nothing_else():
    """It was noted on the pot before there was a lot: the lot is what it speaks of."""
    pot = start_batch(stage="finishing", **act(3))
    oil = make.lot(grams="1000")
    uses = [Use(D(500), oil)]
    use_lots(batch=pot, uses=uses, **act(3))
    reading = Reading("pH", D("9.4"))
    note_measurement(batch=pot, readings=[reading], **act(3))
    product = make.item("finished soap", kind="made")
    output = Output(D(500), item=product)
    made = make_lot(batch=pot, output=output, **act(4))
    reached = lots_of(OF.READING, pot.measurements.get())
    assert [lot.pk for lot in reached] == [made.pk]
    of_a_lot = make.lot(readings=[Reading("purity", D("0.9"), "stated")])
    reached = lots_of(OF.READING, of_a_lot.measurements.get())
    assert [lot.pk for lot in reached] == [of_a_lot.pk]
