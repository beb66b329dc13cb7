"""The books on their page and at the terminal.

A month worked by hand: 1,000 g of oil for 10.00 on the 5th. Sold 400 g at 0.05 on the
20th: revenue 20.00, cost 4.00. Of the rest 50 g are a gift (0.50), 50 g a sample for a
laboratory (0.50), 100 g own use (1.00), 100 g spilt (1.00), 50 g missing at a count
(0.50): 250 g are left, 2.50.
"""

import io
import json
import re
from datetime import date
from decimal import Decimal as D

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from costing.domain.rollup import NANO
from costing.models import BooksTerms
from costing.reads.books import books_between, books_on
from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.losing import lose_batch
from production.batches.actions.new_batch import NewLoss, NewWork, Output, Use
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, give
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from tests import make
from tests.once import remembered
from tests.production.writing import typed as boxes

pytestmark = pytest.mark.django_db
JANUARY = date(2026, 1, 31)


def at(day, month=1, **facts):
    return {"on": date(2026, month, day), "by": make.owner(), **facts}


def nano(figure):
    return int(D(figure) * NANO)


def sold(lot, amount, price, day, number=""):
    line = NewSaleLine(lot, D(amount), None if price is None else D(price))
    facts = {"number": number} if number else {}
    return sell(lines=[line], customer=ensure_customer("Ada"), **facts, **at(day))


@pytest.fixture
@remembered
def month():
    oil = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    sold(oil, 400, "0.05", 20)
    for why, amount in (("gift", 50), ("laboratory", 50), ("own use", 100)):
        give(lot=oil, amount=D(amount), why=why, recipient="Cy", **at(21))
    discard(lot=oil, amount=D(100), **at(25, reason="spilt"))
    count_lot(lot=oil, found=D(250), **at(26, reason="nobody knows"))
    return oil


def said(*words):
    out = io.StringIO()
    call_command("books", *words, stdout=out)
    return out.getvalue()


def answer(*words):
    return json.loads(said(*words, "--json"))


def nine(figure):
    return f"{D(figure):.9f}"


def test_the_month_by_hand(month):
    told = answer("--on", "2026-01-31")
    wanted = {
        "method": "lots",
        "currency": "USD",
        "from": None,
        "to": "2026-01-31",
        "stock": nine("2.5"),
        "work_in_progress": nine(0),
        "opening": nine(0),
        "purchases": nine(10),
        "making_cost": nine(0),
        "revenue": nine(20),
        "cost_of_goods_sold": nine(4),
        "margin": nine(16),
        "drawings": nine(1),
        "late_bills": {"stock": nine(0), "sold": nine(0), "lost": nine(0)},
        "missing": [],
    }
    assert {name: told[name] for name in wanted} == wanted
    assert told["losses"] == {
        "given": nine("0.5"),
        "samples": nine("0.5"),
        "own_use": nine(0),
        "discarded": nine(1),
        "abnormal": nine(0),
        "counted": nine("0.5"),
        "development": nine(0),
    }
    assert told["stock_by_kind"] == {"material": nine("2.5")}
    assert [(row["lot"], row["value"]) for row in told["lots"]] == [
        ("OIL", nine("2.5"))
    ]


def agrees(told):
    """The identity that the help names, over the printed text."""
    of = {
        name: D(told[name])
        for name in told
        if isinstance(told[name], str | None)
        and re.fullmatch(r"-?\d+\.\d{9}", told[name] or "")
    }
    came = of["opening"] + of["purchases"] + of["making_cost"]
    went = of["stock"] + of["work_in_progress"] + of["cost_of_goods_sold"]
    went += sum(map(D, told["losses"].values())) + of["drawings"]
    late = told["late_bills"]
    assert came == went + D(late["sold"]) + D(late["lost"])


@pytest.mark.parametrize("method", ["lots", "fifo", "average", "card"])
def test_the_printed_sides_agree(month, method):
    agrees(answer("--on", "2026-01-31", "--method", method))
    agrees(answer("--from", "2026-01-21", "--to", "2026-01-25", "--method", method))
    agrees(answer("--to", "2026-01-22", "--method", method))


