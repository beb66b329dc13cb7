"""What a row of a sheet of purchases buys: its item, its amount, its price."""

from decimal import Decimal

import pytest

from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.models import Item
from tests import make
from tests.production.buying.sheet_cases import HEAD, OIL, csv
from tests.production.buying.sheets_read import faults, imported, read


@pytest.fixture
def book(db, owner):
    """An empty book with one person."""
    return owner


def test_known_names_are_found_whatever_their_capitals(book):
    make.item("Olive Oil")
    ensure_supplier("Northmere oils")
    found = read(csv(OIL))
    assert (found.faults, found.new_items, found.new_suppliers) == ([], [], [])
    assert found.arrivals[0].items == ("Olive Oil",)


def test_a_new_item_close_to_a_known_one_is_asked_about(book):
    make.item("castor oil")
    row = (*OIL[:3], "castor oill", "", *OIL[5:])
    assert faults(csv(row)) == [
        "E2: castor oill is new here: write material or packaging. Or is castor oil "
        "meant?"
    ]


def test_a_card_is_not_changed_by_a_sheet(book):
    make.item("olive oil", category="oil")
    head = (*HEAD, "Category")
    told = faults(csv((*OIL, "salt"), head=head))
    assert told == [
        "H2: olive oil has oil on its card, not salt. Leave this empty, or mend the "
        "card."
    ]


@pytest.mark.parametrize(
    ("name", "category", "says"),
    [
        ("green dust", "", "H2: Say what green dust is: choose its category."),
        ("caustic potash", "salt", "H2: caustic potash is the name of a strong alkali"),
        ("flakes 25", "alkali", "H2: Which alkali is flakes 25? Write KOH or NaOH"),
    ],
)
def test_what_a_new_material_is_must_be_clear(book, name, category, says):
    row = (*OIL[:3], name, *OIL[4:], category)
    [told] = faults(csv(row, head=(*HEAD, "Category")))
    assert told.startswith(says)


def test_a_tub_is_taken_in_as_alkali_by_its_name(book, tmp_path):
    imported(tmp_path, csv((*OIL[:3], "Natronlauge", *OIL[4:])), name="bought.csv")
    item = Item.objects.get()
    assert (item.category, item.alkali) == ("alkali", "NaOH")


def test_bought_soap_is_soap(book, tmp_path):
    row = (*OIL[:3], "olive paste", *OIL[4:], "soap")
    imported(tmp_path, csv(row, head=(*HEAD, "Category")), name="bought.csv")
    assert Item.objects.get().category == Item.Category.SOAP


def test_a_card_without_a_role_is_asked_about_once(book):
    make.item("green dust")
    row = (*OIL[:3], "green dust", "", *OIL[5:])
    again = ("2026-03-02", "Northmere Oils", "NO-2", *row[3:])
    [told] = faults(csv(row, again))
    assert told.startswith("D2: Say what green dust is")


@pytest.mark.parametrize(
    ("text", "fits"),
    [("KOH flakes, 1310-58-3", False), ("deposit for the lye drum", True)],
)
def test_an_alkali_is_not_hidden_as_something_not_stocked(book, text, fits):
    head = (*HEAD, "Not stocked")
    row = (*OIL[:3], "", "", "", "7", text)
    told = faults(csv((*OIL, ""), row, head=head))
    assert bool(told) != fits
    assert fits or "H3: KOH flakes, 1310-58-3 is the name of a strong alkali" in told[0]


def test_packaging_is_counted(book):
    row = (*OIL[:3], "bottle", "packaging", "250*12", "40")
    found = read(csv(row))
    assert found.arrivals[0].lines[0].lots[0].amount == 3000
    assert found.new_items[0].unit == "piece"


def test_a_volume_takes_the_density_of_its_row(book):
    head = (*HEAD, "Density")
    found = read(csv((*OIL[:5], "128 fl oz", "40", "0.92"), head=head))
    assert found.arrivals[0].lines[0].lots[0].amount == Decimal("3482.579")
    told = faults(csv((*OIL[:5], "128 fl oz", "40", "920"), head=head))
    assert len(told) == 1
    assert told[0].startswith("H2: 920 g/mL is no density of anything here")
    assert told[0].endswith("Write grams for one mL, such as 0.92.")


