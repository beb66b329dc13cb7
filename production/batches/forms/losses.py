"""What was lost, by its name: in rows, as an answer, anew, and all of a batch."""

from django import forms

from production.batches.forms.working import AsksWork, WorkRow
from production.pages.forms.deed import DeedForm, RowForm
from production.pages.forms.fields import CHOOSE, AmountField
from production.quantities.domain.refusal import Refused
from production.stock.models.batches import Loss
from production.yields.domain.hours_and_losses import NewLoss
from production.yields.domain.yields import ABNORMAL, NORMAL


def said(kind):
    """A kind of loss, and where its cost goes."""
    return f"{kind.label}: an expense" if kind.value in ABNORMAL else kind.label


# In the order a maker asks: what the work takes, what went wrong, what nobody knows.
KINDS = sorted(
    ((kind.value, said(kind)) for kind in Loss.Kind),
    key=lambda kind: 0 if kind[0] in NORMAL else 1 if kind[0] in ABNORMAL else 2,
)
WHOLE = [kind for kind in KINDS if kind[0] not in NORMAL]


class RestField(forms.ChoiceField):
    """Where the missing grams went; only seen where grams are missing."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Where did the rest go?")
        super().__init__(
            choices=[("", "say where"), *KINDS],
            required=False,
            widget=forms.HiddenInput,
            **kwargs,
        )

    def show(self):
        """Ask it on the page."""
        self.widget = forms.Select(choices=self.choices)
        self.widget.is_required = False


class AsksWhere(forms.Form):
    """Keeps each answered question on the page, whatever else is refused."""

    def clean(self):
        facts = super().clean()
        for name, field in self.fields.items():
            if isinstance(field, RestField) and facts.get(name):
                field.show()
        return facts


class LossRow(RowForm):
    tells = ("amount",)
    kind = forms.ChoiceField(choices=KINDS)
    amount = AmountField(label="How much", unit="g", required=False)

    def loss(self):
        facts = self.cleaned_data
        return NewLoss(kind=facts["kind"], amount=facts["amount"].grams_or_pieces)


def losses_of(form):
    return [row.loss() for row in form.rows["losses"].written()]


class LossForm(DeedForm):
    row_sets = {"losses": (LossRow, "Losses with a name")}
    spare_rows = 2

    def arguments(self):
        if not (losses := losses_of(self)):
            raise Refused("Write what was lost, and how much.")
        return {**super().arguments(), "losses": losses}


class RenameForm(DeedForm):
    """The right name of a loss, and why the first one was wrong."""

    reason_asked = True
    kind = forms.ChoiceField(label="What it was", choices=[CHOOSE, *KINDS])


class LoseForm(AsksWork, DeedForm):
    """All of a batch went wrong, and the hours that went with it."""

    row_sets = {"work": (WorkRow, "Hours")}
    folded_rows = ("work",)
    spare_rows = 2
    kind = forms.ChoiceField(
        label="What happened",
        choices=[CHOOSE, *WHOLE],
    )
