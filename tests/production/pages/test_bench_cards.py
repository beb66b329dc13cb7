"""Cards of what stands at the bench: vessels, the balance, and where an item works."""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.models import Item, Vessel, Workshop
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_volume
from tests import make
from tests.production.writing import fill, typed


@pytest.mark.parametrize(
    ("text", "millilitres"),
    [
        ("24 L", "24000"),
        # 5 x 231 cubic inches of 16.387064 mL: NIST Handbook 44, Appendix C.
        ("5 gal", "18927.059"),
        ("5 imp gal", "22730.45"),
        ("500", "500"),
        ("1 l 250 ml", "1250"),
    ],
)
def test_a_volume_is_read_as_it_is_said(text, millilitres):
    assert read_volume(text).grams_or_pieces == Decimal(millilitres)


@pytest.mark.parametrize("text", ["24 kg", "2 lb 3 oz", "2*3 kg"])
def test_a_weight_is_no_volume(text):
    with pytest.raises(Refused, match="is a weight: write a volume"):
        read_volume(text)


def test_a_vessel_gets_its_card_and_is_changed(desk):
    fill(desk, reverse("vessel-add"), name="Kettle", volume="24 L", tare="3.18 kg")
    kettle = Vessel.objects.get()
    assert (kettle.volume, kettle.tare) == (24000, 3180)
    page = desk.get(reverse("workshop")).content.decode()
    assert "Kettle" in page
    assert "24 <small>L" in page
    url = reverse("vessel-change", args=[kettle.pk])
    first = typed(desk.get(url))
    assert (first["volume"], first["tare"]) == ("24 L", "3180 g")
    fill(desk, url, volume="500 mL", tare="")
    kettle.refresh_from_db()
    assert (kettle.volume, kettle.tare) == (500, None)
    assert typed(desk.get(url))["volume"] == "500 mL"


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"volume": "24 kg"}, "is a weight"),
        ({"volume": "0 L"}, "is nothing"),
        ({"volume": ""}, "required"),
        ({"tare": "3 L"}, "density"),
    ],
)
def test_a_vessel_that_cannot_be_is_refused_and_kept(desk, facts, says):
    sent = typed(desk.get(reverse("vessel-add"))) | {"name": "Pot", "volume": "20 L"}
    answer = desk.post(reverse("vessel-add"), sent | facts)
    assert says in unescape(answer.content.decode())
    assert typed(answer) == sent | facts
    assert not Vessel.objects.exists()


def test_the_workshop_says_what_its_balance_reads_to(desk):
    url = reverse("workshop-change")
    fill(desk, url, name="Wrackline", balance_step="0.1 g")
    assert Workshop.objects.get().balance_step == Decimal("0.1")
    assert typed(desk.get(url))["balance_step"] == "0.1 g"
    assert "0.1 <small>g" in desk.get(reverse("workshop")).content.decode()


class TestWhereAnItemWorks:
    def card(self, desk, **facts):
        item = make.item("mild preservative", category="preservative")
        url = reverse("item-change", args=[item.pk])
        fill(desk, url, **facts)
        item.refresh_from_db()
        return item

    def shown(self, desk, item):
        return unescape(desk.get(item.get_absolute_url()).content.decode())

    def test_percent_for_people_a_fraction_inside(self, desk):
        item = self.card(desk, most="1.5", ph_low="2.5", ph_high="6")
        assert item.most == Decimal("0.015")
        assert (item.ph_low, item.ph_high) == (Decimal("2.5"), 6)
        first = typed(desk.get(reverse("item-change", args=[item.pk])))
        assert first["most"] == "1.5"
        page = self.shown(desk, item)
        assert "1.5 <small>%" in page
        assert "from pH 2.5 up to pH 6" in page

    def test_a_preservative_of_a_low_ph_does_not_protect_soap(self, desk):
        # The pH of potassium soap, about 9 to 10.5: usual figure, recalled.
        says = (
            "It works up to pH 6; soap stands at about 9 to 10.5: it does not protect "
            "it."
        )
        assert says in self.shown(desk, self.card(desk, ph_high="6"))
        assert says not in self.shown(desk, self.card(desk, ph_high="11"))
        item = self.card(desk, ph_high="6", category="chelator", reason="it is one")
        assert says not in self.shown(desk, item)

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"ph_low": "7", "ph_high": "6"}, "below the lower one"),
            ({"ph_high": "15"}, "between 0 and 14"),
            ({"most": "120"}, "more than the whole"),
            ({"most": "0.05"}, "Write it with the sign"),
        ],
    )
    def test_what_cannot_be_is_refused(self, desk, facts, says):
        sent = typed(desk.get(reverse("item-add"))) | {"name": "thickener"} | facts
        answer = desk.post(reverse("item-add"), sent)
        assert says in unescape(answer.content.decode())
        assert not Item.objects.exists()
