"""Labels that go out, are counted and come back; the text of a held lot."""

from django import forms

from production.models import Hold
from production.pages.forms.deed import DeedForm, Signed


class IssueForm(Signed):
    """One deed for what stands on the page; the boxes beside say what and how many."""

    print = forms.ChoiceField(
        choices=[("sheet", "sheets"), ("one", "one label")],
        widget=forms.HiddenInput,
        initial="sheet",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["reason"]

    def arguments(self):
        return {"one": self.cleaned_data["print"] == "one", **self.signed()}

    def signed(self):
        return {"key": self.cleaned_data["key"]}


class SheetIssueForm(Signed):
    """Its key alone: the address says what is issued."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["reason"]

    def arguments(self):
        return self.signed()

    def signed(self):
        return {"key": self.cleaned_data["key"]}


class AgainForm(DeedForm):
    printed = forms.IntegerField(label="How many more", min_value=1)


class CountForm(DeedForm):
    """All in all until now, so that a miscount is mended by counting once more."""

    used = forms.IntegerField(
        label="Stuck on until now", min_value=0, help_text="All of them since printing."
    )
    spoiled = forms.IntegerField(
        label="Spoiled until now",
        min_value=0,
        help_text="Torn, misprinted or thrown away, all of them since printing.",
    )


class WithdrawForm(DeedForm):
    reason_asked = True


class Causes(forms.ModelMultipleChoiceField):
    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, hold):
        return f"{hold.cause} ({hold.on:%Y-%m-%d}, {hold.deed.by})"


class ApproveForm(DeedForm):
    """None is ticked before: an owner says which cause is one of label or papers."""

    reason_asked = True
    causes = Causes(
        Hold.objects.none(),
        label="Causes that this text answers",
        help_text="Only one of its label or its papers. Where the soap itself is in "
        "doubt, leave it: its label stays a draft.",
    )

    def __init__(self, *args, causes, **kwargs):
        super().__init__(*args, **kwargs)
        found = Hold.objects.filter(pk__in=[one.pk for one in causes])
        self.fields["causes"].queryset = found.select_related("deed__by")

    def arguments(self):
        return {**super().arguments(), "causes": list(self.cleaned_data["causes"])}
