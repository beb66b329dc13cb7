"""The plain cards: items, suppliers, customers, places, the workshop, its people."""

from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.forms import SetPasswordForm, UserCreationForm

from production.actions.people import MAKER, OWNER
from production.forms.fields import MoneyField
from production.models import Customer, Item, Place, Supplier, Workshop


class Card(forms.ModelForm):
    """Only shaped here; an action writes it."""

    folded = ()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.ModelChoiceField):
                field.empty_label = "none"

    def arguments(self):
        return dict(self.cleaned_data)

    def open_fields(self):
        return [f for f in self.visible_fields() if f.name not in self.folded]

    def folded_fields(self):
        return [self[name] for name in self.folded]

    def folded_open(self):
        return any(field.errors for field in self.folded_fields())


class ItemForm(Card):
    tap_price = MoneyField(label="Price of 1,000 g on tap", required=False)
    folded = (
        "low_at",
        "density",
        "acid",
        "name_on_label",
        "own_inci",
        "own_potassium_soap",
        "needs_check",
        "on_tap",
        "tap_price",
    )

    class Meta:
        model = Item
        fields = (
            "name",
            "kind",
            "category",
            "unit",
            "oil",
            "alkali",
            "low_at",
            "density",
            "acid",
            "name_on_label",
            "own_inci",
            "own_potassium_soap",
            "needs_check",
            "on_tap",
            "tap_price",
        )
        labels = {
            "unit": "Measured in",
            "oil": "Published oil",
            "alkali": "Which alkali",
        }
        help_texts = {
            "density": "Needed where an amount is typed by volume.",
            "needs_check": "A delivery of it starts in quarantine.",
            "unit": "Grams for what is weighed, pieces for what is counted.",
        }

    def clean(self):
        facts = super().clean()
        if facts.get("category") == Item.Category.ALKALI and not facts.get("alkali"):
            self.add_error("alkali", "Say which alkali it is, KOH or NaOH.")
        return facts


class SupplierForm(Card):
    class Meta:
        model = Supplier
        fields = ("name", "contact", "note")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}


class CustomerForm(Card):
    class Meta:
        model = Customer
        fields = ("name", "contact")


class PlaceForm(Card):
    class Meta:
        model = Place
        fields = ("name",)


class WorkshopForm(Card):
    class Meta:
        model = Workshop
        fields = (
            "name",
            "address",
            "emergency",
            "contact",
            "currency",
            "zone",
            "units",
            "paper",
            "domain",
        )
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "emergency": forms.Textarea(attrs={"rows": 4}),
            "zone": forms.TextInput(attrs={"list": "zones"}),
        }

    @property
    def suggestions(self):
        return {"zones": [(zone, "") for zone in sorted(available_timezones())]}


PARTS = [(MAKER, "record (maker)"), (OWNER, "record and decide (owner)")]


class PersonForm(UserCreationForm):
    group = forms.ChoiceField(label="May", choices=PARTS)

    def arguments(self):
        facts = self.cleaned_data
        return {
            "username": facts["username"],
            "password": facts["password1"],
            "group": facts["group"],
        }


class PartForm(forms.Form):
    """What somebody may do, and whether they may sign in."""

    group = forms.ChoiceField(label="May", choices=PARTS)
    active = forms.BooleanField(
        label="May sign in",
        required=False,
        help_text="Without it the door is shut at once; what they signed stays.",
    )

    def arguments(self):
        return dict(self.cleaned_data)


class NewPasswordForm(SetPasswordForm):
    def arguments(self):
        return {"password": self.cleaned_data["new_password1"]}
