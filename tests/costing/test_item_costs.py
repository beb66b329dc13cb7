"""The cost of a product over its lots, as a picture, and why it changed."""

from decimal import Decimal as D
from fractions import Fraction as F
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from costing.domain.lot_bars import TALL, TOP, bars_of
from costing.domain.variances import total, why
from costing.reads.lot_costs import costs_of, lots_of, open_lots
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.costing.selling import bottled

PARTS = st.dictionaries(
    st.sampled_from(["oil", "packaging", "labour"]),
    st.integers(1, 10**6).map(lambda n: F(n, 1000)),
)


@given(st.lists(st.one_of(st.none(), PARTS), max_size=9))
def test_bars_are_as_tall_as_what_they_show(lots):
    """Within the width of a pen stroke, and none above the picture."""
    picture = bars_of([(f"L{place}", parts) for place, parts in enumerate(lots)])
    most = picture.ticks[-1].figure
    for bar, parts in zip(picture.bars, lots, strict=True):
        tall = sum(piece.height for piece in bar.pieces)
        cost = sum((parts or {}).values())
        assert abs(F(tall) - cost * TALL / F(most)) < F(1, 20)
        assert bar.top >= TOP - 1
    assert [tick.y for tick in picture.ticks] == sorted(
        [tick.y for tick in picture.ticks], reverse=True
    )


def test_round_figures_stand_beside_the_picture():
    picture = bars_of([("A", {"oil": F("2.005")}), ("B", {"oil": F("1.1")})])
    assert [tick.figure for tick in picture.ticks] == [
        D(0),
        D(1),
        D(2),
        D(3),
        D(4),
    ]


def hours(number, rate):
    return [NewWork("labour", D(number), D(rate))]


@pytest.mark.django_db
class TestWhy:
    def test_price_usage_rate_and_efficiency_by_hand(self):
        """Ten bottles each. Soap 12.25 for 2450 g, then 14.70: 245 g at 0.001 more is
        0.245. Bottles of 7.80 for ten, then 7.00: -0.08. An hour at 20.00, then 1.5
        h at 22.00: 0.15 h x 2.00 = 0.30 of rate, 0.05 h x 20.00 = 1.00 of
        efficiency."""
        first = bottled("F-1", work=hours("1", "20"))
        last = bottled("F-2", soap="14.70", packaging="7.00", work=hours("1.5", "22"))
        opened = open_lots([first, last])
        a, b = opened[first.pk], opened[last.pk]
        found = why(a.puts, b.puts)
        assert {
            (one.kind, str(a.items.get(one.of, one.of))): one.amount for one in found
        } == {
            ("price", "rapeseed oil"): F("0.245"),
            ("price", "bottle 250"): F("-0.08"),
            ("labour rate", "labour"): F("0.30"),
            ("labour efficiency", "labour"): F("1.00"),
        }
        assert total(found) == b.of.cost - a.of.cost
        assert (a.hours, b.hours) == (F("0.1"), F("0.15"))

    def test_hours_at_no_rate_are_hours(self):
        lot = bottled("F-1", work=hours("2", "0"))
        opened = open_lots([lot])[lot.pk]
        assert (opened.hours, opened.of.cost) == (F("0.2"), F("2.005"))
        other = bottled("F-2", work=hours("2", "18"))
        found = why(opened.puts, open_lots([other])[other.pk].puts)
        assert [(one.kind, one.amount) for one in found] == [("labour rate", F("3.6"))]

    def test_usage_through_a_paste(self):
        """900 g came of 1000 g of one oil, then 800 g: 90 g a bottle need more oil."""
        made = []
        for code, came in (("F-1", "900"), ("F-2", "800")):
            oil = make.lot(f"O-{code}", grams="1000", price="9.00")
            paste = make.batch(uses=[(oil, "1000")], amount=came, makes="thin soap")
            made.append(
                make.batch(
                    "filling",
                    uses=[(paste, "800")],
                    makes="hand wash",
                    amount="10",
                    unit="piece",
                    code=code,
                )
            )
        opened = open_lots(made)
        a, b = (opened[lot.pk] for lot in made)
        [one] = why(a.puts, b.puts)
        assert (one.kind, one.label) == ("usage", "U")
        # 100 g of oil a bottle instead of 88.9 g, at 9.00 a kg.
        assert round(one.amount, 6) == F("0.1")

    def test_the_page(self, desk):
        bottled("F-1")
        bottled("F-2", soap="14.70")
        bottled("F-3", soap=None)
        item = bottled("F-4", soap="24.50", work=hours("1", "20")).item
        path = reverse("item-costs", args=[item.pk])
        page = desk.get(path).content.decode()
        assert "Price of rapeseed oil" in page
        assert "unknown" in page
        for figure in ("2.01", "2.25", "5.23"):
            assert figure in page
        # 24.50 for 14.70 of what 245 g took.
        assert "0.9800" in page
        asked = desk.get(path, {"earlier": "F-1", "later": "F-2"}).content.decode()
        assert "0.2450" in asked
        assert "unfavourable" in asked
        same = desk.get(path, {"earlier": "F-1", "later": "F-1"}).content.decode()
        assert "Nothing differs between them" in same
        odd = desk.get(path, {"earlier": "F-3", "later": "F-1"})
        assert odd.status_code == 200

    def test_the_picture_is_whole(self, desk):
        bottled("F-1")
        item = bottled("F-2").item
        page = desk.get(reverse("item-costs", args=[item.pk])).content.decode()
        drawn = page[page.index("<svg", page.index('class="bars"')) :]
        tree = ElementTree.fromstring(drawn[: drawn.index("</svg>") + 6])
        assert len(tree.findall("rect")) == 4

    def test_an_item_that_is_weighed_is_told_by_the_kilo(self, desk):
        oil = make.lot(grams="1000", price="9.00")
        lot = make.batch(uses=[(oil, "1000")], amount="900", makes="thin soap")
        page = desk.get(reverse("item-costs", args=[lot.item_id])).content.decode()
        assert "10.00" in page
        assert "For one kg" in page

    def test_nothing_was_made(self, desk):
        page = desk.get(reverse("item-costs", args=[make.item().pk]))
        assert "No lot of it was made yet" in page.content.decode()

    def test_a_trial_is_none_of_its_lots(self):
        lot = bottled("F-1")
        assert lots_of(lot.item, 9) == [lot]
        assert costs_of([]) == {}
        assert open_lots([]) == {}

    def test_it_asks_the_same_however_many_lots(self, desk):
        item = bottled("F-0").item

        def asked():
            with CaptureQueriesContext(connection) as seen:
                desk.get(reverse("item-costs", args=[item.pk]))
            return len(seen)

        bottled("F-1")
        asked()
        few = asked()
        for number in range(2, 25):
            bottled(f"F-{number}")
        assert asked() == few
