"""The plain cards: items, suppliers, customers, places, the workshop, its people."""

from decimal import Decimal
from types import SimpleNamespace
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.forms import SetPasswordForm, UserCreationForm

from production.pages.forms.deed import Signed
from production.pages.forms.fields import (
    TUBS,
    AmountField,
    DensityField,
    MoneyField,
    NumberField,
    PercentField,
    faulted,
    parse_amount,
)
from production.pages.forms.opened import Opened
from production.quantities.domain.numbers import plain
from production.quantities.domain.units import read_volume
from production.record.actions.people import MAKER, OWNER, is_owner
from production.record.models.workshop import Workshop
from production.record.reads.any_case import called, spellings
from production.record.reads.countries import countries
from production.workshop.actions import roles
from production.workshop.models.items import Item
from production.workshop.models.places import Vessel
from production.workshop.reads.labelled import spoken_of
from production.workshop.reads.roles import role_of


class Card(Opened, forms.ModelForm):
    """Only shaped here; an action writes it."""

    folded: tuple[str, ...] = ()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, forms.ModelChoiceField):
                field.empty_label = "none"
            elif isinstance(field, forms.DecimalField):
                # A browser's own box for numbers eats a comma and a unit.
                self.fields[name] = _in_words(field)

    def stands(self):
        """The card as it stands in the book, or None before there is one."""
        rows = type(self.instance)._default_manager
        row = rows.filter(pk=self.instance.pk).first()
        return type(self)(instance=row) if row else None

    def says_what_stands(self):
        """The card that says all this already, where one is added; else None."""
        if self.instance.pk or "name" not in self.fields:
            return None
        rows = type(self.instance)._default_manager
        row = rows.filter(name=(self["name"].data or "").strip()).first()
        return row if row and self.says_as(type(self)(instance=row)) else None

    def arguments(self):
        return dict(self.cleaned_data)

    def open_fields(self):
        return [f for f in self.visible_fields() if f.name not in self.folded]

    def folded_fields(self):
        return [self[name] for name in self.folded]

    def folded_open(self):
        return any(field.errors for field in self.folded_fields())


class OneSpelling(forms.ModelForm):
    """A card's name differs from each other by more than its capitals."""

    def clean_name(self):
        name = " ".join(self.cleaned_data["name"].split())
        if name == self.initial.get("name"):
            return name
        rows = type(self.instance)._default_manager.exclude(pk=self.instance.pk)
        other = called(rows, "name", spellings([name])).exclude(name=name).first()
        if other:
            raise forms.ValidationError(
                f"{other} has a card already, in other capitals. Open that one."
            )
        return name


def _in_words(field):
    """A box for the same figure that is read as every other is."""
    return NumberField(
        places=field.decimal_places,
        required=field.required,
        label=field.label,
        help_text=field.help_text,
        initial=field.initial,
    )


# What most items need no word of.
ASIDE = (
    "low_at",
    "density",
    "acid",
    "name_on_label",
    "own_inci",
    "own_potassium_soap",
    "own_sodium_soap",
    "most",
    "ph_low",
    "ph_high",
    "needs_check",
    "on_tap",
    "tap_price",
)


class ItemForm(Signed, Card):
    density = DensityField(
        label="Density, g/mL",
        required=False,
        help_text="Needed where an amount is typed by volume.",
    )
    low_at = AmountField(
        label="Short below",
        required=False,
        zero=True,
        widget=forms.TextInput(),
        help_text="The start page says so when less than this is released.",
    )
    tap_price = MoneyField(
        label="Price of 1,000 g on tap", of="1,000 g", required=False
    )
    most = PercentField(
        label="At most, % of what is made",
        required=False,
        help_text="As its supplier or the law says; a recipe with more is told so.",
    )
    ph_low = NumberField(label="Works from pH", places=2, required=False)
    ph_high = NumberField(
        label="Works up to pH",
        places=2,
        required=False,
        help_text="Off its data sheet: a preservative for pH 4 to 6 does nothing in "
        "soap.",
    )
    folded = ASIDE

    class Meta:
        model = Item
        fields = (
            "name",
            "kind",
            "category",
            "serves_as",
            "unit",
            "oil",
            "alkali",
            *ASIDE,
        )
        labels = {
            "unit": "Measured in",
            "oil": "Published oil",
            "alkali": "Which alkali",
        }
        help_texts = {
            "category": "What it is in the pot. Soap or paste that was bought counts "
            "as alkaline until it is tested.",
            "serves_as": "Of packaging: a bottle, jar or tub is the container, a cap "
            "or pump the closure. A bottle that came with its cap is a container.",
            "needs_check": "A delivery of it starts in quarantine.",
            "unit": "Grams for what is weighed, pieces for what is counted.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].help_text = (
            "Where an owner changes what it counts as: category, alkali, acid, kind, "
            "check on arrival."
        )

    def clean(self):
        facts = super().clean()
        self._read_low_at(facts)
        if not self.errors:
            self._judge_role(facts)
        self._judge_ph(facts.get("ph_low"), facts.get("ph_high"))
        return facts

    def _read_low_at(self, facts):
        """As the item is measured: grams, or pieces."""
        if text := facts.get("low_at"):
            unit, density = facts.get("unit") or "g", facts.get("density")
            parse_amount(self, "low_at", SimpleNamespace(unit=unit, density=density))
            read = facts.get("low_at")
            facts["low_at"] = None if read in (None, text) else read.grams_or_pieces
        elif "low_at" in facts:
            facts["low_at"] = None

    def _judge_role(self, facts):
        """A fault beside the box that mends it; the rest the deed refuses."""
        card = Item(**{name: facts[name] for name in (*roles.STATED, *roles.NAMES)})
        said = spoken_of(card)
        if said is not None and not roles.is_at_odds(card, said):
            card.category = facts["category"] = Item.Category.ALKALI
            if not card.alkali and said.which in TUBS:
                card.alkali = facts["alkali"] = said.which
        if roles.without_role(card) and not (self.instance.pk and role_of(card)):
            self.add_error("category", roles.say_what_it_is(card.name))
        elif which := roles.which_is_open(card):
            self.add_error("alkali", which)

    def _judge_ph(self, low, high):
        for name, value in (("ph_low", low), ("ph_high", high)):
            if value is not None and value > 14:
                self.add_error(name, "A pH lies between 0 and 14.")
        if low is not None and high is not None and low > high:
            self.add_error("ph_high", "The upper pH is below the lower one.")