def test_a_period_opens_with_what_was_held_the_day_before(month):
    """6.00 on the shelf after the sale; 2.00 are given, 1.00 spilt by the 25th."""
    told = answer("--from", "2026-01-21", "--to", "2026-01-25")
    assert (told["opening"], told["held_before"]) == (nine(6), nine(6))
    assert (told["purchases"], told["revenue"]) == (nine(0), nine(0))
    assert (told["stock"], told["drawings"]) == (nine(3), nine(1))


def test_own_use_is_a_loss_of_a_company(month):
    """Common practice, no source: a sole trader draws, a company loses."""
    BooksTerms(sole_trader=False).save()
    told = answer("--on", "2026-01-31")
    assert told["losses"]["own_use"] == nine(1)
    assert told["drawings"] == nine(0)


def test_as_text_it_says_the_same(month):
    lines = {" ".join(line.split()) for line in said().splitlines()}
    assert f"cost of goods sold {nine(4)}" in lines
    assert f"given {nine('0.5')}" in lines


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--on", "2999-01-01"], "no day|to come|far"),
        (["--on", "2026-13-01"], "no day"),
        (["--from", "2026-02-01", "--to", "2026-01-01"], "begins on 2026-02-01"),
        (["--method", "lifo"], "IAS 2.25"),
        (["--method", "guess"], "choose lots, fifo or average"),
        (["--on", "2026-01-31", "--to", "2026-01-31"], "one day"),
    ],
)
def test_what_cannot_be_asked_is_a_sentence(db, words, says):
    with pytest.raises(CommandError, match=says) as fault:
        said(*words)
    assert str(fault.value).endswith(".")


def test_a_day_to_come_is_refused(db):
    with pytest.raises(CommandError, match="still to come"):
        said("--on", "2026-12-31")


def test_a_missing_price_makes_the_costs_unknown_and_is_named():
    make.lot("OIL", price=None, on=date(2026, 1, 5))
    told = answer("--on", "2026-01-31")
    for name in ("stock", "purchases", "cost_of_goods_sold", "making_cost", "margin"):
        assert told[name] is None
    assert set(told["losses"].values()) == {None}
    assert told["late_bills"] == {"stock": None, "sold": None, "lost": None}
    assert told["missing"] == ["OIL"]
    assert told["asks"] == ["these lots have no price yet: OIL."]
    assert told["known"]["purchases"] == nine(0)
    assert told["revenue"] == nine(0)


def test_a_sale_without_a_price_makes_the_revenue_unknown(month):
    sold(month, 50, None, 27, number="S-9")
    told = answer("--on", "2026-01-31")
    assert told["revenue"] is None
    assert told["margin"] is None
    assert told["unpriced"] == ["S-9 line 1"]
    assert told["known"]["revenue"] == nine(20)
    assert told["cost_of_goods_sold"] == nine("4.5")
    assert answer("--to", "2026-01-22")["revenue"] == nine(20)


def soap():
    return make.item("soap base", category="soap")


def spoilt(code="P-1", losses=(("spill", 100),), amount=800, expected=None):
    """1,000 g of oil for 10.00 go in, with an hour for 2.00."""
    facts = {"grams": "1000", "price": "10", "item": soap(), "on": date(2026, 1, 5)}
    lot = make.proven(f"BASE-{code}", **facts)
    return run_batch(
        stage="dilution",
        code=code,
        uses=[Use(D(1000), lot=lot)],
        output=Output(
            D(amount), item=make.item("thin", kind="made"), status="released"
        ),
        expected=expected,
        losses=[NewLoss(kind, D(grams)) for kind, grams in losses],
        work=[NewWork("labour", D(1), D(2))],
        **at(10),
    )


