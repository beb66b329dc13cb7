"""Channels on their cards, prices from a day on, and what a maker reads of them."""

from datetime import date
from decimal import Decimal as D
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from costing.actions.prices import change_channel, set_price, set_target
from costing.models.prices import Channel, Price, Target
from costing.reads.asked import asked_on, shift
from costing.reads.prices import prices_on, sold_under, targets
from production.correcting.actions.undoing import undo_deed
from production.correcting.reads.about import named_in
from production.models import Deed, Item
from production.quantities.domain.refusal import Refused
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.costing.selling import bottled, channel, priced, target

pytestmark = pytest.mark.django_db


def page(desk, name, *args, **asked):
    answer = desk.get(reverse(name, args=args), asked)
    assert answer.status_code == 200
    return answer.content.decode()


class TestCards:
    def test_a_channel_is_added_and_changed(self, desk):
        facts = {"name": "The Tin Lantern", "kind": "wholesale", "consignment": "40"}
        answer = desk.post(reverse("channel-add"), facts)
        row = Channel.objects.get()
        assert answer.url == row.get_absolute_url()
        assert (row.consignment, row.step, row.pieces_per_order) == (
            D("0.4"),
            D("0.01"),
            1,
        )
        facts |= {"step": "1", "ending": "0.95", "tax": "19", "tax_inside": "on"}
        desk.post(reverse("channel-change", args=[row.pk]), facts)
        row.refresh_from_db()
        assert (row.step, row.ending, row.tax) == (1, D("0.95"), D("0.19"))
        shown = page(desk, "channel", row.pk)
        assert "with sales tax" in shown
        assert "ending on" in shown
        # The whole of a price without tax, less 40 %.
        assert "percentages leave 60.00." in shown

    def test_percentages_that_leave_nothing_are_refused_and_kept(self, desk):
        facts = {"name": "Web", "kind": "retail", "percent": "70", "payment": "30"}
        answer = desk.post(reverse("channel-add"), facts).content.decode()
        assert "Web takes 100 % of every price" in answer
        assert 'value="70"' in answer
        assert not Channel.objects.exists()

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"pieces_per_order": "0"}, "An order has at least one piece"),
            ({"pieces_per_order": "0.5"}, "An order has at least one piece"),
            ({"stall_fee": "40", "pieces_a_day": "0.5"}, "at least one"),
            ({"step": "0"}, "A price step is more than nothing"),
            ({"step": "1", "ending": "1"}, "An ending lies below the step"),
            ({"ending": "0.95"}, "with a step of 0.01"),
        ],
    )
    def test_what_no_channel_has_is_said_in_words(self, desk, facts, says):
        sent = {"name": "Web", "kind": "retail", **facts}
        answer = desk.post(reverse("channel-add"), sent).content.decode()
        assert says in answer
        assert "Constraint" not in answer
        assert not Channel.objects.exists()

    def test_a_name_in_other_capitals_is_the_same_channel(self, desk):
        row = channel("C10")
        facts = {"name": "c10", "kind": "retail"}
        answer = desk.post(reverse("channel-add"), facts).content.decode()
        assert "C10 has a card already, in other capitals" in answer
        # Its own card is spelled anew.
        desk.post(reverse("channel-change", args=[row.pk]), facts)
        assert Channel.objects.get().name == "c10"

    def test_a_stall_says_how_many_it_sells(self, desk):
        facts = {"name": "Stall", "kind": "retail", "stall_fee": "45"}
        answer = desk.post(reverse("channel-add"), facts).content.decode()
        assert "how many pieces a day" in answer

    def test_prices_keep_their_meaning(self):
        stall, lot = channel(), bottled("F-1")
        price = priced(lot.item, stall)
        with make.refused("were said without sales tax"):
            change_channel(channel=Channel.objects.get(), tax_inside=True)
        undo_deed(undone=price.deed, **make.act())
        change_channel(channel=Channel.objects.get(), tax_inside=True)

    def test_it_finds_the_sales_of_its_name(self, desk):
        lot = bottled("F-1")
        make.sale(lot, "2", customer="The Tin Lantern")
        row = channel("The Tin Lantern")
        found = sold_under(row.name)
        assert (found.pieces, found.mean) == (2, 9)
        assert sold_under("Nobody") is None
        assert "Sold so far" in page(desk, "channel", row.pk)


