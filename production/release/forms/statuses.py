"""Hold and release: what a hold reaches, and which causes are answered."""

from collections import defaultdict
from typing import Any

from django import forms

from production.contents.reads.open_batches import batches_of
from production.fitness.reads.holds import causes_of, held_together, reached_by
from production.pages.forms.deed import DeedForm
from production.quantities.domain.numbers import plain
from production.record.reads.clock import today
from production.release.actions.readings import earliest_release
from production.stock.models.batches import Batch
from production.stock.models.holds import Hold
from production.stock.models.lots import Lot
from production.workshop.models.items import Item


class LotTicks(forms.ModelMultipleChoiceField):
    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, lot):
        return f"{lot.item}, lot {lot}"


class BatchTicks(forms.ModelMultipleChoiceField):
    widget = forms.CheckboxSelectMultiple

    holds: dict[int, Any] = {}

    def label_from_instance(self, batch):
        stage, since = batch.get_stage_display(), f"{batch.started:%Y-%m-%d}"
        much = "; ".join(self.holds.get(batch.pk, ()))
        says = f"{stage} {batch}, started {since}"
        return f"{says}: {much}" if much else f"{says}, which has made no lot yet"


class HoldTicks(forms.ModelMultipleChoiceField):
    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, hold):
        return f"{hold.cause} ({hold.on:%Y-%m-%d}, {hold.deed.by})"


def _amounts(rows):
    """What of which lot stands in each open batch."""
    found = defaultdict(list)
    for row in rows:
        unit = "g" if row.lot.item.unit == Item.Unit.GRAM else "pcs"
        found[row.batch.pk].append(f"{plain(row.amount)} {unit} of {row.lot}")
    return found


def offer(form, name, rows, found, *, ticked=True):
    """Put these rows to be ticked; where there are none, nothing is asked."""
    if not rows:
        del form.fields[name]
        return
    pks = [row.pk for row in rows]
    form.fields[name].queryset = found.filter(pk__in=pks)
    if ticked:
        form.fields[name].initial = pks


class HoldForm(DeedForm):
    """What was made from the lot is held with it unless it is unticked."""

    reason_asked = True
    also = LotTicks(
        Lot.objects.none(),
        label="Held with it: what was made from it and is still here",
        required=False,
    )
    batches = BatchTicks(
        Batch.objects.none(),
        label="And what stands open with it inside",
        required=False,
    )
    left_out = forms.CharField(
        label="Why not, where you untick one", required=False, max_length=200
    )

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].label = "Cause"
        lots, standing_open = reached_by(lot)
        batches = batches_of(standing_open)
        self.fields["batches"].holds = _amounts(standing_open)
        offer(self, "also", lots, Lot.objects)
        offer(self, "batches", batches, Batch.objects)
        if not lots and not batches:
            del self.fields["left_out"]

    def arguments(self):
        given = super().arguments()
        for name in ("also", "batches"):
            if name in given:
                given[name] = list(given[name])
        return given


class ReleaseForm(DeedForm):
    """Each cause of a hold is ticked by whoever answers it; none is ticked before."""

    lifts = HoldTicks(
        Hold.objects.none(),
        label="Answered causes",
        required=False,
        help_text="It stays held while one of them stands. Only an owner may.",
    )
    also = LotTicks(
        Lot.objects.none(),
        label="Held with it, and freed with it: again what they were before",
        required=False,
    )
    batches = BatchTicks(
        Batch.objects.none(),
        label="And what stands open, held with it and freed with it",
        required=False,
    )
    override = forms.BooleanField(
        label="Cut the rest short",
        required=False,
        help_text="Only an owner may, and only with a reason.",
    )

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, **kwargs)
        if not lot.batch_id or earliest_release(lot) <= today():
            del self.fields["override"]
        causes = causes_of(lot)
        together, standing_open = held_together(causes)
        holds = Hold.objects.select_related("deed__by")
        offer(self, "lifts", causes, holds, ticked=False)
        offer(self, "also", together, Lot.objects.select_related("item"))
        offer(self, "batches", standing_open, Batch.objects)
        if causes:
            self.fields["reason"].required = True
            self.fields["reason"].error_messages["required"] = (
                "Write how the cause was answered."
            )
            self.fields["lifts"].required = True
            self.fields["lifts"].error_messages["required"] = (
                "Tick the cause that is answered, and say in the reason how."
            )

    def arguments(self):
        given = super().arguments()
        for name in ("lifts", "also", "batches"):
            if name in given:
                given[name] = list(given[name])
        return given
