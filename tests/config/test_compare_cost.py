"""Two versions side by side with what their materials cost."""

import re
from decimal import Decimal as D

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.models import ReferenceOil
from production.recipes.actions.formulas import NewVersionLine
from production.yields.domain.hours_and_losses import NewWork
from tests import make

pytestmark = pytest.mark.django_db
PAGE = "compare-cost"
NONE, MINUS = "\N{EN DASH}", "\N{MINUS SIGN}"


@pytest.fixture
def water():
    return make.item("tap water", category="water", on_tap=True, tap_price=D("0.01"))


def stuff(name, price="2.00"):
    """A material and a delivery of 1,000 g of it."""
    item = make.item(name, category="additive")
    make.lot(item=item, price=price)
    return item


def version(*parts, stage="finishing", **terms):
    lines = [NewVersionLine(item, share=D(share)) for item, share in parts]
    makes = make.item("finished soap", kind="made")
    return make.version(stage, makes=makes, lines=lines, **terms)


def page(desk, a, b):
    answer = desk.get(reverse(PAGE), {"a": a.pk, "b": b.pk})
    assert answer.status_code == 200
    return answer.content.decode()


def rows(html):
    """What each line of the table says, cell by cell."""
    found = re.findall(r"<tr>(.*?)</tr>", html, re.S)
    lines = []
    for row in found:
        cells = re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row, re.S)
        said = [" ".join(re.sub(r"<[^>]+>", "", cell).split()) for cell in cells]
        lines.append(said)
    return {re.sub(r" [A-Z]+-?[0-9]+$", "", line[0]): line[1:] for line in lines}


def test_before_anything_is_chosen_there_are_two_selects(desk):
    html = desk.get(reverse(PAGE)).content.decode()
    assert html.count("<select") == 2
    assert "<table" not in html


def test_shares_and_costs_stand_line_by_line_and_add_up(desk, water):
    glycerin, salt = stuff("glycerin", "4.00"), stuff("salt", "1.00")
    a = version((glycerin, "0.5"), (salt, "0.5"))
    b = version((glycerin, "0.25"))
    found = rows(page(desk, a, b))
    assert found["glycerin"] == ["50 %", "25 %", "2.0000", "1.0000", f"{MINUS}1.0000"]
    assert found["salt"] == ["50 %", NONE, "0.5000", NONE, f"{MINUS}0.5000"]
    assert found["tap water"] == [NONE, "750 g", NONE, "0.0075", "0.0075"]
    total = found["In all, 1,000 g made"]
    assert [cell.split()[0] for cell in total[2:]] == [
        "2.5000",
        "1.0075",
        f"{MINUS}1.4925",
    ]


def test_what_was_made_here_counts_with_its_work_and_the_page_says_so(desk, water):
    """1,000 g of paste took 2.00 of oil and an hour of 6.00: 8.00, work in it."""
    paste = make.batch(
        uses=[(make.lot(grams="1000", price="2.00"), "1000")],
        amount="1000",
        makes="paste",
        work=[NewWork("labour", D(1), D(6))],
    )
    one = version((paste.item, "0.5"))
    html = page(desk, one, one)
    [line] = [cells for name, cells in rows(html).items() if name.startswith("paste")]
    assert line[2] == "4.0000"
    said = " ".join(html.split())
    assert "A lot that was made here cost its work, too, and that is in it" in said
    assert "Materials only" not in said


def test_a_cook_has_its_alkali_and_a_total_for_its_oils(desk, water):
    kind = ReferenceOil.objects.filter(kind="fat").order_by("pk")[0]
    oil = make.item("rapeseed oil", category="oil", oil=kind)
    make.lot(item=oil, price="6.00")
    make.koh()
    line = NewVersionLine(oil, share=D(1))
    terms = {"lines": [line], "water_per_alkali": D(2)}
    lean = make.version(superfat=D("0.05"), **terms)
    rich = make.version(superfat=D("0.01"), **terms)
    html = page(desk, lean, rich)
    found = rows(html)
    assert found["rapeseed oil"][:2] == ["100 %", "100 %"]
    less, more = (D(cell.split()[0]) for cell in found["potassium hydroxide"][:2])
    assert 0 < less < more
    assert D(found["In all, 1,000 g of oils"][2].split()[0]) > 6
    beside = rows(page(desk, lean, version((oil, "1"))))
    assert beside["In all, 1,000 g of oils"][3:] == [NONE, NONE]
    assert "expects no loss" in html


def test_one_piece_and_1000_g_are_not_subtracted(desk, water):
    soap = stuff("finished soap of old")
    made = make.item("bottle of soap", kind="made", unit="piece")
    bottled = make.version(
        "filling", makes=made, lines=[NewVersionLine(soap, each=D(250))]
    )
    found = rows(page(desk, bottled, version((soap, "1"))))
    assert found["finished soap of old"] == ["250 g", "100 %", "0.5000", "2.0000", NONE]
    assert "In all, one piece or 1,000 g made" in found


def test_what_is_missing_is_named_with_a_link_and_makes_the_total_unknown(desk, water):
    salt = make.item("salt", category="salt")
    lot = make.lot("S-1", item=salt, price=None)
    never = make.item("borage oil", category="additive")
    html = page(desk, version((salt, "1")), version((never, "1")))
    assert lot.line.purchase.get_absolute_url() in html
    assert never.get_absolute_url() in html
    found = rows(html)
    assert found["salt"][2] == "unknown"
    assert found["In all, 1,000 g made"][2:] == ["unknown"] * 3


def test_a_cook_without_a_purity_is_not_worked_out_and_says_why(desk, water):
    html = page(desk, make.version(superfat=D(0)), make.version(superfat=D(0)))
    assert "Nothing is taken as zero" in html
    assert "<table" not in html


def test_a_version_beside_itself_differs_in_nothing(desk, water):
    one = version((stuff("salt"), "0.2"))
    assert MINUS not in page(desk, one, one)


def test_a_version_that_is_not_there_is_a_fault_of_the_form(desk):
    html = desk.get(reverse(PAGE), {"a": "0", "b": "0"}).content.decode()
    assert "errorlist" in html
    assert "<table" not in html


def test_the_page_asks_the_same_however_much_there_is(desk, water):
    def asked(a, b):
        with CaptureQueriesContext(connection) as seen:
            page(desk, a, b)
        return len(seen)

    paste = make.batch(uses=[(make.lot(), "500")], amount="500", makes="paste")
    first = stuff("additive 0")
    short = version((paste.item, "0.5"), (first, "0.1")), version((first, "0.1"))
    asked(*short)  # what is asked once a process is asked by now
    few = asked(*short)
    many = [(stuff(f"additive {number}"), "0.02") for number in range(1, 20)]
    for number in range(5):
        make.batch(uses=[(make.lot(), "500")], amount="500", makes="paste")
        make.batch(uses=[(make.lot(), "5")], amount="5", makes=f"other {number}")
    long = version((paste.item, "0.5"), *many), version(*many)
    assert asked(*long) == few
