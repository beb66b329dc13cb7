"""What a sheet says beside its figures: units, currencies, formats, hidden rows."""

import io
from decimal import Decimal

import pytest
from openpyxl import load_workbook

from production.buying.domain.purchase_columns import Column, column_of
from production.buying.domain.purchase_sheet import lay_out
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.papers.files.sheets_in import _shown, read_sheet
from production.papers.files.sheets_unseen import left_unseen
from production.quantities.domain.refusal import Refused
from tests.production.buying.sheet_cases import HEAD, OIL, csv, xlsx
from tests.production.quantities.sheet_lots import headed, lot


@pytest.fixture
def book(db, owner):
    return owner


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
