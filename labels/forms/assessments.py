"""What an assessor said of a product, and what the maker decides that it is."""

from django import forms

from labels.actions.assessments import Covered
from production.models import Formula, Item
from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import Choice, DayField, NumberField, PercentField

# The others may be one by their name, such as an oil of lavender.
NEVER_A_SCENT = (
    Item.Category.ALKALI,
    Item.Category.WATER,
    Item.Category.ACID,
    Item.Category.SALT,
    Item.Category.COLOURANT,
)


class RecipeRow(RowForm):
    tells = ("formula", "first", "last")
    formula = Choice(Formula.objects.order_by("name"), label="Recipe", required=False)
    first = NumberField(label="From version", places=0, required=False)
    last = NumberField(
        label="Up to version",
        places=0,
        required=False,
        help_text="Open where later ones are covered too.",
    )

    def clean(self):
        facts = super().clean()
        if not facts.get("formula") and (facts.get("first") or facts.get("last")):
            self.add_error("formula", "Choose the recipe, or leave the row empty.")
        return facts

    def covered(self):
        facts = self.cleaned_data
        first, last = facts["first"], facts["last"]
        return Covered(
            facts["formula"],
            None if first is None else int(first),
            None if last is None else int(last),
        )


class FragranceRow(RowForm):
    tells = ("fragrance", "most")
    fragrance = Choice(
        Item.objects.filter(kind=Item.Kind.MATERIAL).exclude(
            category__in=NEVER_A_SCENT
        ),
        required=False,
    )
    most = PercentField(label="At most, % of the finished product", required=False)

    def clean(self):
        facts = super().clean()
        if self.errors:
            return facts
        if facts.get("fragrance") and facts.get("most") is None:
            self.add_error("most", "Write how many percent were assessed at most.")
        if facts.get("most") is not None and not facts.get("fragrance"):
            self.add_error("fragrance", "Choose the fragrance, or leave the row empty.")
        return facts


class AssessmentForm(DeedForm):
    row_sets = {
        "recipes": (RecipeRow, "Recipes that it covers"),
        "fragrances": (FragranceRow, "Fragrances, and their highest shares"),
    }
    spare_rows = 2
    after_rows = ()
    rules = forms.ChoiceField(label="Label rules")
    reference = forms.CharField(
        max_length=80, help_text="As printed on the assessor's report."
    )
    assessor = forms.CharField(label="Assessor's name", max_length=120)
    assessed_on = DayField(label="Dated")
    holds_until = DayField(label="Holds until", required=False)
    pack = Choice(
        Item.objects.filter(serves_as=Item.Serves.CONTAINER),
        label="Container that was assessed",
        required=False,
    )
    notification = forms.CharField(
        label="Notification number", max_length=60, required=False
    )
    notified_on = DayField(label="Notified on", required=False)
    responsible = forms.CharField(
        label="Responsible person",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Name first, then the address, as in the report.",
    )

    def __init__(self, *args, rules, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["rules"].choices = rules
        self.fields["on"].label = "Noted on"
        # The report says it.
        del self.fields["reason"]

    def clean(self):
        facts = super().clean()
        seen = set()
        for row in self._written("fragrances", "fragrance"):
            kind = row.cleaned_data["fragrance"]
            if kind in seen:
                row.add_error("fragrance", f"{kind} stands twice. Keep the right row.")
                self.add_error(None, f"{kind} stands twice. Keep the right row.")
            seen.add(kind)
        return facts

    def _written(self, name, field):
        every = [row for row in self.rows[name] if row.is_valid()]
        return [row for row in every if row.cleaned_data.get(field)]

    def arguments(self):
        recipes = self._written("recipes", "formula")
        fragrances = [
            row.cleaned_data for row in self._written("fragrances", "fragrance")
        ]
        return {
            **super().arguments(),
            "recipes": tuple(row.covered() for row in recipes),
            "fragrances": {row["fragrance"]: row["most"] for row in fragrances},
        }


class KindForm(DeedForm):
    kind = forms.ChoiceField(label="It is", widget=forms.RadioSelect)
    why = forms.CharField(
        label="What you lean on",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Needed against our reading: who licensed for it said so, and when.",
    )
    after_rows = ()

    def __init__(self, *args, kinds, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [(kind, kind) for kind in kinds]
        self.fields["on"].label = "Decided on"
        del self.fields["reason"]
