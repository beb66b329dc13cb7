"""A sheet of purchases: what is read, what is refused and where, what is written."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.management import CommandError
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
from production.correcting.actions.undoing import undo_deed
from production.models import Deed, ExtraCost, Item, Lot, Purchase, Supplier
from production.papers.files.sheets_in import read_sheet
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import GRAMS
from tests import make
from tests.production.buying.sheet_cases import HEAD, OIL, csv, demo_sheet, xlsx
from tests.production.buying.sheets_read import faults, imported, read


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
