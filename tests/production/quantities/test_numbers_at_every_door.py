"""One table of texts, asked at every door: each has one reading, a question, or none.

Marks of decimals and groups as the locales have them (CLDR 45, numbers; from memory):
en 1,234.5, de 1.234,5, fr and pl 1 234,5, de-CH 1'234.5, en-IN 12,34,567.
"""

import io
import re
from decimal import Decimal
from html import unescape

import pytest
from django.core.exceptions import ValidationError
from django.forms import DecimalField
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from labels.forms import LabelCardForm, SheetForm
from production.batches.forms.working import HoursField
from production.buying.domain.purchase_columns import Column, column_of
from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.chemistry.domain.saponify_file import read_pot
from production.fragrance.forms import ConstituentRow
from production.pages.forms.fields import (
    DensityField,
    MoneyField,
    NumberField,
    PercentField,
)
from production.papers.files.sheets_in import _shown, read_sheet
from production.papers.files.sheets_unseen import left_unseen
from production.quantities.domain.number_text import read_number
from production.quantities.domain.numbers import grouped
from production.quantities.domain.percent_text import read_shares
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_amount
from production.record.domain.text import Group
from production.stock.forms.fields import reading_field
from production.templatetags import formatting as house
from production.workshop.forms.cards import ItemForm
from tests.production.buying.sheet_cases import HEAD, OIL, csv, xlsx

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


@pytest.mark.parametrize("beside", ["1.250,00", "12,5", "1234,500"])
def test_a_comma_of_decimals_in_a_sheet_casts_doubt_on_its_points(book, beside):
    amounts = (*OIL[:5], "1.234 kg", beside), (*OIL[:5], "2 kg", "1.2340")
    with pytest.raises(Refused, match=r"F2: 1\.234 .* elsewhere in this sheet a comma"):
        lot(csv(*amounts))
    assert lot(csv((*OIL[:5], "1.234 kg", "12.5"))).amount == 1234
    # What a program keeps as a number has one reading.
    row = (*OIL[:5], 1.234, beside)
    head = (*HEAD[:5], "Amount (kg)", HEAD[6])
    assert lot(xlsx(row, head=head)).amount == 1234


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


def on_card(**typed):
    form = ItemForm({"name": "olive oil", "kind": "material", "unit": "g", **typed})
    form.is_valid()
    return form


@pytest.mark.parametrize(
    ("typed", "figures"),
    [
        ({"density": "0,96"}, {"density": "0.96"}),
        ({"density": "0.92 g/mL"}, {"density": "0.92"}),
        ({"density": "1.034"}, {"density": "1.034"}),
        ({"low_at": "5 kg"}, {"low_at": "5000"}),
        ({"low_at": "12,5"}, {"low_at": "12.5"}),
        ({"low_at": "1 L", "density": "0.9"}, {"low_at": "900"}),
        ({"low_at": "40 pcs", "unit": "piece"}, {"low_at": "40"}),
        ({"tap_price": "2.50 / kg"}, {"tap_price": "2.5"}),
    ],
)
def test_a_card_reads_figures_as_every_door_does(book, typed, figures):
    form = on_card(**typed)
    assert not form.errors.keys() & typed.keys(), form.errors
    for name, figure in figures.items():
        assert form.cleaned_data[name] == Decimal(figure)


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("density", "-0.9", "below zero"),
        ("density", "920", "no density .* between 0.5 and 2.5"),
        ("density", "0.96 kg", "not a number"),
        ("low_at", "-5", "below zero"),
        ("low_at", "1.000", "two ways"),
        ("low_at", "1 L", "density"),
        ("tap_price", "5 each", "write the price of 1,000 g"),
    ],
)
def test_a_card_asks_about_what_it_cannot_read(book, name, text, says):
    form = on_card(**{name: text})
    assert re.search(says, " ".join(form.errors[name])), form.errors
    assert str(form[name].value()) == text


