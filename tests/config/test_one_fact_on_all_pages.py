"""One fact is one figure, wherever it is shown: page, list, sheet, command and file.

Held over the invented year and over a workshop lived at random. Each figure is read
from what is printed, as a maker reads it, and not from what stands behind.
"""

import io
import json
import re
from decimal import Decimal
from html import unescape

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from production.exchange.reads import history_events
from production.models import Batch, Customer, Lot, Sale
from production.record.domain.text import write
from tests import make
from tests.config.conftest import the_year
from tests.once import for_a_while
from tests.production.buying.sheet_cases import opened
from tests.production.random_workshop import RandomWorkshop

pytestmark = pytest.mark.django_db
FIGURE = r"(\N{MINUS SIGN}?[\d\u202f]+(?:\.\d+)?)"
SAMPLE = 16


def past():
    """A random workshop's year of fixed numbers: some of it refused, as on any day."""
    buys = [("buy", [seed, seed * 7, 31, 5, 3]) for seed in (11, 222, 3333)]
    verbs = ("run", "run", "sell", "status", "start", "use", "finish", "count")
    verbs += ("give", "take back", "correct", "undo", "reweigh", "move", "price later")
    numbers = [
        [(place * 7919 + salt * 104729) % 10**6 for salt in range(5)]
        for place in range(120)
    ]
    steps = [(verbs[at % len(verbs)], row) for at, row in enumerate(numbers)]
    RandomWorkshop().play(buys + steps)


@pytest.fixture(scope="module", params=["the invented year", "a random workshop"])
def house(request, django_db_setup, django_db_blocker):
    """A whole book once for all tests of this file, and gone afterwards."""
    if request.param == "the invented year":
        with the_year(request, django_db_blocker):
            yield House()
    else:
        with for_a_while(django_db_blocker):
            past()
            yield House()


class House:
    """A book, and everything that it prints of itself."""

    def __init__(self):
        self.desk = Client()
        self.desk.force_login(make.owner())
        self.stock = {row["code"]: row for row in self.told("stock")["lots"]}

    def told(self, command, *words):
        out = io.StringIO()
        call_command(command, *words, "--json", stdout=out)
        return json.loads(out.getvalue())

    def page(self, name, *args, **narrowed):
        """What stands on a page, without its marks."""
        answer = self.desk.get(reverse(name, args=args), narrowed)
        assert answer.status_code == 200, (name, args)
        text = re.sub(r"<title>.*?</title>", " ", answer.content.decode(), flags=re.S)
        # The thin space between groups of figures is none between words.
        return re.sub(r"[ \n\t]+", " ", unescape(re.sub(r"<[^>]+>", " ", text)))

    def sheet(self, name, *args):
        """The rows of a list as it goes out, by the words of its head."""
        answer = self.desk.get(reverse(name, args=args), {"sheet": "xlsx"})
        head, *rows = opened(answer).iter_rows(values_only=True)
        rows = [dict(zip(head, row, strict=True)) for row in rows]
        return [row for row in rows if row[head[0]] != "In all"]

    def sample(self, **facts):
        """The first and the last lots: what was bought, and what came of it."""
        codes = list(
            Lot.objects.filter(**facts).order_by("pk").values_list("code", flat=True)
        )
        half = SAMPLE // 2
        return codes if len(codes) <= SAMPLE else codes[:half] + codes[-half:]


def figure(after, text):
    """The figure that stands behind some words."""
    found = re.search(rf"{re.escape(after)} {FIGURE}", text)
    assert found, f"{after} is not in: {text[:400]}"
    return number(found[1])


def number(printed):
    return Decimal(str(printed).replace("\u202f", "").replace("\N{MINUS SIGN}", "-"))


def on_hand(row):
    """Grams and pieces stand in columns of their own; one of them says it."""
    said = [row.get(head) for head in ("On hand, g", "On hand, pieces")]
    return number(next((one for one in said if one is not None), 0))


def test_what_is_on_hand_is_one_figure(house):
    listed = {row["Lot"]: on_hand(row) for row in house.sheet("lots")}
    filled = {row["Batch no."]: on_hand(row) for row in house.sheet("filled")}
    stands = {}
    for row in house.sheet("places"):
        stands[row["Lot"]] = stands.get(row["Lot"], 0) + on_hand(row)
    assert listed == {code: number(row["on_hand"]) for code, row in house.stock.items()}
    assert filled.items() <= listed.items()
    assert stands == {code: amount for code, amount in listed.items() if amount}
    for code in house.sample():
        assert figure("On hand", house.page("lot", code)) == listed[code], code
        page = house.page("trace", lot=code)
        assert figure("On hand", page) == listed[code], code
        assert figure("Difference", page) == 0, code


