"""Goods weighed again: what they hold now, and what to weigh of them."""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from production.contents.domain.reweighing import Restated, Weighing, restate, weigh_now
from production.contents.reads.reweighing import last_weighing, soap_content
from production.correcting.actions.undoing import undo_deed
from production.lots.actions.lot_deeds import reweigh_lot
from production.models import Deed, Item, Measurement, ReferenceOil
from production.quantities.domain.refusal import Refused
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.cards import change_item
from tests import make
from tests.make import act, day
from tests.production.writing import fill, typed

D = Decimal
SHARES = st.decimals("0.01", "1", places=5)


class TestTheSum:
    """By hand: 0.643 x 4,940 / 4,705 = 0.675116; 0.899 x 9,000 / 9,410 = 0.859830."""

    def test_a_bucket_of_paste_that_dried_out(self):
        row = restate(
            Restated("soap content", D("0.643"), D("0.643")), D(4940), D(4705)
        )
        assert row.now == D("0.675116")
        assert weigh_now(D(1000), row.then, row.now) == D("952.429")
        assert Weighing(D(4940), D(4705), (row,)).says == (
            "It holds 67.5 % soap now, 64.3 % before. Where you would have weighed "
            "1\u202f000 g, weigh 952.4 g now.",
        )

    def test_a_tub_of_flakes_that_drew_damp(self):
        row = restate(Restated("purity", D("0.899"), D("0.899")), D(9000), D(9410))
        assert row.now == D("0.859830")
        assert Weighing(D(9000), D(9410), (row,)).says == (
            "It is 86.0 % pure now, 89.9 % before. Where the recipe says 1\u202f000 g "
            "of 89.9 %, weigh 1\u202f045.6 g now.",
        )

    def test_what_it_holds_is_not_known(self):
        [said] = Weighing(D(1000), D(950)).says
        assert "not in the book" in said
        assert "weigh 950 g now" in said

    @given(st.decimals("1", "100000", places=1), SHARES, SHARES)
    def test_as_much_of_it_is_weighed_as_before(self, asked, then, now):
        weighed = weigh_now(asked, then, now)
        assert abs(weighed * now - asked * then) <= D("0.0005")

    @pytest.mark.parametrize(
        ("then", "now"), [("0", "0.5"), ("0.5", "0"), ("1.1", "1")]
    )
    def test_a_content_lies_above_nothing_and_up_to_the_whole(self, then, now):
        with pytest.raises(Refused, match="read it again"):
            weigh_now(D(1000), D(then), D(now))


def published_oil():
    return ReferenceOil.objects.get(key="rapeseed-oil-low-erucic")


def a_pot(code="P1"):
    """Rapeseed oil and lye of a known purity, so that its soap can be followed."""
    oil = make.item("rapeseed oil", category="oil", oil=published_oil())
    water = make.item("distilled water", category="water")
    uses = [
        (make.lot(grams="1000", item=oil), "1000"),
        (make.koh(), "200"),
        (make.lot(grams="500", item=water), "400"),
    ]
    return make.batch("cook", uses=uses, makes="paste", amount="1600", code=code)


def reweigh(lot, found, on=6, **facts):
    return reweigh_lot(lot=lot, found=D(found), **act(on, **facts))


