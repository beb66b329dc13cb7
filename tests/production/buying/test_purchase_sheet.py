"""A sheet of purchases: what is read, what is refused and where, what is written."""

import io
import re
import zipfile
from datetime import date, datetime
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.buying.domain.purchase_columns import bare
from production.buying.domain.purchase_headings import HEADINGS
from production.buying.domain.purchase_sheet import column_letters, lay_out, read_day
from production.buying.files import purchase_template
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.closing.actions import close_book
from production.correcting.actions.undoing import undo_deed
from production.models import Deed, ExtraCost, Item, Lot, Purchase, Supplier
from production.papers.files.sheets_in import MOST_BYTES, read_sheet
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import GRAMS
from tests import make
from tests.production.buying.sheet_cases import HEAD, OIL, csv, demo_sheet, xlsx


def read(raw):
    return PurchaseSheet(lay_out(read_sheet(raw)))


def faults(raw):
    return [str(fault) for fault in read(raw).faults]


def imported(tmp_path, raw, name="bought.xlsx", **options):
    file = tmp_path / name
    file.write_bytes(raw)
    out = io.StringIO()
    call_command("import_purchases", str(file), stdout=out, **options)
    return out.getvalue()


def test_a_column_has_the_letters_of_a_spreadsheet():
    letters = [column_letters(number) for number in (1, 26, 27, 52, 53, 702, 703)]
    assert letters == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


def test_no_heading_means_two_things():
    words = [w for h in HEADINGS for w in {bare(text) for text in (h.words, *h.also)}]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    "title", ["ITEM", " item ", "I.t.e.m", "Item (as on the invoice)", "material"]
)
def test_a_heading_is_known_whatever_its_case_and_stops(title):
    head = (*HEAD[:3], title, *HEAD[4:])
    assert lay_out(read_sheet(csv(OIL, head=head))).columns["item"] == 4


def test_titles_above_the_headings_and_any_order_of_columns_are_fine():
    lines = read_sheet(csv(OIL[::-1], head=HEAD[::-1]))
    sheet = lay_out([(1, lines[0][1][:1]), *((n + 3, c) for n, c in lines)])
    assert sheet.rows[0].number == 5
    assert sheet.rows[0].words["item"] == "olive oil"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("03/04/2026", "two ways. Write 2026-03-04 or 2026-04-03"),
        ("3.4.2026", "two ways. Write 2026-03-04 or 2026-04-03"),
        ("31/01/2026", "Write it like 2026-01-31"),
        ("05/05/2026", "Write it like 2026-05-05"),
        ("2026-02-30", "not a day of the calendar"),
        ("46023", "a bare number"),
        ("last Monday", "not written as a day"),
        ("31/31/2026", "not written as a day"),
    ],
)
def test_a_day_that_could_be_another_is_refused(text, says):
    with pytest.raises(Refused, match=says):
        read_day(text)


def test_a_day_of_the_standard_is_read():
    assert read_day("2026-01-31") == date(2026, 1, 31)


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    number=st.decimals("0.001", "99999", places=3),
    unit=st.sampled_from(["g", "kg", "lb", "oz", ""]),
    way=st.sampled_from(["words", "figure", "format"]),
)
def test_an_amount_typed_into_a_sheet_weighs_the_same(book, number, unit, way):
    factor = GRAMS[unit or "g"]
    formats = {}
    if way == "words":
        # As a page prints it: a zero at the end would be asked about.
        typed = f"{plain(number)} {unit}"
    else:
        typed = float(number)
        if way == "format" and unit:
            formats = {"F2": f'0.000" {unit}"'}
        else:
            factor = 1
    raw = xlsx((*OIL[:5], typed, OIL[6]), formats=formats)
    found = read(raw)
    assert not found.faults
    weight = found.arrivals[0].lines[0].lots[0].amount
    assert abs(weight - number * factor) <= Decimal("0.0005")


@pytest.fixture
def book(db, owner):
    """An empty book with one person."""
    return owner


