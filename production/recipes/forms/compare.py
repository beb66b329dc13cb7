"""Which two versions to look at side by side, and which oil to exchange."""

from django import forms

from production.chemistry.domain.swap import HOLDS
from production.pages.forms.fields import Choice
from production.recipes.models.formulas import Version
from production.workshop.models.items import Item


class CompareForm(forms.Form):
    a = Choice(Version.objects.none(), label="This version", empty_label="choose one")
    b = Choice(
        Version.objects.none(), label="Beside this one", empty_label="choose one"
    )

    def __init__(self, query):
        # One of them may come from the page of a version; the other is then chosen.
        super().__init__(query if "b" in query else None, initial=query.dict())
        found = Version.objects.select_related("formula").order_by(
            "formula__name", "-number"
        )
        for name in ("a", "b"):
            self.fields[name].queryset = found


class SwapForm(forms.Form):
    out = Choice(Item.objects.none(), label="Take out", empty_label="choose an oil")
    into = Choice(
        Item.objects.filter(category=Item.Category.OIL),
        label="Put in its place",
        empty_label="choose an oil",
    )
    hold = forms.ChoiceField(label="And keep as it was", choices=list(HOLDS.items()))

    def __init__(self, *args, version, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["out"].queryset = Item.objects.filter(
            category=Item.Category.OIL,
            pk__in=version.lines.values("item"),
        )