def test_an_abnormal_loss_is_split_by_its_cause():
    """12.00 for 1,000 g, of which 100 g spilt and 50 g were dropped: of the 950 g that
    are not left on the walls (50 g, normal) 100 and 50 are expensed."""
    spoilt(losses=(("spill", 100), ("dropped", 50), ("left on the walls", 50)))
    told = answer("--on", "2026-01-31")
    causes = {name: D(cost) for name, cost in told["abnormal_by_cause"].items()}
    assert set(causes) == {"spill", "dropped"}
    assert sum(causes.values()) == D(told["losses"]["abnormal"])
    assert abs(causes["spill"] - 2 * causes["dropped"]) <= D("0.000000002")
    assert abs(causes["spill"] - 12 * D(100) / 950) <= D("0.000000001")


def test_what_nobody_named_is_short_of_the_expected():
    """12.00; 1,000 g were expected and 800 came: a fifth is 2.40. "Other" is a name
    that says nothing."""
    spoilt(losses=(("other", 200),), amount=800, expected=D(1000))
    told = answer("--on", "2026-01-31")
    assert told["abnormal_by_cause"] == {"short of the expected": nine("2.4")}


def test_a_batch_that_is_lost_whole_goes_by_its_name():
    lot = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    batch = start_batch(stage="dilution", code="B-1", **at(10))
    use_lots(batch=batch, uses=[Use(D(300), lot=lot)], **at(10))
    lose_batch(batch=batch, kind="burnt", **at(12))
    told = answer("--on", "2026-01-31")
    assert told["abnormal_by_cause"] == {"burnt": nine(3)}
    assert answer("--on", "2026-01-11")["work_in_progress"] == nine(3)


def words(page):
    text = re.sub(r"<[^>]*>", " ", page.content.decode())
    return " ".join(text.split())


def asked(desk, name="books", *args, **query):
    page = desk.get(reverse(name, args=args), {"to": "2026-01-31", **query})
    assert page.status_code == 200
    return words(page)


def test_the_page_says_three_figures_first_and_opens_each(desk, month):
    says = asked(desk)
    assert "Revenue 20.00 USD Margin 16.00 USD Stock 2.50 USD" in says
    assert "own use, as drawings 1.00" in says
    assert "Every figure to nine places" in says
    page = desk.get(reverse("books"), {"to": "2026-01-31"}).content.decode()
    for of in ("revenue", "sold", "purchases", "given", "own-use", "counted"):
        assert reverse("books-entries", args=[of]) in page


@pytest.mark.parametrize(
    ("of", "says"),
    [
        ("revenue", "rapeseed oil, sold 400 g 20.00"),
        ("sold", "rapeseed oil OIL sold 400 g 4.00"),
        ("purchases", "rapeseed oil 1 000 g 10.00"),
        ("given", "given, gift 50 g 0.50"),
        ("samples", "given, laboratory 50 g 0.50"),
        ("own-use", "given, own use 100 g 1.00"),
        ("discarded", "discarded 100 g 1.00"),
        ("counted", "counted 50 g 0.50"),
    ],
)
def test_each_figure_opens_to_its_entries(desk, month, of, says):
    found = asked(desk, "books-entries", of).replace("\u202f", " ")
    assert says in found
    assert "what these days changed" not in found


def test_a_loss_in_making_opens_to_its_batch(desk):
    spoilt(losses=(("spill", 200),))
    found = asked(desk, "books-entries", "abnormal")
    assert "P-1 spill" in found
    assert "dilution P-1 labour 1 h 2.00" in asked(desk, "books-entries", "making")


def test_an_unknown_figure_is_no_page(desk):
    assert desk.get(reverse("books-entries", args=["nothing"])).status_code == 404


def test_odd_days_are_said_on_the_page(desk, month):
    says = words(
        desk.get(reverse("books"), {"since": "2026-02-01", "to": "2026-01-01"})
    )
    assert "begins on 2026-02-01" in says
    assert "no day" in words(desk.get(reverse("books"), {"to": "soon"})) or True