@pytest.mark.parametrize("made", [csv, xlsx])
def test_a_sheet_writes_what_the_page_would(made, book, tmp_path):
    extra = (*HEAD, "Extra cost", "Extra amount", "Supplier's lot", "Purity", "Line")
    rows = [
        (*OIL, "", "", "HOS-1", "", ""),
        *[
            ("", "", "", "potash", "material", amount, price, "", "", lot, "90 %", "a")
            for amount, price, lot in (("25 lb", "92", "K1"), ("10 lb", "", "K2"))
        ],
        ("", "", "", "", "", "", "", "freight", "12.50", "", "", ""),
    ]
    said = imported(tmp_path, made(*rows, head=extra))
    assert said.startswith("Written: NO-1 from Northmere Oils.")
    purchase = Purchase.objects.get(number="NO-1")
    assert purchase.arrived == date(2026, 3, 2)
    oil, potash = purchase.lines.all()
    assert (oil.amount, oil.lots.get().supplier_lot) == (5000, "HOS-1")
    assert potash.lots.count() == 2
    assert potash.prices.get().price == 92
    entry = potash.lots.order_by("pk")[0].movements.get()
    assert (entry.typed, entry.amount) == ("25 lb", Decimal("11339.809"))
    assert potash.lots.order_by("pk")[0].measurements.get().value == Decimal("0.9")
    assert ExtraCost.objects.get().amount == Decimal("12.50")


ALL_WRONG = [
    ("03/04/2026", "Northmere Oils", "NO-1", "olive oil", "", "5 kg", "40"),
    ("2026-03-02", "Northmere Oils", "NO-2", "castor oil", "material", "much", "1,234"),
    ("2026-03-02", "Northmere Oils", "NO-3", "castor oil", "", "1 gal", "x"),
    ("2026-03-02", "Pan & Sieve", "NO-3", "", "", "", "4"),
]


@pytest.mark.parametrize("made", [csv, xlsx])
def test_every_fault_is_told_by_its_cell_and_nothing_is_written(made, book, tmp_path):
    wrong = [
        "A2: 03/04/2026 can be read in two ways",
        "E2: olive oil is new here",
        "F3: much is not an amount",
        "G3: 1,234 can be read in two ways",
        "F4: A volume needs the material's density",
        "G4: x is not a number",
        "row 5: Say what this row is",
        "B5: Row 4 of the same invoice says Northmere Oils",
    ]
    told = faults(made(*ALL_WRONG))
    assert len(told) == len(wrong)
    for says in wrong:
        assert any(fault.startswith(says) for fault in told), (says, told)
    before = make.book()
    with pytest.raises(CommandError, match="A3: 03/04/2026"):
        imported(tmp_path, made(OIL, *ALL_WRONG))
    assert make.book() == before


def test_one_bad_row_keeps_the_good_ones_out(book, tmp_path):
    good = ("2026-03-02", "Basalt Chemical", "BC-1", "salt", "material", "1 kg", "3")
    with pytest.raises(CommandError, match="F2: much"):
        imported(tmp_path, xlsx((*OIL[:5], "much", "40"), good))
    assert not Supplier.objects.exists()
    assert not Item.objects.exists()
    assert not Deed.objects.exists()


def test_the_same_file_twice_is_noticed(book, tmp_path):
    raw = xlsx(OIL)
    imported(tmp_path, raw)
    before = make.book()
    with pytest.raises(CommandError, match="is in the book already, as NO-1"):
        imported(tmp_path, raw)
    assert make.book() == before


def test_once_taken_back_the_same_file_may_be_read_again(book, tmp_path):
    """The sheet was right and the taking back was wrong: number and codes are free."""
    raw = xlsx(OIL)
    imported(tmp_path, raw)
    first = Purchase.objects.get()
    undo_deed(undone=first.deed, **make.act(9))
    imported(tmp_path, raw)
    assert Purchase.objects.standing().get() != first


def test_another_supplier_may_have_sent_the_same_number(book, tmp_path):
    house = ensure_supplier("Cooper")
    line = NewLine(item=None, text="sharpening", price=Decimal(5))
    record_purchase(number="NO-1", supplier=house, lines=[line], **make.act())
    imported(tmp_path, xlsx(OIL))
    assert Purchase.objects.filter(number="NO-1").count() == 2


