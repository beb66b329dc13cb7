"""Boxes in which a lot is named, or one of its readings typed."""

from django import forms

from production.chemistry.domain.constants import ALKALIS
from production.pages.forms.fields import (
    DensityField,
    NumberField,
    PercentField,
    echoed,
    faulted,
)
from production.stock.models.readings import Measurement
from production.stock.reads import lookup
from production.workshop.models.items import Item

HIGH_SHARES = (Measurement.What.PURITY, Measurement.What.SOAP_CONTENT)


def share_field(what, **kwargs):
    """The box for a reading of such a share, or for a limit of it."""
    return PercentField(high=what in HIGH_SHARES, **kwargs)


def reading_field(what, **kwargs):
    """The box for a reading of any kind that has a figure, or for a limit of it."""
    if what in Measurement.SHARES:
        return share_field(what, **kwargs)
    if what == Measurement.What.DENSITY:
        return DensityField(**kwargs)
    thickness = what == Measurement.What.THICKNESS
    return NumberField(signed=True, measured=not thickness, **kwargs)


def find_lot(text):
    """The lot of a typed code, or a fault that stands beside the field."""
    with faulted():
        return lookup.find_lot(text, invoices=False)


class LotField(forms.CharField):
    """A lot by its code, its batch or the supplier's lot; its name is shown back."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Lot")
        kwargs.setdefault("widget", echoed("echo-lot", list="lots"))
        super().__init__(max_length=80, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        return find_lot(text) if text else None


class SourceField(LotField):
    """A lot, or an item that is on tap."""

    def clean(self, value):
        text = forms.CharField.clean(self, value)
        if not text:
            return None
        tap = Item.objects.filter(name__iexact=text, on_tap=True).first()
        return tap or find_lot(text)


ALKALI_CHOICES = [(alkali, alkali) for alkali in ALKALIS]
