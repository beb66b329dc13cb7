"""Every list goes out as a spreadsheet: the rows that are shown, all of them."""

import io
from datetime import date, datetime
from decimal import Decimal

import django_tables2 as tables
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from production.buying.actions.suppliers import ensure_supplier
from production.lots.tables import Lots
from production.models import Supplier
from production.pages.tables import House
from production.pages.views.sheets import taken_as_sheet
from production.papers.files.sheets_out import Stamp, write_sheet
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.once import built_once
from tests.production.buying.sheet_cases import opened
from tests.production.pages.workshop_of_pages import SORTED, a_workshop, add_more

STAMP = Stamp(version="1.2", workshop="Wrackline & Co", day=date(2026, 3, 2))


def taken(desk, name, **narrowed):
    answer = desk.get(reverse(name), {**narrowed, "sheet": "xlsx"})
    assert answer.status_code == 200
    return opened(answer)


def values(sheet):
    return [list(row) for row in sheet.iter_rows(values_only=True)]


built = built_once(a_workshop)


@pytest.mark.usefixtures("built")
class TestEveryList:
    @pytest.mark.parametrize("name", SORTED)
    def test_every_list_offers_itself_and_has_a_row_for_each_of_its_own(
        self, desk, name
    ):
        page = desk.get(reverse(name))
        assert 'href="?sheet=xlsx">Take it as a spreadsheet' in page.content.decode()
        shown = page.context["table"]
        head, *rows = values(taken(desk, name))
        assert len(rows) - bool(rows[-1][0] == "In all") == len(shown.rows) > 0
        assert head[0].startswith(str(shown.columns[0].header))
        assert "Act" not in head


def test_figures_are_numbers_under_their_unit_and_days_are_dates(desk):
    make.lot("OIL", grams="1234.5", expires=make.day(28))
    make.bottles("BOT", pieces="50")
    head, bottle, oil, _ = values(taken(desk, "lots", sort="code"))
    assert head == [
        *("Lot", "Item", "On hand, g", "On hand, pieces", "Status", "Expires")
    ]
    assert bottle == ["BOT", "bottle 250", None, 50, "released", None]
    assert oil[:5] == ["OIL", "rapeseed oil", 1234.5, None, "released"]
    assert oil[5] == datetime(2026, 3, 28)  # noqa: DTZ001
    places = values(taken(desk, "places"))
    assert places[0][-2:] == ["On hand, g", "On hand, pieces"]
    assert sorted(map(str, places[1][-2:])) == ["50", "None"]


def test_all_pages_come_sorted_and_narrowed_as_shown(desk):
    for number in range(30):
        make.lot(f"Q{number:02}", grams=f"{number + 1}")
    make.lot("OTHER")
    sheet = taken(desk, "lots", sort="-on_hand", find="Q", page="2")
    codes = [row[0] for row in values(sheet)[1:-1]]
    assert codes == [f"Q{number:02}" for number in reversed(range(30))]
    link = desk.get(reverse("lots"), {"find": "Q", "page": "2"}).content.decode()
    assert 'href="?find=Q&amp;sheet=xlsx"' in link


def test_where_it_came_from_stands_in_the_file(desk):
    set_up_workshop(name="Wrackline & Co")
    make.lot("N1")
    answer = desk.get(reverse("lots"), {"find": "N", "sheet": "xlsx"})
    assert "attachment" in answer["Content-Disposition"]
    assert 'filename="lots-' in answer["Content-Disposition"]
    book = load_workbook(io.BytesIO(answer.getvalue()))
    assert book.properties.creator == "Wrackline & Co"
    assert book.properties.title == "Lots"
    for words in ("Wrackline & Co", "Kettlebook 0.", "Find: N"):
        assert words in book.properties.description
    assert book.worksheets[0].oddFooter.left.text.startswith("Wrackline && Co, 20")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r="])
def test_a_word_is_never_a_formula(desk, start):
    name = f"{start}HYPERLINK(1)"
    Supplier.objects.create(name=name)
    cell = taken(desk, "suppliers")["A2"]
    assert (cell.value, cell.data_type, cell.quotePrefix) == (name, "s", True)


@pytest.mark.parametrize("name", ["Northmere Oils", "A <b> & Co", "A &amp; B"])
def test_a_plain_word_carries_no_mark_and_loses_nothing(desk, name):
    ensure_supplier(name)
    cell = taken(desk, "suppliers")["A2"]
    assert (cell.value, cell.quotePrefix) == (name, False)


def test_what_the_format_cannot_hold_is_left_out():
    rows = [["a\x00b\x0bc\ud800\uffff", "#N/A", "<&>"]]
    file = write_sheet("A/B: [list]", ["x", "y", "z"], rows, stamp=STAMP)
    sheet = load_workbook(file).worksheets[0]
    assert sheet.title == "A B   list"
    assert [cell.value for cell in sheet[2]] == ["abc", "#N/A", "<&>"]
    assert sheet["B2"].data_type == "s"


class Summed(Lots):
    on_hand_at_all = tables.Column(
        accessor="on_hand", footer=lambda table: sum(row.on_hand for row in table.data)
    )

    class Meta(House.Meta):
        fields = ("code", "on_hand_at_all")


def test_totals_of_a_table_stand_at_its_foot(rf, db):
    rows = [make.lot(grams="2.5"), make.lot(grams="4")]
    for row, on_hand in zip(rows, ("2.5", "4"), strict=True):
        row.on_hand, row.status = Decimal(on_hand), "released"
    table = Summed(rows, exclude=("item", "on_hand", "status", "expires"))
    last = values(opened(taken_as_sheet(rf.get("/"), table, "Lots")))[-1]
    assert last == [None, 6.5]


def test_a_sheet_asks_the_same_for_2_rows_and_for_9(desk):
    there = a_workshop() | {"spring": make.lot("SPRING")}

    def asked():
        found = {}
        for name in SORTED:
            with CaptureQueriesContext(connection) as questions:
                taken(desk, name)
            found[name] = len(questions)
        return found

    for number in range(2):
        add_more(there, number)
    few = asked()
    for number in range(2, 9):
        add_more(there, number)
    assert asked() == few


def test_20_000_rows_come_in_portions(desk):
    Supplier.objects.bulk_create(
        [Supplier(name=f"Supplier {number:05}") for number in range(20_000)]
    )
    with CaptureQueriesContext(connection) as questions:
        sheet = taken(desk, "suppliers")
    assert sheet.max_row == 20_001
    assert sheet["A20001"].value == "Supplier 19999"
    assert len(questions) < 10