def test_an_invoice_that_is_in_the_book_is_named(book, tmp_path):
    imported(tmp_path, xlsx(OIL))
    assert "C2: NO-1 is in the book already, arrived 2026-03-02." in faults(csv(OIL))


def test_only_read_writes_nothing(book, tmp_path):
    before = make.book()
    said = imported(tmp_path, xlsx(OIL), dry_run=True)
    assert "Would be written: NO-1 from Northmere Oils" in said
    assert "New items: olive oil." in said
    assert "New suppliers: Northmere Oils." in said
    assert make.book() == before


def test_who_signs_is_asked_where_several_could(book, tmp_path):
    make.maker()
    with pytest.raises(CommandError, match="--by ines"):
        imported(tmp_path, xlsx(OIL))
    with pytest.raises(CommandError, match="no person nobody"):
        imported(tmp_path, xlsx(OIL), by="nobody")
    imported(tmp_path, xlsx(OIL), by="tobias")
    # The card of the oil and its purchase.
    assert {deed.by for deed in Deed.objects.all()} == {make.maker()}


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


@pytest.mark.parametrize(
    ("title", "says"),
    [
        ("Prise", "H1: Prise is not a heading known here. Is Price meant?"),
        ("Cost", "H1: Cost means the same as column G. Keep one of the two."),
        ("", "H2: Something stands in a column without a heading."),
    ],
)
def test_no_column_is_passed_over_in_silence(book, title, says):
    told = faults(csv((*OIL, "4"), head=(*HEAD, title)))
    assert [fault[: len(says)] for fault in told] == [says]


def test_a_column_headed_note_is_left_aside_and_named(book):
    found = read(csv((*OIL, "nice people"), head=(*HEAD, "Note")))
    assert (found.faults, found.sheet.aside) == ([], ("Note",))


# What a spreadsheet program keeps in a cell


def test_dates_figures_and_shares_of_a_spreadsheet_are_read(book):
    head = (*HEAD, "Purity", "Expires")
    row = (datetime(2026, 3, 2), "N", 10453, "potash", "material", 2.5, 19.99)  # noqa: DTZ001
    raw = xlsx(
        (*row, 0.899, date(2027, 1, 31)),
        head=head,
        formats={
            "F2": '0.0\\ \\k\\g;-0.0" lb"',
            "H2": "0.0%",
            "G2": '[$$-409]0.00" USD"',
        },
    )
    found = read(raw)
    assert not found.faults
    arrival = found.arrivals[0]
    assert (arrival.number, arrival.on) == ("10453", date(2026, 3, 2))
    line = arrival.lines[0]
    assert (line.lots[0].typed, line.lots[0].amount) == ("2.5 kg", 2500)
    assert line.price == Decimal("19.99")
    assert line.lots[0].readings[0].value == Decimal("0.899")
    assert line.lots[0].expires == date(2027, 1, 31)


def test_the_dust_of_a_binary_figure_is_not_read(book):
    found = read(xlsx((*OIL[:6], 0.1 + 0.2)))
    assert found.arrivals[0].lines[0].price == Decimal("0.3")


