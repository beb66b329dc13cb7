"""The look on arrival."""

from django import forms

from production.buying.actions.arrivals import waiting_lots
from production.buying.models import Purchase
from production.pages.forms.deed import DeedForm
from production.stock.models.lots import Lot


class ArrivedForm(DeedForm):
    """The look on arrival: a tick stands by what is not fine."""

    failed = forms.ModelMultipleChoiceField(
        Lot.objects.none(),
        required=False,
        label="Not fine",
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, purchase: Purchase, **kwargs):
        super().__init__(*args, **kwargs)
        waiting = waiting_lots(purchase)
        field = self.fields["failed"]
        field.queryset = Lot.objects.filter(pk__in=[lot.pk for lot in waiting])
        field.choices = [(lot.pk, f"{lot.item}, lot {lot}") for lot in waiting]
        self.waiting = waiting

    def clean(self):
        facts = super().clean()
        if facts.get("failed") and not facts.get("reason"):
            self.add_error("reason", "Say what is wrong with it.")
        return facts
