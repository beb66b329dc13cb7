"""Price lists of a day: what was asked on it, whatever was set since."""

import re
from decimal import Decimal as D
from io import BytesIO

import pdfplumber
import pytest
from django.urls import reverse

from costing.reads.price_lists import price_list
from production.record.models.workshop import Workshop
from tests import make
from tests.costing.selling import bottled, channel, priced

pytestmark = pytest.mark.django_db


@pytest.fixture
def stall():
    Workshop.objects.create(
        name="Wrackline Soap Works", address="4 Quay Lane", currency="USD"
    )
    return channel("The Tin Lantern", kind="wholesale")


def printed(desk, channel, day):
    asked = {"of": channel.pk, "on": f"{day:%Y-%m-%d}"}
    answer = desk.get(reverse("price-list-pdf"), asked)
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def text(raw):
    with pdfplumber.open(BytesIO(raw)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def test_it_has_product_size_price_and_day(desk, stall):
    priced(bottled("F-1").item, stall, "9.00", make.day(1))
    said = text(printed(desk, stall, make.day(5)))
    for words in ("Wrackline Soap Works", "4 Quay Lane", "The Tin Lantern"):
        assert words in said
    assert "hand wash 245 g 9.00 2026-03-01" in said
    assert "without sales tax" in said


def test_an_earlier_day_prints_the_prices_of_then_to_the_byte(desk, stall):
    item = bottled("F-1").item
    priced(item, stall, "9.00", make.day(1))
    before = printed(desk, stall, make.day(5))
    priced(item, stall, "9.95", make.day(10))
    assert printed(desk, stall, make.day(5)) == before
    assert "9.95" in text(printed(desk, stall, make.day(10)))


def test_all_of_a_kind_stand_side_by_side(stall):
    other = channel("Harbour Store", kind="wholesale", tax_inside=True)
    channel("Web")
    item = bottled("F-1").item
    priced(item, stall, "5.00")
    priced(item, other, "6.00")
    found = price_list([stall, other], make.DAY)
    [row] = found.rows
    assert row.prices == (D(5), D(6))


def test_a_product_that_is_not_offered_there_is_no_price_of_nothing(stall):
    other = channel("Harbour Store", kind="wholesale")
    priced(bottled("F-1").item, stall, "5.00")
    [row] = price_list([stall, other], make.DAY).rows
    assert row.prices == (D(5), None)


def test_ounces_where_the_workshop_counts_in_them(stall):
    """245 g / 28.349523125 = 8.642; the ounce: international agreement of 1959."""
    Workshop.objects.update(units="us")
    priced(bottled("F-1").item, stall)
    [row] = price_list([stall], make.DAY).rows
    assert row.size == "8.6 oz (245 g)"


def test_the_page_shows_what_it_prints(desk, stall):
    priced(bottled("F-1").item, stall, "9.00")
    asked = {"of": "wholesale", "on": "2026-03-05"}
    page = desk.get(reverse("price-list"), asked).content.decode()
    assert "9.00" in page
    assert reverse("price-list-pdf") in page
    none = desk.get(reverse("price-list"), asked | {"on": "2026-01-05"})
    assert "Nothing had a price there on that day" in none.content.decode()
    assert (
        "No list yet"
        in desk.get(reverse("price-list"), {"of": "9", "on": "x"}).content.decode()
    )
    assert desk.get(reverse("price-list-pdf")).status_code == 404


def test_each_price_says_its_channel_on_a_narrow_page(desk, stall):
    other = channel("Harbour Store", kind="wholesale", tax_inside=True)
    item = bottled("F-1").item
    priced(item, stall, "5.00")
    priced(item, other, "6.00")
    asked = {"of": "wholesale", "on": "2026-03-05"}
    shown = desk.get(reverse("price-list"), asked).content.decode()
    cells = re.findall(
        r'data-label="([^"]+)" class="number[^>]*>\s*<[^>]+>([0-9.]+) ', shown
    )
    assert dict(cells) == {
        "The Tin Lantern, without sales tax": "5.00",
        "Harbour Store, with sales tax": "6.00",
    }


def test_the_size_is_that_of_the_last_lot_by_then(stall):
    first = bottled("F-1", on=make.day(2))
    priced(first.item, stall, valid_from=make.day(1))
    bottled("F-2", net="244", on=make.day(9))
    assert price_list([stall], make.day(5)).rows[0].size == "245 g"
    assert price_list([stall], make.day(9)).rows[0].size == "244 g"