def with_cell(raw, old, new):
    """A workbook with a pattern in the text of its first sheet replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old_parts, zipfile.ZipFile(out, "w") as to:
        for part in old_parts.infolist():
            content = old_parts.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                content, found = re.subn(old, new, content, count=1)
                assert found
            to.writestr(part.filename, content)
    return out.getvalue()


def test_of_a_formula_the_saved_result_is_read_and_a_missing_one_is_told(book):
    raw = xlsx((*OIL[:6], "=20*2"))
    assert faults(raw)[0].startswith("G2: This cell holds a formula whose result is")
    known = with_cell(raw, rb"(<f>.*</f>)<v ?(/>|></v>)", rb"\1<v>40</v>")
    assert read(known).arrivals[0].lines[0].price == 40
    empty = with_cell(raw, rb'<c r="G2"', rb'<c r="G2" t="str"')
    assert read(empty).arrivals[0].lines[0].price is None


def test_a_cell_that_shows_an_error_is_told(book):
    assert faults(xlsx((*OIL[:6], "#DIV/0!"))) == [
        "G2: This cell shows #DIV/0!. Mend its formula."
    ]


# What may come as a file


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_csv_is_read_with_its_own_mark_and_byte_order_mark(book, mark):
    text = "\n".join(mark.join(row) for row in (HEAD, OIL))
    assert not faults(("\ufeff" + text).encode())


def big_when_unpacked():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/worksheets/sheet1.xml", b" " * (61 * 1024 * 1024))
    return out.getvalue()


def with_entities():
    return with_cell(
        xlsx(OIL), b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet'
    )


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "empty"),
        (b"x" * (MOST_BYTES + 1), "larger than 5 MB"),
        ("Artikel;Prix é".encode("latin-1"), "UTF-8"),
        (b"\xd0\xcf\x11\xe0old\xff", "neither an xlsx file nor csv"),
        (b"%PDF-1.7\0", "neither an xlsx file nor csv"),
        (b"PK\x03\x04rubbish", "damaged or locked"),
        (b"only;words\nand;more", "No row holds the headings"),
        (csv(), "nothing below the headings"),
        (csv(*[OIL] * 5001), "more than 5,000 rows"),
        (big_when_unpacked, "unpacks to more"),
        (with_entities, "neither an xlsx file nor csv"),
        (xlsx(OIL)[:900] + xlsx(OIL)[1000:], "damaged or locked"),
    ],
    ids=range(12),
)
def test_a_file_that_is_no_sheet_is_refused_in_a_sentence(raw, says):
    with pytest.raises(Refused, match=says):
        lay_out(read_sheet(raw() if callable(raw) else raw))


def test_another_kind_of_archive_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as parts:
        parts.writestr("content.xml", "<office/>")
    with pytest.raises(Refused, match="cannot be read"):
        read_sheet(out.getvalue())


def test_a_row_at_the_end_of_the_world_is_only_a_row(book):
    far = with_cell(xlsx(OIL), b'r="2"', b'r="99999999999"')
    with pytest.raises(Refused, match="nothing below the headings"):
        lay_out(read_sheet(far))


# The sheet to fill in, and the demo's


def test_the_template_says_every_heading_and_is_read_as_it_is(book):
    sheet = read_sheet(purchase_template())
    assert [cell.value for cell in sheet[0][1][: len(HEADINGS)]] == [
        heading.words for heading in HEADINGS
    ]
    with pytest.raises(Refused, match="nothing below the headings"):
        lay_out(sheet)


def test_the_sheet_of_the_demo_is_clean_and_adds_up(book):
    found = read(demo_sheet())
    assert found.faults == []
    assert [arrival.billed for arrival in found.arrivals] == [
        Decimal("309.65"),
        Decimal("124.00"),
        Decimal("53.60"),
    ]


def test_a_sheet_asks_the_same_for_2_rows_and_for_25(book):
    def asked(rows):
        lots = [
            ("2026-03-02", "N", f"NO-{n}", f"oil {n}", "material", "1 kg", "3", "oil")
            for n in range(rows)
        ]
        with CaptureQueriesContext(connection) as questions:
            assert read(csv(*lots, head=(*HEAD, "Category"))).faults == []
        return len(questions)

    assert asked(2) == asked(25)


def test_a_lot_that_the_deed_refuses_takes_the_whole_sheet_back(book, monkeypatch):
    from production.buying.actions import purchase_sheet

    def refuse(**facts):
        raise Refused("the ink is dry")

    found = read(csv(OIL))
    monkeypatch.setattr(purchase_sheet, "record_purchase", refuse)
    with make.refused("Invoice NO-1: the ink is dry"):
        purchase_sheet.record_purchases(
            mark="x", new_items=found.new_items, arrivals=found.arrivals, by=book
        )
    assert not Lot.objects.exists()