@pytest.mark.django_db
class TestTheBook:
    def test_paste_that_nobody_measured_is_restated_from_what_went_in(self):
        paste = a_pot()
        known = soap_content(paste, day(6))
        assert known.calculated
        reweigh(paste, "1500")
        before, after = paste.measurements.filter(what="soap content")
        assert (before.basis, before.note) == ("stated", "worked out from what went in")
        assert before.value == known.share.quantize(D("0.000001"))
        assert after.value == (known.share * 1600 / 1500).quantize(D("0.000001"))

    def test_taken_back_it_holds_what_it_held(self):
        paste = a_pot()
        before = soap_content(paste, day(7))
        deed = reweigh(paste, "1500")
        undo_deed(undone=deed, **act(7))
        assert soap_content(paste, day(7)) == before
        assert last_weighing(paste) is None

    def test_weighings_before_anything_was_known_count_too(self):
        oil = make.item("mystery oil", category="oil")
        lye = make.koh()
        paste = make.batch(
            "cook",
            uses=[(make.lot(grams="1000", item=oil), "1000"), (lye, "200")],
            makes="paste",
            amount="1200",
        )
        reweigh(paste, "1100")
        assert not paste.measurements.filter(what="soap content").exists()
        change_item(item=Item.objects.get(pk=oil.pk), oil=published_oil())
        held = soap_content(paste, day(6)).share
        at_first = soap_content(paste, day(3)).share
        assert held.quantize(D("0.000001")) == (at_first * 1200 / 1100).quantize(
            D("0.000001")
        )

    def test_it_is_said_whence_the_content_is_known(self):
        paste = a_pot()
        assert soap_content(paste, day(3)).whence == "worked out from its pot"
        reading = Reading("soap content", D("0.6"))
        note_measurement(lot=paste, readings=[reading], **act(4))
        read = soap_content(paste, day(4))
        assert (read.share, read.whence) == (D("0.6"), "measured on 2026-03-04")
        assert soap_content(paste, day(3)).calculated
        reweigh(paste, "1500")
        assert soap_content(paste, day(6)).whence == "restated on 2026-03-06"
        assert soap_content(make.lot(), day(6)) is None

    def test_a_lot_that_holds_no_soap_is_only_weighed(self):
        lot = make.lot()
        reweigh(lot, "950")
        assert not lot.measurements.exists()
        assert last_weighing(lot).restated == ()

    def test_a_later_reading_ends_the_advice(self):
        lot = make.koh("0.899", grams="9000")
        reweigh(lot, "9410")
        assert last_weighing(lot).restated[0].now == D("0.859830")
        note_measurement(lot=lot, readings=[Reading("purity", D("0.86"))], **act(8))
        assert last_weighing(lot) is None


class TestThePage:
    def url(self, code="K1"):
        return reverse("lot-reweigh", args=[code])

    def sent(self, desk, **facts):
        return typed(desk.get(self.url())) | {"on": "2026-03-06"} | facts

    def test_it_is_worked_out_before_anything_is_written(self, desk):
        make.koh("0.899", grams="9000")
        sent = self.sent(desk, found="9410 g", work_out="yes")
        deeds = Deed.objects.count()
        answer = desk.post(self.url(), sent)
        page = unescape(answer.content.decode())
        assert "weigh 1\u202f045.6 g now" in page
        assert "nothing written yet" in page
        assert typed(answer)["found"] == "9410 g"
        assert Deed.objects.count() == deeds
        del sent["work_out"]
        assert desk.post(self.url(), sent).status_code == 302

    def test_a_weight_that_says_nothing_is_refused_there_too(self, desk):
        make.koh("0.899", grams="9000")
        sent = self.sent(desk, found="9000 g", work_out="yes")
        assert "Nothing to restate" in desk.post(self.url(), sent).content.decode()
        sent = self.sent(desk, found="?", work_out="yes")
        assert "not an amount" in desk.post(self.url(), sent).content.decode()

    def test_the_message_and_the_lot_say_what_to_weigh(self, desk):
        make.koh("0.899", grams="9000")
        answer = fill(desk, self.url(), found="9410 g", on="2026-03-06")
        said = "Where the recipe says 1\u202f000 g of 89.9 %, weigh 1\u202f045.6 g now."
        assert desk.get(answer.url).content.decode().count(said) == 2
        assert desk.get(answer.url).content.decode().count(said) == 1

    def test_a_purity_read_later_leaves_a_plain_message(self, desk):
        lot = make.koh("0.899", grams="9000")
        note_measurement(lot=lot, readings=[Reading("purity", D("0.9"))], **act(9))
        answer = fill(desk, self.url(), found="9410 g", on="2026-03-06")
        page = desk.get(answer.url).content.decode()
        assert "The weight is written." in page
        assert Measurement.objects.filter(what="purity", note="reweighed").exists()