def test_no_card_has_a_box_that_eats_a_comma(book):
    for form in (ItemForm(), SheetForm(), LabelCardForm()):
        for box in form.visible_fields():
            assert not isinstance(box.field, DecimalField), box.name
    sheet = SheetForm({"page_width": "210,5", "page_height": "-5"})
    assert "page_width" not in sheet.errors
    assert "below zero" in str(sheet.errors["page_height"])


def test_one_rule_judges_a_density_at_every_door(book):
    for text in ("0.4", "2.6", "920"):
        for field in (DensityField(), reading_field("density")):
            with pytest.raises(ValidationError, match="no density of anything"):
                field.clean(text)
        row = csv((*OIL, text), head=(*HEAD, "Density"))
        with pytest.raises(Refused, match="no density of anything"):
            lot(row)
    for text in ("0.5", "0.92", "2.5"):
        assert reading_field("density").clean(text) == Decimal(text)


@pytest.mark.parametrize(
    "text", ["5 each", "5.00 per bottle", "$5 each", "5 USD a piece", "5/pc"]
)
def test_the_price_of_one_is_taken_where_it_is_asked(book, text):
    assert MoneyField(of="one").clean(text) == 5
    with pytest.raises(ValidationError, match="write the price of all of it"):
        MoneyField().clean(text)


@pytest.mark.parametrize("text", ["2.50 / kg", "5 per lb", "5 EUR each"])
def test_another_price_than_that_of_one_is_refused_there(book, text):
    with pytest.raises(ValidationError, match=r"price of one|in USD"):
        MoneyField(of="one").clean(text)


@pytest.mark.parametrize(
    ("shown", "fits"),
    [
        ("[$$-409]#,##0.00", True),
        ("[$$-en-US]#,##0.00", True),
        ("[$$]#,##0.00", True),
        ("[$$-1009]#,##0.00", False),
        ("[$$-en-CA]#,##0.00", False),
        ("[$$-C0C]#,##0.00", False),
        ("[$$-7777]#,##0.00", False),
    ],
)
def test_the_dollar_of_another_country_is_asked_about(book, shown, fits):
    raw = xlsx((*OIL[:6], 40), formats={"G2": shown})
    if fits:
        assert lot(raw).amount == 5000
        return
    with pytest.raises(Refused, match=r"G2: .*(CAD|another country)"):
        lot(raw)


@pytest.mark.parametrize("text", ["1 Mg", "2.5Mg", "1 Mg 3 g"])
def test_a_megagram_is_no_milligram(text):
    with pytest.raises(Refused, match="megagram"):
        read_amount(text)
    assert read_amount("1 mg").grams_or_pieces == Decimal("0.001")
    with pytest.raises(Refused, match="not understood"):
        column_of("Amount (Mg)")


def test_more_hours_than_a_day_has_are_asked_about():
    assert HoursField().clean("24") == 24
    with pytest.raises(ValidationError, match=r"90 minutes meant\? Then write 1\.5"):
        HoursField().clean("90")


def test_what_a_workbook_hides_is_named(book):
    made = load_workbook(io.BytesIO(xlsx(OIL, OIL)))
    assert left_unseen(xlsx(OIL)) == []
    made.active.row_dimensions[3].hidden = True
    made.create_sheet("Empty")
    made.create_sheet("April").append(["2026-04-01", "5 kg"])
    file = io.BytesIO()
    made.save(file)
    sheet, row = left_unseen(file.getvalue())
    assert sheet == "The worksheet April holds rows too, and is not read."
    assert row == "Row 3 is hidden in the sheet, and is read all the same."
    assert left_unseen(csv(OIL)) == []


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


PERCENT = {
    "0.6": "0.006",
    "0,6": "0.006",
    "85": "0.85",
    "85 %": "0.85",
    "85%": "0.85",
    "%85": "0.85",
    "85 percent": "0.85",
    "0.05 %": "0.0005",
    "1/2 %": "0.005",
}


