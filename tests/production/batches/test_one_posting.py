"""The same batch stands in the book alike, whichever page it was written on.

The amounts are invented; only that every door leaves equal rows is proved here.
"""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.days import craft_day, craft_scents
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.trials import NewAddition, bench_trials
from production.models import Batch, Loss, Measurement, Movement, Status, Step, Work
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement, note_step
from production.stock.actions.opening_lots import Reading
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from production.yields.reads import outturn
from tests import make
from tests.make import act
from tests.once import remembered
from tests.production import craft_morning as bench

pytestmark = pytest.mark.django_db

ON = 4


@pytest.fixture
@remembered
def soap(owner):
    bench.set_out(check="hand")
    return make.batch(
        "dilution",
        uses=[(bench.lot("PASTE-1"), "4000")],
        makes="diluted",
        amount="4000",
        code="THIN",
        on=make.day(3),
    )


def finished(soap):
    """By a recipe that says its loss, short of what was expected, read and told."""
    takes = [NewVersionLine(soap.item, share=D("0.97"))]
    takes.append(NewVersionLine(bench.lot("GLY-1").item, share=D("0.03")))
    recipe = make.version(
        name="a sparing finish",
        stage="finishing",
        makes=bench.recipe("finishing").formula.makes,
        lines=takes,
        loss=D("0.01"),
    )
    return NewBatch(
        stage="finishing",
        version=recipe,
        uses=[
            Use(lot=soap, amount=D(970), typed="970 g"),
            Use(lot=bench.lot("GLY-1"), amount=D(30)),
        ],
        output=Output(amount=D(900), typed="0.9 kg", expires=make.day(30)),
        losses=[NewLoss("bench sample", D(5))],
        work=[NewWork("labour", D("0.5"), D(18))],
        steps=["poured at 40 C", "stood an hour"],
        readings=[Reading("thickness", D(3000)), *bench.PASSED],
        lost_as="spill",
    )


def by_itself(new, trial=False):
    """As one batch; what was read has its own page there, and its own deed."""
    head = {"stage": new.stage, "version": new.version, "trial": trial}
    lot = run_batch(
        **head,
        uses=new.uses,
        output=new.output,
        losses=new.losses,
        work=new.work,
        steps=new.steps,
        lost_as=new.lost_as,
        **act(ON),
    )
    return _read(lot, new)


def step_by_step(new):
    """Started, filled, told about and closed, each on its own page."""
    batch = start_batch(stage=new.stage, version=new.version, **act(ON))
    use_lots(batch=batch, uses=new.uses, **act(ON))
    for text in new.steps:
        note_step(batch=batch, text=text, **act(ON))
    lot = make_lot(
        batch=batch,
        output=new.output,
        losses=new.losses,
        work=new.work,
        lost_as=new.lost_as,
        **act(ON),
    )
    return _read(lot, new)


def _read(lot, new):
    if new.readings:
        after = [replace(row, sampled="after") for row in new.readings]
        note_measurement(lot=lot, readings=after, **act(ON))
    return lot


def on_a_craft_day(new):
    """Behind a dilution of the same day; the soap is what that one made."""
    thin = NewBatch(
        stage="dilution",
        uses=[Use(lot=bench.lot("PASTE-1"), amount=D(970))],
        output=Output(amount=D(970), item=bench.lot("THIN").item),
    )
    deed = craft_day(
        dilution=thin, finishing=replace(new, uses=new.uses[1:]), **act(ON)
    )
    return Batch.objects.get(deed=deed, stage="finishing").lot


def as_a_scent(new):
    deed = craft_scents(scents=[new], **act(ON))
    return Batch.objects.get(deed=deed).lot


def rows_of(lot):
    """All that the book keeps of a batch, but for its keys, codes and places in it."""

    def told(model, *names, **of):
        return list(model.objects.filter(**of).order_by("pk").values_list(*names))

    batch, found = lot.batch, outturn(lot.batch)
    head = ("stage", "version", "started", "expected", "follows", "trial")
    facts = ("what", "basis", "value", "passed", "note", "method", "sampled", "on")
    return {
        "batch": [getattr(batch, name) for name in head],
        "lot": [lot.item, lot.expires, lot.net_mass],
        "entries": told(
            *(Movement, "kind", "lot__item", "amount", "on", "place"),
            *("value", "reverses", "rank"),
            batch=batch,
        ),
        "losses": told(Loss, "kind", "amount", "on", batch=batch),
        "work": told(Work, "kind", "hours", "rate", "on", batch=batch),
        "steps": told(Step, "text", "look", "on", batch=batch),
        "measurements": told(Measurement, *facts, lot=lot),
        "statuses": told(Status, "status", "on", lot=lot),
        "outturn": [found.expected, found.missing, found.abnormal, found.named],
    }


@pytest.mark.parametrize("door", [step_by_step, on_a_craft_day, as_a_scent])
def test_each_door_leaves_the_rows_of_a_batch_by_itself(soap, door):
    new = finished(soap)
    first = rows_of(by_itself(new))
    assert rows_of(door(new)) == first
    # Each kind of row is there, so that what is compared is not nothing.
    assert all(first.values())
    # By hand: 990 of 1,000 g expected; 5 are named, 85 are asked about and spilt.
    assert first["outturn"][0] == D(990)
    assert [row[:2] for row in first["losses"]] == [("bench sample", 5), ("spill", 85)]


def test_a_sample_mixed_at_the_bench_is_a_trial_like_any_other(soap):
    becomes = bench.recipe("finishing").formula.makes
    gly = bench.lot("GLY-1")
    bench_trials(
        soap=soap,
        soap_each=D(99),
        additions=[NewAddition(gly, [D("0.01")])],
        item=becomes,
        **act(ON),
    )
    sample = Batch.objects.get(trial=True).lot
    alike = NewBatch(
        stage="finishing",
        uses=[Use(lot=soap, amount=D(99)), Use(lot=gly, amount=D(1))],
        output=Output(amount=D(100), item=becomes),
    )
    assert rows_of(sample) == rows_of(by_itself(alike, trial=True))
