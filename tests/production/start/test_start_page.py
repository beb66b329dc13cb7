"""What the day asks for: each line leads to its act, what is empty says so once."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.buying.actions.purchases import price_line
from production.correcting.actions.undoing import undo_deed
from production.models import Item
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, reject_lot
from tests import make
from tests.make import act


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """It is the tenth of March 2026."""
    monkeypatch.setattr("production.start.views.start.today", lambda: make.day(10))


def start(desk):
    return desk.get(reverse("start")).content.decode()


def lines(page):
    """Each line under its heading, in words, with where its act leads."""
    found = {}
    for title, body in re.findall(r"(?s)<h2>(.*?)</h2>\s*<ul[^>]*>(.*?)</ul>", page):
        found[title] = [
            (
                re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", line)).strip(),
                (re.findall(r'class="does" href="([^"]*)"', line) or [""])[0],
            )
            for line in re.findall(r"(?s)<li>(.*?)</li>", body)
        ]
    return found


def calm(page):
    return "".join(re.findall(r'<p class="nothing">(.*?)</p>', page))


def paste(code, version=None, **facts):
    return make.cook(code=code, version=version, on=make.day(9), **facts)


def test_an_empty_book_says_where_to_begin(desk):
    page = start(desk)
    assert "The book is empty." in page
    assert not lines(page)
    assert not calm(page)


def test_a_quiet_day_is_one_sentence(desk):
    make.lot()
    page = start(desk)
    assert "Nothing asks for a hand." in page
    assert not lines(page)
    assert calm(page) == (
        "No batch is open, nothing waits, nothing rests, nothing is held, nothing is "
        "short, nothing expires within 30 days and every purchase has its price."
    )


def test_the_acts_of_the_day_stand_in_a_row(desk):
    page = start(desk)
    for name in ("purchase-record", "sale-sell"):
        assert f'<li><a href="{reverse(name)}">' in page
    assert f'<li><a href="{reverse("batch-run", args=["cook"])}">Cook a paste' in page


def test_an_open_batch_leads_to_its_next_step(desk):
    oil = make.lot()
    start_batch(stage="cook", code="B1", **make.act(9))
    fed = start_batch(stage="dilution", code="B2", **make.act(9))
    use_lots(batch=fed, uses=[Use(lot=oil, amount=Decimal(9))], **make.act(9))
    page = start(desk)
    assert lines(page) == {
        "Under way": [
            ("Cook B1 since 2026-03-09 Use lots: Cook B1", "/batches/B1/use/"),
            (
                "Dilution B2 since 2026-03-09 Make the lot: Dilution B2",
                "/batches/B2/make/",
            ),
        ]
    }
    assert "2 under way." in page
    assert "No batch is open" not in page


def test_what_waits_leads_to_its_check_and_then_to_its_release(desk):
    paste("P1")
    paste("P2", readings=[make.check(False)])
    paste("P3", readings=[make.check()])
    make.lot("L1", status="quarantine")
    waits = lines(start(desk))["Waits for a check or release"]
    assert [(line.split(" g ")[1], link) for line, link in waits] == [
        (
            "not tested yet Note the check: paste P1",
            "/lots/P1/measure/?what=neutrality",
        ),
        (
            "the neutrality check failed Test it again: paste P2",
            "/lots/P2/measure/?what=neutrality",
        ),
        ("waits for its release Release it: paste P3", "/lots/P3/release/"),
        ("waits for its release Release it: rapeseed oil L1", "/lots/L1/release/"),
    ]


def test_what_was_checked_as_a_batch_waits_for_no_check(desk):
    lot = paste("P1")
    note_measurement(batch=lot.batch, readings=[make.check()], **make.act(9))
    ((_, link),) = lines(start(desk))["Waits for a check or release"]
    assert link == "/lots/P1/release/"


def test_a_lot_rests_until_its_day_and_waits_from_then_on(desk, monkeypatch):
    paste("P1", make.version(rest_days=14))
    page = start(desk)
    ((line, link),) = lines(page)["Rests"]
    assert "until 2026-03-23" in line
    assert link == "/lots/P1/measure/?what=neutrality"
    assert "Waits for a check or release" not in lines(page)
    monkeypatch.setattr("production.start.views.start.today", lambda: make.day(23))
    assert set(lines(start(desk))) == {"Waits for a check or release"}


def test_a_held_lot_leads_to_its_release(desk):
    hold_lot(lot=make.lot("L1"), reason="cloudy", **make.act(9))
    held = lines(start(desk))["Held"]
    assert held == [
        ("rapeseed oil L1 1 000 g Release it: rapeseed oil L1", "/lots/L1/release/")
    ]


def watch(item, low_at):
    Item.objects.filter(pk=item.pk).update(low_at=Decimal(low_at))


def test_an_item_is_short_below_its_level_and_not_at_it(desk):
    oil = make.lot(grams="1000").item
    watch(oil, "1000")
    assert "nothing is short" in calm(start(desk))
    watch(oil, "1000.001")
    assert lines(start(desk))["Short"] == [
        (
            "rapeseed oil 1 000 g released, short below 1 000.001 g "
            "Record a purchase: rapeseed oil",
            "/purchases/record/",
        )
    ]


def test_only_what_is_released_counts_against_being_short(desk):
    oil = make.lot(grams="1000").item
    make.lot(grams="500", status="quarantine")
    watch(oil, "1200")
    assert "1 000 g released" in lines(start(desk))["Short"][0][0]


def test_an_item_of_which_nothing_is_left_is_short(desk):
    make.lot()
    watch(make.item("citric acid"), "1")
    assert "citric acid 0 g released" in lines(start(desk))["Short"][0][0]


def test_what_is_made_here_and_short_leads_to_its_making(desk):
    soap = make.item("diluted soap", kind="made")
    oil = make.lot().item
    line = NewVersionLine(oil, share=Decimal("0.5"))
    make.version("dilution", makes=soap, lines=[line])
    watch(soap, "500")
    assert lines(start(desk))["Short"][0][1] == "/batches/run/dilution/"


def test_what_expires_within_a_month_is_told_and_what_has_is_discarded(desk):
    make.lot("OLD", expires=make.day(9))
    make.lot("SOON", expires=make.day(10))
    make.lot("LAST", expires=make.day(31).replace(month=4, day=9))
    make.lot("LATER", expires=make.day(31).replace(month=4, day=10))
    reject_lot(lot=make.lot("BAD", expires=make.day(9)), reason="rancid", **make.act(9))
    expires = lines(start(desk))["Expires"]
    assert [line.split(" g ")[1] for line, _ in expires] == [
        "expired 2026-03-09 Discard it: rapeseed oil OLD",
        "good until 2026-03-10",
        "good until 2026-04-09",
    ]
    assert expires[0][1] == "/lots/OLD/discard/"


def test_a_purchase_without_a_price_leads_to_writing_it(desk):
    lot = make.lot("L1", price=None)
    ((line, link),) = lines(start(desk))["Price still missing"]
    assert "1 000 g from Northmere Oils" in line
    assert link == reverse("line-price", args=[lot.line_id])
    price_line(line=lot.line, price=Decimal(9), **make.act(9))
    assert "every purchase has its price" in calm(start(desk))


def test_a_purchase_that_was_taken_back_asks_for_no_price(desk):
    lot = make.lot("L1", price=None)
    purchase = lot.line.purchase
    undo_deed(undone=purchase.deed, reason="twice", **make.act(9))
    assert "Price still missing" not in lines(start(desk))


def test_the_page_asks_the_same_for_2_lines_and_for_9(desk):
    make.item("rapeseed oil", category="oil")

    def more(number):
        start_batch(stage="cook", version=make.version(), **make.act(9))
        paste(f"P{number}", make.version(rest_days=3))
        paste(f"W{number}", readings=[make.check()])
        hold_lot(lot=make.lot(), reason="cloudy", **make.act(9))
        watch(make.item(f"salt {number}"), "5")
        make.lot(expires=make.day(12))
        make.lot(price=None)

    def asked():
        with CaptureQueriesContext(connection) as questions:
            found = lines(start(desk))
        assert len(found) == 7
        return len(questions), min(len(some) for some in found.values())

    for number in range(2):
        more(number)
    few, shown = asked()
    assert shown == 2
    for number in range(2, 9):
        more(number)
    assert asked() == (few, 9)


def test_a_long_list_is_cut_and_says_so(desk):
    for number in range(51):
        hold_lot(lot=make.lot(f"H{number}"), reason="cloudy", **make.act(9))
    page = start(desk)
    assert "50 or more held." in page
    assert len(lines(page)["Held"]) == 50
    assert "The first 50; the rest follows as these are done." in page


def test_what_a_failed_check_stops_stands_first(desk):
    soap = make.filled("HS-1")
    source = soap.batch.movements.get(lot__item__name="diluted soap").lot
    note_measurement(lot=source, readings=[make.check(False)], **act())
    page = desk.get(reverse("start")).content.decode()
    assert "2 stopped by a check" in page
    assert reverse("lot", args=["HS-1"]) in page
    note_measurement(lot=soap, readings=[make.check()], **act())
    assert "1 stopped by a check" in desk.get(reverse("start")).content.decode()
