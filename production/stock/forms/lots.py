"""The shape of a form about one lot in hand."""

from django import forms

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import AmountField, parse_amount
from production.stock.forms.places import PlaceOf
from production.stock.reads.places_of_lots import stands_of


class LotForm(DeedForm):
    """A deed on one lot: amounts are read as its item is measured."""

    placed = True

    def __init__(self, *args, lot, **kwargs):
        self.lot = lot
        super().__init__(*args, **kwargs)

    def clean(self):
        facts = super().clean()
        for name, field in self.fields.items():
            if isinstance(field, AmountField) and name in facts:
                parse_amount(self, name, self.lot.item)
        return facts

    def arguments(self):
        given = super().arguments()
        for name, field in self.fields.items():
            if isinstance(field, AmountField) and name in given:
                if given[name]:
                    given[name] = given[name].grams_or_pieces
                else:
                    del given[name]
        return given


class PlacedForm(LotForm):
    """The place is asked only of a lot that stands at more than one."""

    from_apart = True

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        stands = stands_of(self.lot, apart=self.from_apart)
        self.only_place = stands[0][0] if len(stands) == 1 else None
        if len(stands) > 1:
            unit = self.lot.item.unit
            self.fields["place"] = PlaceOf(stands, unit, label="At", required=True)
            self.order_fields(["key", "place"])

    def arguments(self):
        only = {"place": self.only_place} if self.only_place else {}
        return super().arguments() | only


class Override(forms.Form):
    """An owner lets go, in the act, what nobody else may, and says why."""

    override = forms.BooleanField(
        label="It has expired, or is an alkali as such, and leaves all the same",
        required=False,
        help_text="Only an owner may, and only with a reason.",
    )
    folded: tuple[str, ...] = ("override",)