class TestAPriceFromADayOn:
    def test_each_day_has_the_price_of_then(self):
        stall, item = channel(), bottled("F-1").item
        priced(item, stall, "9.00", make.day(1))
        priced(item, stall, "9.50", make.day(10))
        key = (item.pk, stall.pk)

        def asked(day):
            return {k: row.price for k, row in prices_on(day).items()}

        assert asked(date(2026, 2, 28)) == {}
        assert asked(make.day(9)) == {key: D("9.00")}
        assert asked(make.day(10)) == {key: D("9.50")}

    def test_of_one_day_the_last_written_counts_and_taken_back_the_one_before(self):
        stall, item = channel(), bottled("F-1").item
        priced(item, stall, "9.00")
        slip = priced(item, stall, "90.00")
        assert prices_on(make.DAY)[item.pk, stall.pk].price == 90
        undo_deed(undone=slip.deed, **make.act())
        assert prices_on(make.DAY)[item.pk, stall.pk].price == 9

    def test_what_is_no_longer_offered_has_no_price(self):
        stall, item = channel(), bottled("F-1").item
        priced(item, stall, "9.00")
        priced(item, stall, None, make.day(10))
        assert prices_on(make.day(10)) == {}
        assert len(prices_on(make.day(9))) == 1

    def test_what_cannot_be_a_price_is_refused(self):
        stall, item = channel(), bottled("F-1").item
        with make.refused("more than nothing"):
            priced(item, stall, "0")
        with make.refused("no price in Stall by then that could end"):
            priced(item, stall, None)
        with make.refused("is weighed"):
            priced(make.item(), stall)

    def test_a_form_sent_twice_writes_one(self):
        facts = {"item": bottled("F-1").item, "channel": channel()}
        facts |= {"price": D(9), "valid_from": make.DAY, **make.act()}
        assert make.sent_twice(set_price, **facts).price == 9
        assert Price.objects.count() == 1

    def test_the_page_sets_it(self, desk):
        stall, item = channel(), bottled("F-1").item
        path = reverse("price-set", args=[item.pk])
        asked = {"channel": stall.pk, "price": "8.95"}
        assert 'value="8.95"' in desk.get(path, asked).content.decode()
        sent = {"key": "k", "on": "2026-03-04", "valid_from": "2026-04-01", **asked}
        assert desk.post(path, sent).status_code == 302
        row = Price.objects.get()
        assert (row.price, row.valid_from) == (D("8.95"), date(2026, 4, 1))
        assert "8.95" in page(desk, "price", item.pk)


def test_the_history_names_the_product_of_a_price_and_of_a_target(desk):
    item, stall = bottled("F-1").item, channel()
    acts = [priced(item, stall).deed, target("0.4", item).deed, target().deed]
    undo_deed(undone=acts[0], **make.act())
    acts.append(Deed.objects.latest("pk"))
    found = named_in(acts)
    said = [[(one.kind, one.name) for one in found[act.pk]] for act in acts]
    assert said == [[("item", "hand wash")], [("item", "hand wash")], [], said[0]]
    assert "hand wash</a>" in page(desk, "history")


class TestTargets:
    def test_a_product_has_its_own_until_it_ends(self):
        item = bottled("F-1").item
        target("0.60")
        target("0.40", item)
        assert (targets().of(item.pk), targets().of(None)) == (D("0.4"), D("0.6"))
        target(None, item)
        assert targets().of(item.pk) == D("0.6")
        with pytest.raises(Refused, match="below 100 %"):
            target("1")

    def test_nothing_wanted_cannot_end(self):
        with pytest.raises(Refused, match="no target that could end"):
            set_target(**make.act())

    def test_the_pages_write_them(self, desk):
        item = bottled("F-1").item
        sent = {"key": "k1", "on": "2026-03-04", "margin": "60"}
        assert desk.post(reverse("price-target-all"), sent).status_code == 302
        sent |= {"key": "k2", "margin": "55"}
        path = reverse("price-target", args=[item.pk])
        assert desk.post(path, sent).status_code == 302
        assert [(row.item, row.margin) for row in Target.objects.all()] == [
            (None, D("0.6")),
            (item, D("0.55")),
        ]


class TestTheList:
    """A bottle of 2.005: soap 1.225, packaging 0.78."""

    def test_under_target_stands_first(self, desk):
        stall, shop = channel(), channel("Shop", consignment=D("0.5"))
        first, second = bottled("F-1", "aloe wash").item, bottled("F-2", "zest").item
        target("0.60")
        priced(first, stall, "9.00")
        priced(second, shop, "9.00")
        rows = asked_on(make.DAY)
        assert [(row.item, row.met) for row in rows] == [(second, False), (first, True)]
        # 9.00 less the 4.50 of the shop less 2.005.
        assert rows[0].sold.contribution == D("2.495")
        shown = page(desk, "prices")
        assert shown.index("zest") < shown.index("aloe wash")
        assert "1 price under the margin" in shown

    def test_no_price_and_no_cost_are_said(self, desk):
        bottled("F-1", "aloe wash")
        bottled("F-2", "zest", soap=None)
        priced(Item.objects.get(name="zest"), channel())
        shown = page(desk, "prices")
        assert "no price yet" in shown
        assert "unknown" in shown

    def test_it_is_taken_as_a_sheet(self, desk):
        priced(bottled("F-1").item, channel())
        answer = desk.get(reverse("prices"), {"sheet": "xlsx"})
        sheet = load_workbook(BytesIO(b"".join(answer.streaming_content))).active
        cells = [cell.value for row in sheet.iter_rows() for cell in row]
        # Figures, so that they can be summed: 2.005, 9.00, 6.995 / 9.
        assert {2.005, 9, 0.7772, 6.995} <= {
            one for one in cells if isinstance(one, int | float)
        }

    def test_an_empty_book(self, desk):
        assert "Add a channel" in page(desk, "prices")
        assert "No channel is known yet" in page(desk, "channels")


