"""Figures typed into the boxes of cards and forms: a density, a price, a share."""

import re
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.forms import DecimalField

from labels.forms.cards import LabelCardForm, SheetForm
from production.batches.forms.working import HoursField
from production.fragrance.forms import ConstituentRow
from production.pages.forms.fields import (
    DensityField,
    KilowattField,
    MoneyField,
    PercentField,
)
from production.quantities.domain.percent_text import read_shares
from production.quantities.domain.refusal import Refused
from production.stock.forms.fields import reading_field
from production.workshop.forms.cards import ItemForm
from tests.production.buying.sheet_cases import HEAD, OIL, csv
from tests.production.quantities.sheet_lots import lot


@pytest.fixture
def book(db, owner):
    return owner


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
    ("of", "texts"),
    [
        ("an hour", ["18 per hour", "18/h", "18 USD an hour", "$18/hr", "18"]),
        ("a kilowatt hour", ["18 per kWh", "18/kWh", "18 USD a kilowatt hour"]),
    ],
)
def test_a_rate_says_of_what_it_is(db, of, texts):
    for text in texts:
        assert MoneyField(of=of).clean(text) == 18
    for text in ("18 per piece", "18 per bottle", "18 each", "18/kg", "18 per day"):
        with pytest.raises(ValidationError, match=f"write the price of {of}"):
            MoneyField(of=of).clean(text)


@pytest.mark.parametrize("text", ["0.35", "0.35 kW", "0.35kw", "350 W", "350w"])
def test_what_it_draws_is_read_as_its_plate_says(text):
    """1 kW is 1,000 W: SI Brochure, 9th edition, 3.1, SI prefixes."""
    assert KilowattField().clean(text) == Decimal("0.35")


@pytest.mark.parametrize("text", ["2 hp", "kW", "-2 kW"])
def test_what_it_draws_is_power(text):
    with pytest.raises(ValidationError):
        KilowattField().clean(text)


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


def test_more_hours_than_a_day_has_are_asked_about():
    assert HoursField().clean("24") == 24
    with pytest.raises(ValidationError, match=r"90 minutes meant\? Then write 90 min"):
        HoursField().clean("90")


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