def test_percent_is_percent_in_every_box():
    for text, share in PERCENT.items():
        assert PercentField().clean(text) == Decimal(share)
        assert ConstituentRow.base_fields["share"].clean(text) == Decimal(share)
    for text in ("0.6", "0.05 %", "85%"):
        assert read_shares(text) == [Decimal(text.strip(" %")) / 100]


@pytest.mark.parametrize(
    ("field", "text", "both"),
    [
        (PercentField(high=True), "0.85", "0.85 % meant, or 85 %"),
        (PercentField(high=True), "1", "1 % meant, or 100 %"),
        (PercentField(signed=True), "0.05", "0.05 % meant, or 5 %"),
        (PercentField(signed=True), "-0.05", "-0.05 % meant, or -5 %"),
    ],
)
def test_an_improbable_share_is_asked_about(field, text, both):
    with pytest.raises(ValidationError, match=both):
        field.clean(text)


# What a sheet says beside its figures


def lot(raw):
    read = PurchaseSheet(lay_out(read_sheet(raw)))
    if read.faults:
        raise Refused("; ".join(map(str, read.faults)))
    return read.arrivals[0].lines[0].lots[0]


def headed(title, cell, made=csv, **extra):
    head = (*HEAD[:5], title, HEAD[6], *extra)
    return made((*OIL[:5], cell, OIL[6], *extra.values()), head=head)


@pytest.mark.parametrize(
    ("title", "cell", "grams"),
    [
        ("Amount (kg)", "25", "25000"),
        ("Amount [kg]", "25", "25000"),
        ("Amount, kg", "2,5", "2500"),
        ("Qty in lb", "1", "453.592"),
        ("Amount (kg)", "4*5", "20000"),
        ("Amount (kg)", "1/2", "500"),
        # What stands in the cell is said of this figure, the heading of all of them.
        ("Amount (g)", "25 kg", "25000"),
        ("Amount (kg)", "2 lb 3 oz", "992.233"),
    ],
)
@pytest.mark.parametrize("made", [csv, xlsx])
def test_a_unit_in_the_heading_is_honoured(book, made, title, cell, grams):
    assert lot(headed(title, cell, made)).amount == Decimal(grams)


def test_a_figure_of_a_spreadsheet_takes_the_unit_of_its_heading(book):
    assert lot(headed("Amount (kg)", 25, xlsx)).amount == 25000
    raw = xlsx((*OIL[:5], 25, OIL[6]), head=(*HEAD[:5], "Amount (g)", HEAD[6]))
    assert lot(raw).amount == 25
    shown = {"F2": '0 "kg"'}
    row = (*OIL[:5], 25, OIL[6])
    head = (*HEAD[:5], "Amount (g)", HEAD[6])
    assert lot(xlsx(row, head=head, formats=shown)).amount == 25000


@pytest.mark.parametrize(
    ("title", "cell", "unit", "says"),
    [
        ("Amount", "25", "kg", 25000),
        ("Amount", "25 kg", "Kilograms", 25000),
        ("Amount (kg)", "25", "kg", 25000),
        ("Amount", "25", "", 25),
        ("Amount", "25", "sack", "sack is not a unit known here"),
        ("Amount", "25 kg", "g", "The amount is 25 kg, and this says g"),
        ("Amount (kg)", "25", "g", "The amounts are headed kg, not g"),
        ("Amount", "", "kg", "without an amount"),
        ("Amount", "25", "pcs", "pcs is not a unit"),
    ],
)
def test_a_column_of_units_is_understood(book, title, cell, unit, says):
    raw = headed(title, cell, Unit=unit)
    if isinstance(says, int):
        assert lot(raw).amount == says
        return
    with pytest.raises(Refused, match=says):
        lot(raw)


@pytest.mark.parametrize(
    ("title", "says"),
    [
        ("Price per kg", "the price of one"),
        ("Price/kg", "the price of one"),
        ("Price (EUR/kg)", "the price of one"),
        ("Unit price", "the price of one"),
        ("Price each", "the price of one"),
        ("Total", "two ways. Head it Price .* or Invoice total"),
        ("Amount (big bags)", "big bags is not understood here"),
        ("Price (with VAT)", "with vat is not understood here"),
        ("Density (kg/m3)", "is not understood here"),
        ("Rate (EUR)", "is not understood here"),
    ],
)
def test_a_heading_that_cannot_be_honoured_is_refused(title, says):
    with pytest.raises(Refused, match=says):
        column_of(title)


