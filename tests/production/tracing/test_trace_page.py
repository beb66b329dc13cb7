"""From where, into what, and who has it: told, drawn and balanced."""

import re
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.losing import name_loss
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.models import Customer
from production.selling.actions.sales import take_back
from production.tracing.reads.family import lot_balance
from production.workshop.actions.cards import ensure_place
from production.yields.domain.hours_and_losses import NewLoss
from tests import make
from tests.once import remembered


def traced(desk, code):
    return desk.get(reverse("trace"), {"lot": code}).content.decode()


def text(page):
    """What is read, without its markup."""
    page = re.sub(r"(?s)<svg.*?</svg>", "", page).replace("<br>", " ")
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page)).replace(" ,", ",")


def drawn(page):
    """The SVG, read as strictly as a machine would."""
    (svg,) = re.findall(r'(?s)<svg class="drawn".*?</svg>', page)
    return ElementTree.fromstring(svg)


def says(picture):
    return [title.text for title in picture.iter("title")]


@pytest.fixture
@remembered
def season(owner):
    """Oil and caps, a paste, soap, and forty bottles of it."""
    oil = make.lot("OIL-1", grams="1000", item=make.item("olive oil"))
    caps = make.bottles("CAP-1", pieces="50")
    paste = make.batch(
        "cook", uses=[(oil, "500")], makes="paste", amount="450", code="P-1"
    )
    name_loss(
        batch=paste.batch,
        losses=[NewLoss(kind="bench sample", amount=Decimal(20))],
        **make.act(),
    )
    soap = make.batch("dilution", uses=[(paste, "400")], amount="400", code="S-1")
    filled = make.batch(
        "filling",
        uses=[(soap, "400"), (caps, "40")],
        makes="hand wash",
        unit="piece",
        amount="40",
        net_mass="9.9",
        code="F-1",
    )
    return {"oil": oil, "paste": paste, "soap": soap, "filled": filled}


@pytest.fixture
def sold(season):
    """Some of the bottles at an inn, some of these back, some at a stall, one given."""
    filled = season["filled"]
    inn = make.sale(filled, "12", customer="Harbour Inn", channel="wholesale")
    Customer.objects.filter(name="Harbour Inn").update(contact="+1 555 0100")
    take_back(line=inn.lines.get(), amount=Decimal(2), then="restock", **make.act(4))
    make.sale(filled, "5", customer=None, channel="quay stall", on=make.day(3))
    make.sale(filled, "6", customer=None, channel="quay stall", on=make.day(5))
    give(lot=filled, amount=Decimal(1), why="gift", **make.act(6))
    return season


@pytest.mark.parametrize("code", ["OIL-1", "P-1", "F-1"])
def test_who_has_it_stands_first_with_contact_amount_and_day(desk, sold, code):
    page = traced(desk, code)
    assert page.index("Who has it</h2>") < page.index("The family</h2>")
    read = text(page)
    inn = "Harbour Inn +1 555 0100 F-1 hand wash 2026-03-02 wholesale 10 pcs 2 pcs came"
    assert inn in read
    stall = "Quay stall F-1 hand wash 2026-03-03 5 pcs 2026-03-05 6 pcs 11 pcs"
    assert stall in read
    assert "Gift F-1 hand wash 2026-03-06 1 pc" in read


def test_what_still_stands_here_or_elsewhere_is_told_with_it(desk, sold):
    move_lot(
        lot=sold["filled"],
        amount=Decimal(8),
        to=ensure_place("corner shop"),
        **make.act(7),
    )
    read = text(traced(desk, "P-1"))
    still = read[read.index("Still on hand") :]
    assert "F-1 hand wash released corner shop 8 pcs" in still
    assert "P-1 paste released workshop 50 g" in still


def test_nobody_is_named_before_something_left(desk, season):
    page = traced(desk, "OIL-1")
    assert "Nothing of it has left the workshop." in page
    assert "Who has it" not in page


def test_a_sale_that_was_taken_back_whole_names_nobody(desk, season, owner):
    sale = make.sale(season["filled"], "3", customer="Harbour Inn")
    undo_deed(undone=sale.deed, reason="typed twice", **make.act(3))
    assert "Harbour Inn" not in traced(desk, "F-1")


def test_the_tables_tell_how_much_went_on_and_was_taken(desk, season):
    back = text(traced(desk, "F-1"))
    assert "OIL-1 olive oil Northmere Oils 500 g into P-1 500 g" in back
    assert "CAP-1 bottle 250 Northmere Oils 40 pcs into F-1 10 pcs" in back
    ahead = text(traced(desk, "OIL-1"))
    assert "S-1 diluted soap 400 g of P-1 400 g 0 g" in ahead
    assert "F-1 hand wash 400 g of S-1 40 pcs 40 pcs" in ahead


