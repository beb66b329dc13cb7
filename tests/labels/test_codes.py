"""Codes for machines: their figures, and read back by an independent reader."""

from decimal import Decimal

import pypdfium2
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean as independent

from labels.domain.codes import (
    BAR,
    EAN_BAR,
    SQUARE,
    batch_code,
    check_digit,
    read_number,
    shelf_code,
)
from labels.files import label_pdf
from production.quantities.domain.refusal import Refused
from tests.labels.dressed import EAN, UPC, dressed

pytestmark = pytest.mark.any_database


def read_back(drawing):
    """(kind, text) of every code on all pages, from 300 dots per inch."""
    pdf = pypdfium2.PdfDocument(label_pdf(drawing, "x"))
    for page in pdf:
        for code in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil()):
            yield code.format.name, code.text


@pytest.mark.parametrize("form", ["one", "pair", "wrap"])
@pytest.mark.parametrize("design", ["plain", "frame"])
@pytest.mark.parametrize(
    ("asked", "wanted"),
    [
        ({"batch_code": "qr"}, [("QRCode", "TIDE-8OZ-1")]),
        ({"batch_code": "code128"}, [("Code128", "TIDE-8OZ-1")]),
        ({"shelf": EAN}, [("EAN13", EAN)]),
        ({"batch_code": "qr", "shelf": UPC}, [("QRCode", "TIDE-8OZ-1"), ("UPCA", UPC)]),
    ],
)
def test_an_independent_reader_reads_what_was_printed(form, design, asked, wanted):
    drawing = dressed(form=form, size=("190", "110"), design=design, **asked)
    assert drawing.missing == ()
    found = {
        (kind.replace("QRCodeModel2", "QRCode"), text)
        for kind, text in read_back(drawing)
    }
    # A UPC-A is the EAN-13 that begins with 0.
    found = {
        ("UPCA", text[1:]) if kind == "EAN13" and text[0] == "0" else (kind, text)
        for kind, text in found
    }
    assert found == set(wanted)


@given(st.text("0123456789", min_size=12, max_size=12))
def test_the_last_figure_is_that_of_an_independent_library(digits):
    assert str(check_digit(digits)) == independent.calc_check_digit(digits)
    whole = f"{digits}{check_digit(digits)}"
    assert read_number(f"{whole[0]} {whole[1:7]}-{whole[7:]}") == whole


@pytest.mark.parametrize("digits", [EAN, UPC])
def test_every_single_mistyped_figure_is_refused(digits):
    assert read_number(digits) == digits
    for place, figure in enumerate(digits):
        for other in "0123456789".replace(figure, ""):
            with pytest.raises(Refused, match="is mistyped"):
                read_number(digits[:place] + other + digits[place + 1 :])


@pytest.mark.parametrize("typed", ["123", "40063813339311", "4006381333a31", "٤" * 13])
def test_what_is_no_such_number_is_refused(typed):
    with pytest.raises(Refused, match="13 figures"):
        read_number(typed)


def test_widths_and_quiet_zones_are_those_of_the_standards():
    # From memory: ISO/IEC 15417 10 modules; ISO/IEC 15420 11 and 7, UPC-A 9 and 9, a
    # module of 0.264 mm (80 %) at the least; ISO/IEC 18004 4 modules.
    code, qr = batch_code("code128", "TIDE-8OZ-1"), batch_code("qr", "TIDE-8OZ-1")
    ean, upc = shelf_code(EAN), shelf_code(UPC)
    assert code.quiet == (10 * BAR, 10 * BAR)
    assert Decimal("0.25") <= BAR
    assert code.height >= 5
    assert qr.quiet == (4 * SQUARE, 4 * SQUARE)
    assert ean.quiet == (11 * EAN_BAR, 7 * EAN_BAR)
    assert upc.quiet == (9 * EAN_BAR, 9 * EAN_BAR)
    assert ean.width == upc.width == 113 * EAN_BAR
    assert Decimal("0.264") <= EAN_BAR


def test_code_128_has_no_sign_beyond_plain_ones():
    with pytest.raises(Refused, match="take the QR code"):
        batch_code("code128", "TÎDE")
    assert batch_code("qr", "TÎDE")


def test_without_a_batch_or_a_number_there_is_no_code():
    assert batch_code("qr", "") is None
    assert batch_code("", "TIDE") is None
    assert shelf_code("") is None
