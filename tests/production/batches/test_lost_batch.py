"""What a maker expects of a batch that is lost whole.

The pot boiled over, or it was thrown away: there is no lot. The batch is closed, asks
for a hand no more, and what went into it and its hours are an expense, not work under
way. What went in is still found from its lots. A mistake is taken back, and
the batch is open again.
"""

from decimal import Decimal as D

import pytest
from django.core.management import call_command
from django.urls import reverse

from config.audit import audit
from costing.domain.rollup import difference
from costing.reads import whole_book
from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.losing import lose_batch, name_loss
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.working import note_work
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import LostBatch, Lot
from production.record.domain.text import write
from production.start.reads import start
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests import make
from tests.make import act
from tests.once import remembered

pytestmark = pytest.mark.django_db


@pytest.fixture
@remembered
def batch():
    """Half of a lot that cost 10, and an hour at 18, in a pot that is open."""
    oil = make.lot("OIL", grams="1000", price="10", item=make.item("rapeseed oil"))
    batch = start_batch(stage="preparation", code="POT", **act())
    use_lots(batch=batch, uses=[Use(D(500), oil)], **act())
    hours = [NewWork("labour", D(1), D(18))]
    note_work(batch=batch, work=hours, **act())
    return batch


def lose(batch, number=3, **facts):
    facts = {"kind": "boiled over", **facts}
    return lose_batch(batch=batch, **act(number), **facts)


def totals():
    return whole_book().valuation.totals


def laws_hold():
    return not [fault for finding in audit() for fault in finding.faults]


def test_its_value_and_hours_are_an_abnormal_loss(batch):
    assert (totals().work_in_progress, totals().abnormal) == (23 * 10**9, 0)
    lose(batch, work=[NewWork("labour", D("0.5"), D(18))])
    found = totals()
    assert (found.work_in_progress, found.abnormal) == (0, 32 * 10**9)
    assert difference(found) == 0
    assert laws_hold()


def test_it_has_no_lot_and_asks_for_a_hand_no_more(batch):
    assert [one.code for one in start.open_batches()] == ["POT"]
    lose(batch)
    assert start.open_batches() == []
    assert not Lot.objects.filter(batch=batch).exists()


def test_nothing_is_done_with_it_any_more(batch):
    lose(batch)
    use = [Use(D(1), Lot.objects.get(code="OIL"))]
    out = Output(D(400), make.item("infused oil", kind="made"))
    spilt = [NewLoss("spill", D(1))]
    with make.refused("POT was lost on 2026-03-03", "take that back"):
        use_lots(batch=batch, uses=use, **act(4))
    with make.refused("POT was lost"):
        make_lot(batch=batch, output=out, **act(4))
    with make.refused("POT was lost"):
        name_loss(batch=batch, losses=spilt, **act(4))
    with make.refused("POT was lost"):
        lose(batch)


def test_it_can_be_taken_back_with_its_hours(batch):
    row = lose(batch, work=[NewWork("labour", D("0.5"), D(18))])
    undo_deed(undone=row.deed, **act(4, reason="it was the other pot"))
    assert [one.code for one in start.open_batches()] == ["POT"]
    assert (totals().work_in_progress, totals().abnormal) == (23 * 10**9, 0)
    out = Output(D(480), make.item("infused oil", kind="made"))
    assert make_lot(batch=batch, output=out, **act(4))
    assert laws_hold()


def test_what_went_in_is_put_right_and_the_loss_with_it(batch):
    lose(batch)
    use = batch.movements.get(kind="used")
    correct_movement(movement=use, amount=D(400), **act(4, reason="misread"))
    assert totals().abnormal == 22 * 10**9
    again = batch.movements.standing().get(kind="used")
    with make.refused("POT was lost with what went in"):
        reverse_movement(movement=again, **act(4, reason="none of it"))


def test_a_trial_that_is_lost_is_development():
    oil = make.lot(grams="1000", price="10")
    trial = start_batch(stage="finishing", trial=True, **act())
    use_lots(batch=trial, uses=[Use(D(500), oil)], **act())
    lose(trial)
    assert (totals().abnormal, totals().development) == (0, 5 * 10**9)


@pytest.mark.parametrize("kind", ["steam", "left on the walls", "bench sample"])
def test_the_ordinary_never_takes_all_of_a_batch(batch, kind):
    with make.refused("never all of it"):
        lose(batch, kind=kind)


def test_a_batch_that_has_a_lot_or_nothing_in_it_is_not_lost(batch):
    empty = start_batch(stage="dilution", **act())
    with make.refused("Nothing has gone into"):
        lose(empty)
    with make.refused("used lots after 2026-03-01"):
        lose(batch, number=1)
    out = Output(D(480), make.item("infused oil", kind="made"))
    make_lot(batch=batch, output=out, **act(3))
    with make.refused("discard that lot"):
        lose(batch)


def test_sent_twice_it_is_lost_once(batch):
    make.sent_twice(lose_batch, batch=batch, kind="burnt", **act(3))


def test_nothing_came_out_says_where_to_write_it(batch):
    out = Output(D(0), make.item("infused oil", kind="made"))
    with make.refused("say on its page that it was lost"):
        make_lot(batch=batch, output=out, **act(3))


def test_the_history_file_tells_it_both_ways(batch):
    name_loss(batch=batch, losses=[NewLoss("spill", D(5))], **act(4))
    lose(batch, number=4, reason="the telephone rang")
    told, cost = write("USD", history_events()), totals()
    assert '"batch_lost"' in told
    call_command("flush", interactive=False, verbosity=0)
    import_history(text=told)
    assert write("USD", history_events()) == told
    assert totals() == cost
    assert LostBatch.objects.get().kind == "boiled over"


class TestThePages:
    def test_the_batch_is_lost_from_its_page_and_says_so_everywhere(self, batch, desk):
        assert "/batches/POT/lose/" in desk.get("/batches/POT/").content.decode()
        sent = {"key": "k", "on": "2026-03-03", "kind": "boiled over", "reason": "rang"}
        sent |= {"work-TOTAL_FORMS": "0", "work-INITIAL_FORMS": "0"}
        page = desk.post("/batches/POT/lose/", sent, follow=True).content.decode()
        assert "All of it was lost on 2026-03-03: boiled over" in page
        assert "Make the lot" not in page
        row = LostBatch.objects.get()
        assert f"/undo/{row.deed_id}/" in page or f"{row.deed_id}/undo" in page
        listed = desk.get("/batches/?done=lost").content.decode()
        assert "POT" in listed
        assert "POT" not in desk.get("/batches/?done=no").content.decode()
        value = desk.get("/value/").content.decode()
        assert 'id="lost"' in value
        assert "boiled over on 2026-03-03" in value

    def test_what_went_in_is_found_from_its_lot(self, batch, desk):
        lose(batch)
        assert "POT" in desk.get("/lots/OIL/").content.decode()

    def test_it_is_taken_back_from_its_page(self, batch, desk):
        row = lose(batch)
        sent = {"key": "k2", "on": "2026-03-04", "reason": "the other pot"}
        desk.post(reverse("deed-undo", args=[row.deed_id]), sent)
        assert "Make the lot" in desk.get("/batches/POT/").content.decode()
