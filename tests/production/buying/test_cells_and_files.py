"""What a spreadsheet program keeps in a cell, and what may come as a file."""

import io
import re
import zipfile
from datetime import date, datetime
from decimal import Decimal

import pytest

from production.buying.domain.purchase_sheet import lay_out
from production.papers.files.sheets_in import MOST_BYTES, read_sheet
from production.quantities.domain.refusal import Refused
from tests.production.buying.sheet_cases import HEAD, OIL, csv, xlsx
from tests.production.buying.sheets_read import faults, read


@pytest.fixture
def book(db, owner):
    """An empty book with one person."""
    return owner


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