class TestWorkedOut:
    def test_a_price_in_each_channel(self, desk):
        channel(step=D("0.05"))
        channel("Shop", consignment=D("0.4"), step=D(1), ending=D("0.95"))
        item = bottled(
            "F-1",
            work=[
                NewWork("labour", D("1"), D("20")),
                NewWork("overhead", D("1"), D("5")),
            ],
        ).item
        shown = page(desk, "price", item.pk, margin="50", markup="", fixed="100")
        # 1.225 + 0.78 + 2.00 + 0.50 = 4.505 a bottle: 9.01 at half, up to 9.05; the
        # shop leaves 60 %: 4.505 / (0.6 - 0.5) = 45.05, up to 45.95.
        for figure in ("4.51", "9.05", "45.95", "1.225"):
            assert figure in shown, figure
        # 9.05 less 4.005 without overhead: 100 / 5.045 is 19.8 bottles, 20 of them.
        assert "5.05" in shown
        assert "20 <small>pcs" in shown
        # And what 20 bring: 20 x 9.05.
        assert "181.00" in shown
        # In 6 minutes a bottle.
        assert "50.45" in shown

    def test_what_a_channel_cannot_give_is_said_in_its_row(self, desk):
        channel("Shop", consignment=D("0.5"))
        item = bottled("F-1").item
        shown = page(desk, "price", item.pk, margin="60", markup="", fixed="")
        assert "Shop leaves 50 % of a price" in shown

    def test_a_margin_of_the_whole_price_is_refused(self, desk):
        channel()
        item = bottled("F-1").item
        shown = page(desk, "price", item.pk, margin="100", markup="", fixed="")
        assert "100 % would leave nothing" in shown
        both = page(desk, "price", item.pk, margin="50", markup="100", fixed="")
        assert "not both" in both

    def test_of_a_fault_nothing_is_worked_out(self, desk):
        """Not from the margin that stands there either: no table under those words."""
        channel()
        target("0.60")
        item = bottled("F-1").item
        assert 'id="offers"' in page(desk, "price", item.pk)
        for asked in ({"margin": "100"}, {"margin": "50", "markup": "100"}):
            shown = page(desk, "price", item.pk, **asked)
            assert "Nothing is worked out yet" in shown
            assert 'id="offers"' not in shown

    def test_a_cost_that_is_typed(self, desk):
        channel()
        channel("Web", percent=D("0.1"))
        asked = {"material": "1.20", "packaging": "0.80", "labour": "1.00"}
        asked |= {"minutes": "3", "margin": "", "markup": "100%", "fixed": ""}
        shown = page(desk, "price-typed", **asked)
        # 3.00 doubled; 6.00 / 0.9.
        assert "6.00" in shown
        assert "6.67" in shown
        # 3.00 in 0.05 h.
        assert "60.00" in shown

    def test_a_typed_cost_of_nothing_is_asked_for(self, desk):
        assert "Write what one piece costs" in page(desk, "price-typed", margin="50")

    def test_a_product_without_a_price_of_its_materials(self, desk):
        item = bottled("F-1", soap=None).item
        assert "a price is missing" in page(desk, "price", item.pk)

    def test_a_product_that_nobody_made(self, desk):
        item = make.item("new wash", kind="made", unit="piece")
        assert "No lot of it was made yet" in page(desk, "price", item.pk)


