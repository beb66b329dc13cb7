"""One table of texts, asked at every door: each has one reading, a question, or none.

Marks of decimals and groups as the locales have them (CLDR 45, numbers; from memory):
en 1,234.5, de 1.234,5, fr and pl 1 234,5, de-CH 1'234.5, en-IN 12,34,567.
"""

import re
from decimal import Decimal
from html import unescape

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from production.buying.domain.purchase_columns import column_of
from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.chemistry.domain.saponify_file import read_pot
from production.pages.forms.fields import MoneyField, NumberField
from production.papers.files.sheets_in import read_sheet
from production.quantities.domain.number_text import read_number
from production.quantities.domain.numbers import grouped
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_amount
from production.record.domain.text import Group
from production.templatetags import formatting as house
from tests.production.buying.sheet_cases import OIL, csv, xlsx

READ = {
    "1234.5": "1234.5",
    "1,234.5": "1234.5",
    "1.234,5": "1234.5",
    "1.234,50": "1234.50",
    "1 234,5": "1234.5",
    "1\u00a0234,5": "1234.5",
    "1\u202f234.5": "1234.5",
    "1\u2009234.5": "1234.5",
    "1'234.5": "1234.5",
    "1\u2019234.50": "1234.50",
    "1,234,567": "1234567",
    "1.234.567": "1234567",
    "12,34,567": "1234567",
    "1 234": "1234",
    "0.500": "0.500",
    "1.2340": "1.234",
    "0,500": "0.500",
    "12,5": "12.5",
    "1/2": "0.5",
    "\u00bd": "0.5",
    "1 1/2": "1.5",
    "1\u00bd": "1.5",
}
TWO = {
    "1,234": ("1234", "1.234"),
    "12,500": ("12500", "12.5"),
    "1.250": ("1250", "1.25"),
    "25.000": ("25000", "25"),
    "100.000": ("100000", "100"),
}
REFUSED = (
    *("1,50,0", "1.2.3", "1 23", "12 34", "5.", "1/3", "1/0", "1e3", "1_000", "0x10"),
    *("NaN", "Infinity", "10\u00b2", "\u2460", "\u0661\u0662", "\uff11\uff12", "3-4"),
    *("1'23", "1 234'567", "9" * 70, "", "much"),
)


def in_box(text):
    return NumberField(places=4).clean(text)


def as_money(text):
    return MoneyField().clean(text)


def as_amount(text):
    return read_amount(f"{text} g" if text else "").grams_or_pieces


def _price(made, text):
    read = PurchaseSheet(lay_out(read_sheet(made((*OIL[:6], text)))))
    if read.faults:
        raise Refused(str(read.faults[0]))
    price = read.arrivals[0].lines[0].price
    if price is None:
        raise Refused("nothing stands there")
    return price


def in_csv(text):
    return _price(csv, text)


def in_xlsx(text):
    return _price(xlsx, text)


DOORS = (read_number, in_box, as_money, as_amount, in_csv, in_xlsx)


@pytest.fixture
def book(db, owner):
    return owner


@pytest.mark.parametrize("door", DOORS)
def test_every_text_is_read_alike_at_every_door(book, door):
    for text, figure in READ.items():
        assert door(text) == Decimal(figure), text


@pytest.mark.parametrize("door", DOORS)
def test_two_readings_are_asked_about_with_both(book, door):
    for text, (whole, part) in TWO.items():
        with pytest.raises((Refused, ValidationError), match=f"{whole} or {part}"):
            door(text)


# A page prints 374.592 g, and of money never three places.
MEASURED, NOT_MEASURED = (read_number, in_box, as_amount), (as_money, in_csv, in_xlsx)