def test_a_lot_balances_to_nothing(desk, sold):
    count_lot(lot=sold["filled"], found=Decimal(17), **make.act(8, reason="broken"))
    discard(lot=sold["filled"], amount=Decimal(2), reason="leaking", **make.act(9))
    found = lot_balance(sold["filled"])
    assert (found.came, found.on_hand, found.difference) == (40, 15, 0)
    assert found.parts == {
        "sold": 23,
        "returned": -2,
        "given": 1,
        "counted": 1,
        "discarded": 2,
    }
    assert (
        "40 pcs came in = 23 pcs sold \N{MINUS SIGN} 2 pcs came back + 1 pc given "
        "+ 1 pc missing at a count + 2 pcs discarded + 15 pcs on hand."
    ) in text(traced(desk, "F-1"))


def test_what_was_mended_balances_too(desk, season):
    entry = season["soap"].batch.movements.get(kind="used")
    correct_movement(
        movement=entry, amount=Decimal(410), reason="misread", **make.act(3)
    )
    found = lot_balance(season["paste"])
    assert (found.parts, found.on_hand, found.difference) == ({"used": 410}, 40, 0)


def test_a_made_lot_shows_how_its_batch_balances(desk, season):
    read = text(traced(desk, "P-1"))
    assert (
        "500 g went in, 450 g came out, 20 g bench sample, 30 g boiled off: what no "
        "name accounts for."
    ) in read
    assert "400 g went in, 396 g came out, 4 g difference." in text(traced(desk, "F-1"))
    assert "How its" not in traced(desk, "OIL-1")


def test_the_batch_page_says_the_same_and_leads_to_its_lists(desk, season):
    page = desk.get(reverse("batch", args=[season["paste"].batch.code]))
    page = page.content.decode()
    assert "500 g went in, 450 g came out, 20 g bench sample" in text(page)
    for anchor in ("entries", "losses"):
        assert f'href="#{anchor}"' in page
        assert f'id="{anchor}"' in page


def test_more_than_went_in_is_said_so(desk, season):
    made = make.batch(
        "dilution", uses=[(season["oil"], "100")], amount="100.5", code="D-9"
    )
    page = desk.get(reverse("batch", args=[made.batch.code])).content.decode()
    assert "\N{MINUS SIGN}0.5 g difference: more came out than went in." in text(page)


def test_the_picture_leads_to_every_lot_and_customer(desk, sold):
    picture = drawn(traced(desk, "P-1"))
    links = {link.get("href") for link in picture.iter("a")}
    inn = Customer.objects.get(name="Harbour Inn")
    assert links == {
        *(reverse("lot", args=[code]) for code in ("OIL-1", "P-1", "S-1", "F-1")),
        inn.get_absolute_url(),
    }
    assert "Northmere Oils" in {words.text for words in picture.iter("text")}


def test_the_picture_says_the_share_that_a_line_shows(desk, sold):
    told = says(drawn(traced(desk, "F-1")))
    assert "P-1 into S-1: 100.0% of what was made" in told
    assert "F-1 to Harbour Inn: 25.0% of it" in told
    assert "CAP-1 into F-1" in told


def test_the_picture_carries_no_style_and_has_a_name(desk, sold):
    picture = drawn(traced(desk, "F-1"))
    assert not [node for node in picture.iter() if node.get("style")]
    (name,) = [n.text for n in picture.iter("title") if n.get("id") == "tree-title"]
    assert picture.get("aria-labelledby") == "tree-title"
    assert "hand wash F-1" in name


def test_names_of_other_hands_do_no_harm_in_the_picture(desk, season):
    make.sale(season["filled"], "1", customer='<b>"Tom" & Co')
    assert '<b>"Tom" & Co: 1 pc' in says(drawn(traced(desk, "F-1")))


def test_a_lot_without_family_has_no_picture(desk):
    make.lot("L1")
    assert "The family" not in traced(desk, "L1")


def test_a_large_family_is_folded_and_says_so(desk):
    oil = make.lot("OIL-1", grams="9000", item=make.item("olive oil"))
    uses = [(oil, "100")]
    uses += [(make.bottles(f"B{number}"), "1") for number in range(61)]
    make.batch("cook", uses=uses, makes="paste", code="P-1")
    page = traced(desk, "P-1")
    assert "these stand as one: 61 lots of bottle 250." in text(page)
    assert len(list(drawn(page).iter("a"))) == 2
    assert all(f">B{number}</a>" in page for number in range(61))


@pytest.mark.parametrize("code", ["OIL-1", "F-0"])
def test_a_trace_asks_the_same_for_2_lots_and_for_9(desk, code):
    oil = make.lot("OIL-1", grams="9000", item=make.item("olive oil"))

    def more(number):
        made = make.batch(
            "filling",
            uses=[(oil, "10"), (make.bottles(), "10")],
            makes="hand wash",
            unit="piece",
            amount="10",
            net_mass="1",
            code=f"F-{number}",
        )
        sale = make.sale(made, "2", customer=f"Customer {number}")
        take_back(
            line=sale.lines.get(), amount=Decimal(1), then="restock", **make.act()
        )

    def asked():
        with CaptureQueriesContext(connection) as questions:
            traced(desk, code)
        return len(questions)

    more(0)
    more(1)
    # What a process asks only once is asked by then.
    asked()
    few = asked()
    for number in range(2, 9):
        more(number)
    assert asked() == few