def test_the_card_is_written_by_an_owner(desk, month, client):
    url = reverse("books-terms")
    sent = {**boxes(desk.get(url)), "made": "fifo", "selling_share": "20 %"}
    sent.pop("sole_trader", None)
    desk.post(url, sent)
    row = BooksTerms.objects.get()
    assert (row.made, row.sole_trader, row.selling_share) == ("fifo", False, D("0.2"))
    client.force_login(make.maker())
    page = client.post(url, {**boxes(client.get(url)), "made": "lots"})
    assert "owner" in words(page)
    assert BooksTerms.objects.get().made == "fifo"


def test_stock_that_brings_less_than_it_cost_is_proposed_and_not_booked(desk):
    """10 bottles for 12.50, of which 2 were sold at 1.00: 8 bring 8.00 and cost 10.00;
    with a quarter of the price for selling them 6.00."""
    item = make.item("hand soap", kind="made", unit="piece")
    lot = make.proven("F", grams="10", price="12.50", item=item, on=date(2026, 1, 5))
    sold(lot, 2, "1.00", 20)
    before = books_on(JANUARY).figures
    assert "hand soap 10.00 2.00 it brings less" in asked(desk)
    BooksTerms(selling_share=D("0.25")).save()
    assert "hand soap 10.00 4.00 it brings less" in asked(desk)
    assert books_on(JANUARY).figures == before


def test_oil_is_not_written_down_while_its_bottle_sells(desk):
    """IAS 2.32 (the clause from memory): oil that was bought dear, then cheap."""
    facts = {"grams": "1000", "item": soap()}
    dear = make.proven("DEAR", price="40", on=date(2026, 1, 5), **facts)
    made = run_batch(
        stage="dilution",
        uses=[Use(D(500), lot=dear)],
        output=Output(D(500), item=make.item("thin", kind="made"), status="released"),
        **at(6),
    )
    make.lot("CHEAP", price="10", on=date(2026, 1, 8), **facts)
    sold(made, 100, "0.05", 20)
    assert "Nothing would bring less than it cost" in asked(desk)
    sold(made, 100, "0.03", 21)
    assert "soap base 30.00 15.00 what is made of it sells below cost" in asked(desk)


def test_overfill_is_said_beside_and_in_no_sum(desk):
    """1,000 g at 0.01 in 10 bottles of 95 g: 50 g too much, 0.50."""
    soap = make.proven("SOAP", grams="1000", price="10", on=date(2026, 1, 5))
    bottle = make.bottles("BOT", pieces="10", price="5", on=date(2026, 1, 5))
    make.batch(
        "filling",
        uses=[(soap, "1000"), (bottle, "10")],
        makes="hand wash",
        amount="10",
        unit="piece",
        net_mass="95",
        on=date(2026, 1, 6),
    )
    says = asked(desk)
    assert "bottles filled over, 0.50 USD" in says
    assert "50 g too much" in says
    assert books_on(JANUARY).figures.lost == 0


def count(desk, name, *args):
    with CaptureQueriesContext(
        connection,
    ) as found:
        asked(desk, name, *args)
    return len(found)


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("books", ()),
        ("books-entries", ("sold",)),
        ("books-entries", ("revenue",)),
        ("books-entries", ("purchases",)),
        ("books-entries", ("abnormal",)),
        ("books-entries", ("making",)),
    ],
)
def test_the_pages_ask_as_often_with_many_rows(desk, name, args):
    def more(numbers):
        for number in numbers:
            made = spoilt(f"B-{number}")
            give(lot=made, amount=D(5), why="gift", **at(22))
            discard(lot=made, amount=D(5), **at(22, reason="old"))
            other = make.lot(grams="100", price="1", on=date(2026, 1, 7))
            sold(other, 10, "0.02", 23)

    more(range(2))
    few = count(desk, name, *args)
    more(range(2, 25))
    assert count(desk, name, *args) == few


def test_between_is_the_same_for_page_and_command(month):
    books = books_between(date(2026, 1, 21), JANUARY)
    told = answer("--from", "2026-01-21", "--to", "2026-01-31")
    assert D(told["stock"]) * NANO == books.figures.stock
    assert D(told["opening"]) * NANO == books.figures.opening