class VolumeField(forms.CharField):
    """``24 L``, ``5 gal`` or mL; cleans to mL."""

    def __init__(self, **kwargs):
        super().__init__(max_length=60, **kwargs)

    def prepare_value(self, value):
        if not isinstance(value, Decimal):
            return value
        return f"{plain(value / 1000)} L" if value >= 1000 else f"{plain(value)} mL"

    def clean(self, value):
        text = super().clean(value)
        with faulted():
            return read_volume(text).grams_or_pieces.quantize(Decimal("0.1"))


class WeightField(AmountField):
    """A weight on a card, kept as grams."""

    def __init__(self, **kwargs):
        super().__init__(unit="g", **kwargs)

    def prepare_value(self, value):
        return f"{plain(value)} g" if isinstance(value, Decimal) else value

    def clean(self, value):
        read = super().clean(value)
        return read.grams_or_pieces if read else None


class VesselForm(Card):
    volume = VolumeField(
        label="Holds to the brim",
        help_text="As 24 L, 5 gal or 500 mL: fill it with water and measure, or weigh.",
    )
    tare = WeightField(
        label="Weighs empty",
        required=False,
        help_text="With the stirrer that stays in it: then a full kettle is weighed "
        "without pouring it out.",
    )

    class Meta:
        model = Vessel
        fields = ("name", "volume", "tare")


class CountryField(forms.ChoiceField):
    """One of the countries of ISO 3166-1, or none said."""

    def __init__(self, **kwargs):
        super().__init__(choices=self.offered, **kwargs)

    @staticmethod
    def offered():
        return [("", "not said"), *countries().items()]


class WorkshopForm(Card):
    country = CountryField(required=False, help_text="Labels need it.")
    balance_step = WeightField(
        label="Smallest step of the balance",
        required=False,
        help_text="What its last digit counts in, as 1 g or 0.1 g: it widens the range "
        "of a superfat.",
    )

    class Meta:
        model = Workshop
        fields = (
            "name",
            "address",
            "country",
            "emergency",
            "contact",
            "currency",
            "zone",
            "units",
            "paper",
            "balance_step",
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


class PersonForm(Signed, UserCreationForm):
    group = forms.ChoiceField(label="May", choices=PARTS)

    def arguments(self):
        facts = self.cleaned_data
        return {
            "username": facts["username"],
            "password": facts["password1"],
            "group": facts["group"],
            **self.signed(),
        }


class RoleForm(Opened, Signed):
    """What somebody may do, and whether they may sign in."""

    group = forms.ChoiceField(label="May", choices=PARTS)
    active = forms.BooleanField(
        label="May sign in",
        required=False,
        help_text="Without it the door is shut at once; what they signed stays.",
    )

    def __init__(self, *args, person, **kwargs):
        self.person = person
        first = {
            "group": OWNER if is_owner(person) else MAKER,
            "active": person.is_active,
        }
        super().__init__(*args, initial=first, **kwargs)

    def stands(self):
        return RoleForm(person=type(self.person).objects.get(pk=self.person.pk))

    def arguments(self):
        return dict(self.cleaned_data)


class UnlockForm(Signed):
    """Nothing is asked but why."""

    def arguments(self):
        return self.signed()


class NewPasswordForm(Signed, SetPasswordForm):
    def arguments(self):
        return {"password": self.cleaned_data["new_password1"], **self.signed()}