def test_what_an_item_has_on_hand_is_the_sum_of_its_lots(house):
    sums = {}
    for row in house.stock.values():
        sums[row["item"]] = sums.get(row["item"], 0) + number(row["on_hand"])
    listed = {row["Name"]: on_hand(row) for row in house.sheet("items")}
    assert {name: amount for name, amount in listed.items() if amount} == {
        name: amount for name, amount in sums.items() if amount
    }


def test_what_one_cost_is_one_figure(house):
    valued = {row["Lot"]: row["Unit cost"] for row in house.sheet("book-value")}
    for code in house.sample():
        known, row = house.stock[code]["unit_cost"], house.stock[code]
        if row["in"] == "0":
            continue
        assert house.told("cost", code)["unit_cost"] == known, code
        page = house.page("lot-cost", code)
        if known is None:
            assert "Not known yet" in page, code
        elif number(known):
            one = "One g" if row["unit"] == "g" else "One piece"
            assert figure(one, page) == round(number(known), 6), code
        if code in valued and known is not None:
            assert round(number(valued[code]), 6) == round(number(known), 6), code


def test_what_the_book_is_worth_is_one_figure(house):
    told = house.told("stock")
    totals = told.get("known", told["totals"])
    page = house.page("book-value")
    for name in ("stock", "work_in_progress", "cost_of_goods_sold", "losses"):
        shown = figure(name.replace("_", " "), page)
        assert shown == round(number(totals[name]), 4), name


def test_how_a_lot_stands_is_one_word(house):
    words = {row["Lot"]: row["Status"] for row in house.sheet("lots")}
    for row in house.sheet("filled"):
        assert words[row["Batch no."]] == row["Status"]
    for code, row in house.stock.items():
        if words[code] != "not fit":
            assert (words[code] or "") == row["status"], code
        else:
            assert row["status"] == "released", code
    for code in house.sample():
        lead = house.page("lot", code).split(f"lot {code} ", 1)[1]
        assert lead.startswith(words[code] or "no status"), (code, lead[:60])


def test_who_has_it_is_told_alike(house):
    for code in house.sample():
        found = house.told("trace", code)
        page = house.page("trace", lot=code)
        for who in found["customers"]:
            assert who in page, (code, who)
        for other in found["back"] + found["forward"]:
            assert other in page, (code, other)
        lead = f"{len(found['back'])} lot"
        assert lead in page, (code, lead)


def test_a_customer_has_the_sales_that_the_list_of_sales_says(house):
    listed = house.sheet("sales")
    for customer in Customer.objects.all():
        own = {row["Number"] for row in house.sheet("customer", customer.pk)}
        assert own == {
            row["Number"] for row in listed if row["Customer"] == customer.name
        }
    counts = {row["Name"]: row["Sales"] for row in house.sheet("customers")}
    for name, count in counts.items():
        assert count == sum(row["Customer"] == name for row in listed)
    assert len(listed) <= Sale.objects.count()


def test_a_batch_and_its_lot_balance_alike(house):
    """How a batch balances stands on its own page and where its lot went."""
    codes = house.sample(batch__isnull=False)
    for lot in Lot.objects.filter(code__in=codes).select_related("batch"):
        batch = house.page("batch", lot.batch.code)
        family = house.page("trace", lot=lot.code)
        for words in ("Went in", "Came out"):
            found = re.search(rf"{words} {FIGURE} g", batch)
            if found is not None:
                assert found[0] in family, (lot.code, found[0])


def test_what_was_expected_of_a_batch_is_in_its_file(house):
    """The page of the batch and the history file say the same."""
    told = {}
    for event in json.loads(write("USD", history_events()))["events"]:
        if "expected" in event and "code" in event:
            told[event["code"]] = event["expected"]
    for batch in Batch.objects.exclude(expected=None).order_by("pk")[:SAMPLE]:
        page = house.page("batch", batch.code)
        if batch.code in told:
            before = re.search(r"([\d\u202f.]+)(?: g| pcs)? should come out", page)
            assert before, batch.code
            assert number(before[1]) == number(told[batch.code]), batch.code


def test_what_is_in_a_lot_is_one_list(house):
    """The ingredients of a lot, on its page and from the command."""
    for code in house.sample(batch__isnull=False, item__unit="piece"):
        page = house.page("lot-ingredients", code)
        assert declared(house, code) in page, code


def declared(house, code):
    """The list that the command prints, or why it prints none."""
    try:
        told = house.told("declare", code, "--rules", "us")
    except CommandError as refusal:
        return " ".join(str(refusal).split())
    return ", ".join(told["ingredients"])
