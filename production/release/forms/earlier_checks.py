"""Checks that are taken back, and those from before this book."""

from django import forms

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import DayField
from production.quantities.domain.numbers import plain
from production.release.reads.tested_before import untested_from_before
from production.stock.forms.choices import lots_to_choose
from production.stock.forms.fields import LotField
from production.stock.models.lots import Lot


class TakeBackCheckForm(DeedForm):
    """Why a check does not count; of a failed one, which lot's it was."""

    reason_asked = True
    belongs_to = LotField(
        label="It was the failure of lot",
        required=False,
        help_text="Left empty: of none; the lot waits for a new check.",
    )

    def __init__(self, *args, check, **kwargs):
        super().__init__(*args, **kwargs)
        wanted = "Write why the check does not count."
        self.fields["reason"].error_messages["required"] = wanted
        if check.passed:
            del self.fields["belongs_to"]
        self.suggestions = {"lots": [] if check.passed else lots_to_choose()}


class LotsField(forms.ModelMultipleChoiceField):
    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, lot):
        return f"{lot.item}, lot {lot}: {plain(lot.on_hand)} left"


class TestedBeforeForm(DeedForm):
    """Filled goods from before this book, ticked; none is ticked beforehand."""

    lots = LotsField(
        queryset=Lot.objects.none(),
        label="Tested lots",
        error_messages={"required": "Tick the lots that were tested."},
    )
    tested = DayField(label="Tested on")
    how = forms.CharField(
        label="How it was tested",
        max_length=200,
        help_text="Drop test at several spots, a titration with its figure.",
    )
    written = forms.CharField(
        label="Where that is written",
        max_length=120,
        help_text="The notebook and its page, the batch card, the report.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["lots"].queryset = untested_from_before()
