from django import forms

from labels.domain.rules import RULE_SETS


class IngredientsForm(forms.Form):
    """Which rules, and which basis where it differs from theirs."""

    rules = forms.ChoiceField(
        label="Label rules",
        choices=[(code, rules.title) for code, rules in RULE_SETS.items()],
    )
    basis = forms.ChoiceField(
        required=False,
        choices=[
            ("", "the one the rules ask for"),
            ("added", "as added"),
            ("finished", "as finished"),
        ],
    )