@pytest.mark.parametrize(
    ("title", "column"),
    [
        ("Item (as on the invoice)", Column("item")),
        ("Purity %", Column("purity")),
        ("Purity (%)", Column("purity")),
        ("Density (kg/L)", Column("density")),
        ("Price \u20ac", Column("price", "\u20ac")),
        ("Line total (USD)", Column("price", "USD")),
        ("Weather", None),
    ],
)
def test_a_heading_says_what_its_figures_are(title, column):
    assert column_of(title) == column


@pytest.mark.parametrize(
    ("title", "cell", "currency", "fits"),
    [
        ("Price (USD)", "40", "", True),
        ("Price", "$40", "", True),
        ("Price", "40 EUR", "EUR", True),
        ("Price (EUR)", "40", "EUR", True),
        ("Price", "\u20ac40", "EUR", True),
        ("Price (EUR)", "40", "", False),
        ("Price \u20ac", "40", "", False),
        ("Price", "\u20ac40", "", False),
        ("Price", "$40", "EUR", False),
        ("Price", "40 kg", "", False),
        ("Price", "40/kg", "", False),
    ],
)
def test_the_currency_of_a_price_is_honoured_or_refused(
    book, title, cell, currency, fits
):
    head = (*HEAD[:6], title, "Currency", "Exchange rate")
    raw = csv((*OIL[:6], cell, currency, currency and "1.1"), head=head)
    read = PurchaseSheet(lay_out(read_sheet(raw)))
    assert bool(read.faults) != fits, [str(fault) for fault in read.faults]
    if fits:
        assert read.arrivals[0].lines[0].price == 40


@pytest.mark.parametrize(
    ("cell", "shown", "share"),
    [
        ("85 %", "@", "0.85"),
        ("85", "@", "0.85"),
        (85, "General", "0.85"),
        (85, '0.0" %"', "0.85"),
        (0.85, "0%", "0.85"),
        (0.85, "0.0 %", "0.85"),
        (0.85, "General", None),
        ("0.85", "@", None),
    ],
)
def test_a_purity_is_read_as_it_is_seen(book, cell, shown, share):
    row = (*OIL[:3], "caustic potash", *OIL[4:], cell)
    raw = xlsx(row, head=(*HEAD, "Purity, %"), formats={"H2": shown})
    if share is None:
        with pytest.raises(Refused, match=r"0.85 % meant, or 85 %"):
            lot(raw)
    else:
        assert lot(raw).readings[0].value == Decimal(share)


@pytest.mark.parametrize(
    ("shown", "says"),
    [
        ("#,##0,", "shown in thousands"),
        ('0"-"0', "Words stand inside"),
    ],
)
def test_a_format_that_shows_another_figure_is_refused(shown, says):
    assert says in _shown(Decimal(25000), shown).fault


def test_a_lot_is_read_with_the_zeros_and_words_that_are_shown(book):
    head = (*HEAD, "Supplier's lot")
    raw = xlsx((*OIL, 123), head=head, formats={"H2": '"HOS-"00000'})
    assert lot(raw).supplier_lot == "HOS-00123"


def test_a_mark_that_became_a_date_is_told(book):
    from datetime import date

    raw = xlsx((*OIL, date(2026, 3, 4)), head=(*HEAD, "Supplier's lot"))
    with pytest.raises(Refused, match="H2: The spreadsheet has made a date of this"):
        lot(raw)


def test_a_comma_that_breaks_a_row_of_csv_is_told(book):
    text = f"{','.join(HEAD)},Tax\n{','.join(OIL[:6])},12,50,\n"
    with pytest.raises(Refused, match="I2: This row has more cells than"):
        lot(text.encode())


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