@pytest.mark.parametrize("text", ["1.234", "374.592"])
def test_a_point_before_three_figures_is_asked_about_save_where_it_is_measured(
    book, text
):
    for door in MEASURED:
        assert door(text) == Decimal(text)
    whole = text.replace(".", "")
    for door in NOT_MEASURED:
        with pytest.raises((Refused, ValidationError), match=f"{whole} or {text}0"):
            door(text)
    assert as_money(f"{text}0") == Decimal(text)
    with pytest.raises(ValidationError, match=f"-{whole} or -{text}0"):
        MoneyField(signed=True).clean(f"-{text}")


@pytest.mark.parametrize("text", ["2.000 pcs", "1.000", "1.250", "1.234", "4 x 1.000"])
def test_a_point_among_pieces_is_asked_about(text):
    with pytest.raises(Refused, match="two ways"):
        read_amount(text, unit="piece")


@pytest.mark.parametrize("text", ["25.000 g", "2.500 kg", "1.000", "2 lb 1.250 oz"])
def test_nobody_types_a_zero_behind_a_point_of_decimals(text):
    with pytest.raises(Refused, match="two ways"):
        read_amount(text)


def test_a_price_that_a_program_keeps_as_a_number_has_one_reading(book):
    assert _price(xlsx, 1.234) == Decimal("1.234")
    assert _price(xlsx, 1.25) == Decimal("1.25")


def test_a_box_shows_money_so_that_it_can_be_sent_again():
    for figure in ("1.234", "12.5", "1234.567", "-1.234"):
        shown = MoneyField().prepare_value(Decimal(figure))
        assert MoneyField(signed=True).clean(shown) == Decimal(figure)
        assert read_number(seen(house.money(Decimal(figure))), measured=False) == (
            Decimal(figure)
        )


@pytest.mark.parametrize("text", ["1 Mg", "2.5Mg", "1 Mg 3 g"])
def test_a_megagram_is_no_milligram(text):
    with pytest.raises(Refused, match="megagram"):
        read_amount(text)
    assert read_amount("1 mg").grams_or_pieces == Decimal("0.001")
    with pytest.raises(Refused, match="not understood"):
        column_of("Amount (Mg)")


@pytest.mark.parametrize("door", DOORS)
def test_what_is_no_number_is_refused(book, door):
    for text in REFUSED:
        try:
            read = door(text)
        except (Refused, ValidationError):
            continue
        # A box may stay empty.
        assert text == "", text
        assert read is None


@pytest.mark.parametrize("text", [*READ, *TWO, *REFUSED])
def test_a_file_that_programs_write_has_one_way_only(text):
    """History and recipe: plain figures with a point, all else refused by its name."""
    plainly = re.fullmatch(r"[0-9]{1,15}(\.[0-9]+)?", text)
    oils = {
        "oils": [{"grams": text, "sv": "190"}],
        "superfat": "0.03",
        "koh_purity": "0.9",
    }
    if plainly:
        assert Group({"amount": text}, 1, "x").number("amount") == Decimal(text)
        assert read_pot(oils)[0].oils[0].grams == Decimal(text)
        return
    with pytest.raises(Refused, match="'amount' is a number in quotes"):
        Group({"amount": text}, 1, "x").number("amount")
    with pytest.raises(Refused, match=r"oils\[0\].grams as a plain number"):
        read_pot(oils)


# What the book prints


def seen(printed):
    return unescape(re.sub(r"<[^>]+>", "", str(printed)))


FIGURES = st.integers(0, 10**12).map(lambda count: Decimal(count).scaleb(-3))


@given(FIGURES)
def test_what_a_page_prints_has_one_reading(figure):
    assert read_number(grouped(figure)) == figure
    assert read_number(grouped(-figure)) == -figure
    assert read_number(grouped(figure).replace("\u202f", " ")) == figure
    if 0 < figure <= 10**9:
        assert read_amount(seen(house.amount(figure))).grams_or_pieces == figure


def test_groups_are_those_of_the_standard():
    """SI Brochure, 9th edition, 5.4.4: thin spaces, neither dots nor commas."""
    assert grouped(Decimal("1234567.891")) == "1\u202f234\u202f567.891"
    assert grouped(Decimal("-999")) == "\u2212999"