@pytest.mark.parametrize(
    ("printed", "says"),
    [
        ("52.5", ""),
        ("52.49", "0.01 is too much"),
        ("60", "add up to 52.5, the invoice says 60: 7.5 is missing"),
    ],
)
def test_an_invoice_adds_up_to_its_printed_total(book, printed, says):
    head = (*HEAD, "Not stocked", "Recoverable tax", "Extra cost", "Extra amount")
    rows = [
        (*OIL, "", "2", "", "", printed),
        ("", "", "", "", "", "", "7", "deposit", "", "", "", ""),
        ("", "", "", "", "", "", "", "", "", "freight", "5", ""),
        ("", "", "", "", "", "", "", "", "", "credit", "-1.5", ""),
    ]
    told = faults(csv(*rows, head=(*head, "Invoice total")))
    assert says in " ".join(told)
    assert bool(told) == bool(says)


def test_a_total_is_not_compared_while_a_price_is_open(book):
    row = (*OIL[:6], "", "40")
    told = faults(csv(row, head=(*HEAD, "Invoice total")))
    assert told[0].startswith("H2: A price is still open")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ({"Extra cost": "freight", "Item": ""}, "F2: This row is of an extra cost"),
        ({"Extra cost": "freight"}, "A row is an item, something not stocked, or"),
        ({"Extra amount": "4"}, "I2: This row is of goods: leave Extra amount empty"),
        ({"Tax": "4", "Price": ""}, "J2: Write the price of the line, too."),
        ({"Amount": ""}, "F2: Write how much arrived"),
        ({"Invoice no.": ""}, "C2: Write the number"),
        ({"Date arrived": ""}, "A2: Write the day on which it arrived."),
        ({"Supplier": ""}, "B2: Write who sent it."),
        ({"Date arrived": "2999-01-01"}, "A2: 2999-01-01 is still to come"),
        ({"Kind": "made here"}, "E2: made here is not known here. Write material,"),
        ({"Price": "-4"}, "G2: -4 is below zero"),
    ],
)
def test_a_row_that_is_not_clear_is_refused_in_its_cell(book, row, says):
    head = (*HEAD, "Extra cost", "Extra amount", "Tax")
    words = dict(zip(HEAD, OIL, strict=True)) | row
    told = faults(csv([words.get(title, "") for title in head], head=head))
    assert any(says in fault for fault in told), told


@pytest.mark.parametrize(("amount", "fits"), [("-4", True), ("4", False)])
def test_a_credit_has_its_minus(book, amount, fits):
    head = (*HEAD, "Extra cost", "Extra amount")
    credit = ("", "", "", "", "", "", "", "Credit", amount)
    told = faults(csv((*OIL, "", ""), credit, head=head))
    assert told == ([] if fits else [told[0]])
    assert fits or told[0].startswith("I3: A credit is written with a minus")


def test_lots_of_one_line_are_of_one_item_and_carry_one_price(book):
    head = (*HEAD, "Line", "Lot code")
    other = ("", "", "", "salt", "material", "1 kg", "3", "1", "A")
    told = faults(csv((*OIL, "1", "A"), other, head=head))
    assert told == [
        "G3: Price of this line stands in row 2: it is that of the whole line, so "
        "leave this one empty.",
        "H3: Row 2 has the same mark for another item.",
        "I3: The code A stands in row 2 already.",
    ]


def test_a_closed_month_and_a_taken_code_are_seen_beforehand(book):
    make.lot("A", on=make.day(1))
    close_book(through=make.day(2), past=True, on=make.day(3), by=book)
    told = faults(csv((*OIL, "A"), head=(*HEAD, "Lot code")))
    assert told == [
        "A2: The book is closed through 2026-03-02. Date it in an open month.",
        "H2: The code A is taken. Choose another.",
    ]
