"""What the house prints, its own boxes read back as the same: read(print(x)) == x.

A figure is copied from a page, a label or a sheet into a box. It is read as what it
was, or, where its comma could be read in two ways, asked about; never as another.
"""

import re
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.core.exceptions import ValidationError
from hypothesis import example, given
from hypothesis import strategies as st

from labels.domain.net_contents import read_contents
from labels.reads.rules import rule_set
from production.pages.forms.fields import (
    DayField,
    FloorPercentField,
    MoneyField,
    NumberField,
    PercentField,
)
from production.planning.domain.lines import in_units
from production.quantities.domain.codes import is_valid, next_code, normalise
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import GRAMS, read_amount, read_volume
from production.templatetags import formatting as house
from production.workshop.actions.cards import set_up_workshop

MILLIGRAMS = st.integers(1, 10**11).map(lambda count: Decimal(count).scaleb(-3))
PIECES = st.integers(1, 10**6).map(Decimal)
MONEY = st.integers(0, 10**12).map(lambda count: Decimal(count).scaleb(-4))
SHARES = st.integers(0, 10**8).map(lambda count: Decimal(count).scaleb(-8))


def seen(printed):
    """What a maker copies from the page."""
    return unescape(re.sub(r"<[^>]+>", "", str(printed)))


def readings(printed, unit="g"):
    """As what it is read; where it is asked about, the two that it may be."""
    try:
        return [read_amount(printed, unit=unit).grams_or_pieces]
    except Refused as fault:
        [two] = re.findall(r"in two ways. Write (\S+) or (\S+)\.", str(fault))
        return [Decimal(one) for one in two]


@given(MILLIGRAMS)
@example(Decimal(1234))
@example(Decimal("1234.567"))
@example(Decimal(1234567))
def test_an_amount_on_a_page_is_read_back(grams):
    assert readings(seen(house.amount(grams, "g")))[0] == grams


@given(PIECES)
@example(Decimal(1))
def test_pieces_on_a_page_are_read_back(pieces):
    assert readings(seen(house.amount(pieces, "piece")), "piece")[0] == pieces


@given(MILLIGRAMS)
def test_an_amount_in_a_box_and_on_a_paper_is_read_back(grams):
    """Boxes are filled, and sheets are printed, without groups."""
    assert read_amount(f"{plain(grams)} g").grams_or_pieces == grams
    assert read_volume(f"{plain(grams)} mL").grams_or_pieces == grams


@given(MILLIGRAMS)
def test_pounds_and_ounces_are_read_back_to_their_last_figure(grams):
    """They are printed to 0.01 oz, below 100 g to 0.001, and not where that is none."""
    printed = in_units(grams, "us").beside
    if not printed:
        assert grams < GRAMS["oz"] / 2000
        return
    again = read_amount(printed).grams_or_pieces
    step = GRAMS["oz"] / (100 if grams >= 100 else 1000)
    assert abs(again - grams) <= step / 2 + Decimal("0.0005")
    assert in_units(again, "us").beside == printed


@given(MONEY, st.booleans())
@example(Decimal(1234), False)
@example(Decimal("0.5"), True)
def test_money_on_a_page_is_read_back(money, below):
    if money > MoneyField.largest:
        return
    signed = -money if below else money
    field = NumberField(places=4, signed=True)
    assert field.clean(seen(house.money(signed))) == signed
    if not below:
        assert MoneyField().clean(seen(house.money(signed))) == signed
        assert MoneyField().clean(MoneyField().prepare_value(money)) == money


@pytest.mark.django_db
@pytest.mark.parametrize("currency", ["USD", "CAD", "EUR"])
def test_money_with_its_currency_is_read_back(currency):
    """The book's own currency may stand beside a figure, another is no price here."""
    set_up_workshop(name="Wrackline Soap Works", currency=currency)
    for money in map(Decimal, ("0.05", "12.5", "1234", "1234567.8901")):
        printed = seen(house.money(money, currency))
        assert MoneyField().clean(printed) == money
        assert MoneyField().clean(f"{currency.lower()} {plain(money)}") == money
    with pytest.raises(ValidationError, match=f"kept in {currency}"):
        MoneyField().clean("12.50 GBP")


@given(SHARES)
@example(Decimal("0.00999999"))
@example(Decimal(1))
def test_a_share_is_read_back(share):
    assert PercentField().clean(seen(house.percent(share))) == share
    assert PercentField().clean(PercentField().prepare_value(share)) == share
    high = FloorPercentField(high=True)
    if share:
        assert high.clean(high.prepare_value(share)).value == share
    assert high.clean(f"min. {seen(house.percent(share))}").floor


@given(st.dates(date(1900, 1, 1), date(2200, 1, 1)))
def test_a_day_is_read_back(day):
    assert DayField().clean(f"{day:%Y-%m-%d}") == day
    assert DayField().clean(DayField().widget.format_value(day)) == day


@given(st.integers(0, 10**7))
def test_a_code_is_read_back_however_it_is_written(serial):
    code, _ = next_code(serial)
    assert is_valid(code)
    for written in (code, code.lower(), code.replace("-", ""), code.replace("-", " ")):
        assert normalise(written) == code


SMALLEST_BOTTLE = 5
CONTENTS = st.tuples(
    st.integers(1, 999).map(lambda count: Decimal(count) / 10),
    st.sampled_from(("mL", "L", "fl oz", "pt", "qt", "g", "kg", "oz", "lb")),
)


@given(CONTENTS, st.sampled_from(("us", "eu", "uk", "ca")))
def test_contents_on_a_label_are_read_back(contents, rules):
    """Each figure of the statement says what the statement says, cut and never more."""
    amount, unit = contents
    try:
        declared = read_contents(f"{plain(amount)} {unit}")
        label = rule_set(rules).contents(declared)
    except Refused:
        return
    if declared.amount < SMALLEST_BOTTLE:
        return
    for part in label.parts:
        bare = part.removeprefix("Net Wt ").strip("()")
        again = read_contents(bare)
        assert again.by_volume == declared.by_volume
        assert again.amount <= declared.amount * Decimal("1.00001")
        assert again.amount >= declared.amount * Decimal("0.90")
        assert again.amount <= label.binding
    if rules != "us":
        # What was promised again is printed again.
        assert rule_set(rules).contents(read_contents(str(label))).parts == label.parts


@pytest.mark.parametrize("unit", ["g", "piece"])
def test_nothing_known_is_never_read_as_an_amount(unit):
    with pytest.raises(Refused):
        read_amount(seen(house.amount(None, unit)), unit=unit)
