"""What is read and jotted down at the bench: the name on a tub, the steps."""

from django import forms
from django.core.exceptions import ValidationError

from production.recipes.reads.tubs import lyes_known, strength
from production.stock.models.lots import Lot
from production.workshop.models.items import Item


class StepsField(forms.CharField):
    """Free lines as on a sheet of paper; cleans to a list."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Steps, a line each")
        kwargs.setdefault("widget", forms.Textarea(attrs={"rows": 3}))
        kwargs.setdefault("help_text", "With the clock, as on paper: 9:40 thick trace.")
        super().__init__(required=False, **kwargs)

    def clean(self, value):
        lines = [line.strip() for line in super().clean(value).splitlines()]
        if any(len(line) > 300 for line in lines):
            raise ValidationError("A step has at most 300 characters: break the line.")
        return [line for line in lines if line]


class ReadField(forms.Field):
    """A tick that says what was read; a sentence that changed is ticked anew."""

    def __init__(self, sentence, **kwargs):
        self.sentence = sentence
        super().__init__(
            label=f"I have read: {sentence}",
            required=False,
            widget=Checkbox(sentence),
            **kwargs,
        )

    def clean(self, value):
        if value != self.sentence:
            raise ValidationError(
                f"Look at the tub a second time. Is it {self.sentence}? Then tick it."
            )
        return value


class Checkbox(forms.CheckboxInput):
    """Sends the sentence that stood beside it."""

    def __init__(self, sentence):
        self.sentence = sentence
        super().__init__()

    def format_value(self, value):
        return self.sentence

    def value_from_datadict(self, data, files, name):
        """The sentence itself, so that one that changed is noticed."""
        return data.get(name)

    def value_omitted_from_data(self, data, files, name):
        return False


def as_on_the_tub(lot):
    """What an alkali's tub should say; "" where a lot is none."""
    if lot.item.category != Item.Category.ALKALI and not lot.item.alkali:
        return ""
    lye = lyes_known([lot]).get(lot.pk)
    known = strength(lye) if lye else "purity not in the book"
    return f"{lot.item.name}, {known}, lot {lot.code}"


def lots_among(sources):
    """Without what is on tap, and without what nobody named."""
    return [source for source in sources if isinstance(source, Lot)]
