"""Labels that go out, are counted and come back; the text of a held lot."""

from collections import defaultdict

from django import forms

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


class ApproveForm(DeedForm):
    """None is ticked before: an owner says which cause is one of label or papers."""

    reason_asked = True
    causes = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label="Causes that this text answers",
        help_text="Only one of its label or its papers. Where the soap itself is in "
        "doubt, leave it: its label stays a draft.",
    )

    def __init__(self, *args, causes, **kwargs):
        super().__init__(*args, **kwargs)
        # The same words are one question, however often somebody wrote them.
        self.alike = defaultdict(list)
        for one in sorted(causes, key=lambda cause: cause.pk):
            self.alike[" ".join(one.cause.split()).casefold()].append(one)
        self.fields["causes"].choices = [
            (str(many[0].pk), _told(many)) for many in self.alike.values()
        ]

    def arguments(self):
        ticked = set(self.cleaned_data["causes"])
        found = [
            cause
            for many in self.alike.values()
            if str(many[0].pk) in ticked
            for cause in many
        ]
        return {**super().arguments(), "causes": found}


def _told(causes):
    when = dict.fromkeys(f"{one.on:%Y-%m-%d}, {one.deed.by}" for one in causes)
    return f"{causes[0].cause} ({'; '.join(when)})"
