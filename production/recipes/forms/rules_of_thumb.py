"""A rule of what to expect of fats: percent as it is said, fractions as it is kept."""

from decimal import Decimal

from django import forms

from production.chemistry.domain.rules_of_thumb import FIGURES, TOPICS
from production.pages.forms.deed import Signed
from production.pages.forms.fields import Choice, NumberField, PercentField
from production.pages.forms.opened import Opened
from production.quantities.domain.numbers import plain
from production.recipes.models.formulas import Formula
from production.recipes.models.rules_of_thumb import RuleOfThumb

SOURCE = RuleOfThumb._meta.get_field("source")


class RuleForm(Signed):
    """Field names are the action's; ``low`` and ``high`` are read by their figure."""

    topic = forms.ChoiceField(label="About", choices=[(t, t) for t in TOPICS])
    recipe = Choice(
        Formula.objects.all(),
        label="Measured on",
        required=False,
        help_text="It then speaks on this recipe alone, before the general rules. Left "
        "empty: on every recipe.",
    )
    figure = forms.ChoiceField(label="Goes by", choices=list(FIGURES.items()))
    low = forms.CharField(
        label="From",
        max_length=20,
        required=False,
        help_text="In percent; an iodine value as it stands. Left empty: from nothing "
        "up. Both left empty: it always speaks.",
    )
    high = forms.CharField(
        label="To below",
        max_length=20,
        required=False,
        help_text="Left empty: however high.",
    )
    says = forms.CharField(
        label="Says",
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What to expect, in a sentence or two.",
    )
    source = forms.CharField(
        label="Source",
        max_length=300,
        initial=SOURCE.default,
        help_text="A book, a standard, or your own batches: it stands beside the rule.",
    )
    silent = forms.BooleanField(
        label="Say nothing",
        required=False,
        help_text="The rule is kept and does not speak.",
    )

    def clean(self):
        facts = super().clean()
        for name in ("low", "high"):
            facts[name] = self._read(name, facts.get("figure"), facts.get(name))
        return facts

    def _read(self, name, figure, text):
        field = (
            NumberField(places=5, required=False)
            if figure == "iodine_value"
            else PercentField(signed=figure == "superfat", required=False)
        )
        try:
            return field.clean(text or "")
        except forms.ValidationError as fault:
            self.add_error(name, fault)
            return None

    def arguments(self):
        return dict(self.cleaned_data)


class OwnRuleForm(Opened, RuleForm):
    """A rule of the workshop's own, as it stands."""

    def __init__(self, *args, rule, **kwargs):
        self.rule = rule
        first = as_typed(rule) | {"silent": rule.silent, "recipe": rule.recipe_id}
        super().__init__(*args, initial=first, **kwargs)

    def stands(self):
        return OwnRuleForm(rule=RuleOfThumb.objects.get(pk=self.rule.pk))


class SilenceForm(Signed):
    """Why a published rule should not speak here."""

    source = forms.CharField(
        label="Why", max_length=300, initial="not so in our own batches"
    )

    def arguments(self):
        return dict(self.cleaned_data)


def as_typed(rule):
    """A rule as its form shows it."""
    names = ("topic", "figure", "says", "source")
    ends = {name: end_of(rule, getattr(rule, name)) for name in ("low", "high")}
    return {name: getattr(rule, name) for name in names} | ends


def end_of(rule, value):
    """``25 %`` or an iodine value; "" where it is open."""
    if value is None:
        return ""
    if rule.figure == "iodine_value":
        return plain(value)
    return f"{plain(value * Decimal(100))} %"


def span_of(rule):
    """When a rule speaks, in words."""
    low, high = (
        end_of(rule, end).replace(" %", "\N{NO-BREAK SPACE}%")
        for end in (rule.low, rule.high)
    )
    if low and high:
        return f"from {low} to below {high}"
    if low:
        return f"{low} or more"
    return f"below {high}" if high else "at any figure"