class TestAMaterialCostsMore:
    def test_those_that_fall_stand_first(self, desk):
        """Bottles of 0.78 up 50 % cost 0.39 more: 2.005 becomes 2.395."""
        stall = channel()
        first, second = bottled("F-1", "aloe wash").item, bottled("F-2", "zest").item
        target("0.60")
        priced(first, stall, "9.00")
        priced(second, stall, "5.50")
        found = shift(Item.objects.get(name="bottle 250"), D("0.5"), make.DAY)
        assert [(row.before.item, row.falls) for row in found.rows] == [
            (second, True),
            (first, False),
        ]
        assert found.rows[0].after.cost.cost == D("2.395")
        bottle = Item.objects.get(name="bottle 250")
        shown = page(desk, "price-shift", item=bottle.pk, change="50")
        assert "1 price would fall under target" in shown
        assert shown.index("zest") < shown.index("aloe wash")

    def test_products_without_it_are_counted(self):
        lot = bottled("F-1")
        other = make.item("olive oil", category="oil")
        found = shift(other, D("0.12"), make.DAY)
        assert (found.rows, found.without, found.unknown) == ([], 1, [])
        assert lot.item.name == "hand wash"

    def test_what_is_unknown_is_named(self, desk):
        bottled("F-1", soap=None)
        bottle = Item.objects.get(name="bottle 250")
        shown = page(desk, "price-shift", item=bottle.pk, change="12")
        assert "Not known, since their cost is not" in shown

    def test_a_product_without_a_price_has_no_margin(self, desk):
        """Its price ended: it stands with its cost, and a dash for what it leaves."""
        stall, item = channel(), bottled("F-1", "aloe wash").item
        target()
        priced(item, stall, "9.00", make.day(1))
        priced(item, stall, None, make.day(2))
        bottle = Item.objects.get(name="bottle 250")
        shown = page(desk, "price-shift", item=bottle.pk, change="50")
        assert "no price yet" in shown
        assert 'data-label="Margin before" class="number">\u2013<' in shown
        assert "2.40" in shown

    def test_a_price_may_become_many_times_what_it_was_and_nothing(self, desk):
        """A bottle of 0.78 at eleven times costs 7.80 more: 2.005 becomes 9.805."""
        bottled("F-1")
        bottle = Item.objects.get(name="bottle 250")
        assert "9.81" in page(desk, "price-shift", item=bottle.pk, change="1000")
        shown = page(desk, "price-shift", item=bottle.pk, change="-100")
        assert 'down <span class="figure">100.0 <small>%' in shown
        assert "1.23" in shown
        far = page(desk, "price-shift", item=bottle.pk, change="1001")
        assert "write -100 to 1000 %" in far

    def test_a_change_is_asked_for(self, desk):
        assert "Nothing is worked out yet" in page(desk, "price-shift", change="12")


@pytest.mark.parametrize("name", ["prices", "channels"])
def test_a_list_asks_the_same_however_long(desk, name):
    stall = channel()

    def asked():
        with CaptureQueriesContext(connection) as seen:
            assert desk.get(reverse(name)).status_code == 200
        return len(seen)

    def more(numbers):
        for number in numbers:
            priced(bottled(f"F-{number}", f"wash {number}").item, stall)
            channel(f"Shop {number}")

    more(range(2))
    asked()
    few = asked()
    more(range(2, 25))
    assert asked() == few


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("price", {"margin": "99.9999", "markup": "", "fixed": "999999999"}),
        ("price", {"margin": "", "markup": "999999", "fixed": "0"}),
        ("price", {"margin": "-5", "markup": "x", "fixed": "1e9"}),
        ("price", {"margin": "0"}),
        ("price-typed", {"margin": "", "material": "999999999", "minutes": "0.001"}),
        ("price-typed", {"margin": "", "material": "0.0001", "fixed": "999999999"}),
        ("price-typed", {"margin": "", "overhead": "1"}),
        ("price-shift", {"item": "x", "change": "12"}),
        ("price-shift", {"item": "999999999999999999999", "change": "-100"}),
        ("price-list", {"of": "x\0", "on": "2026-13-01"}),
        ("price-list", {"of": "retail", "on": "9999-12-31"}),
        ("price-set", {"channel": "x", "price": "x"}),
        ("item-costs", {"earlier": "x\0", "later": ""}),
        ("prices", {"sort": "-margin,x", "page": "x", "per_page": "-1"}),
    ],
)
def test_an_odd_question_is_answered(desk, name, asked):
    channel()
    item = bottled("F-1").item
    priced(item, Channel.objects.get())
    pk = [item.pk] if name in ("price", "price-set", "item-costs") else []
    assert desk.get(reverse(name, args=pk), asked).status_code == 200


def test_what_is_weighed_has_no_page_of_prices(desk):
    assert desk.get(reverse("price", args=[make.item().pk])).status_code == 404


def test_the_list_is_sorted_by_each_column(desk):
    stall = channel()
    target()
    priced(bottled("F-1", "aloe wash").item, stall)
    bottled("F-2", "zest", soap=None)
    make.item("new wash", kind="made", unit="piece")
    for column in ("product", "channel", "cost", "price", "margin", "target", "met"):
        for way in ("", "-"):
            assert "aloe wash" in page(desk, "prices", sort=f"{way}{column}")
