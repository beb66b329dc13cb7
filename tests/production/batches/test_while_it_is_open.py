"""While a batch is open: two clocks, a surplus, work and steps; labels after it."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import made_lot, run_batch
from production.batches.actions.losing import name_loss
from production.batches.actions.new_batch import Output
from production.batches.actions.working import note_work
from production.correcting.actions.entries import correct_movement
from production.models import Movement
from production.release.actions.readings import note_measurement, note_step
from production.release.actions.statuses import release_lot
from production.stock.actions.opening_lots import Reading
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests import make
from tests.make import DAY, act, day
from tests.production.batches.started import of, started, use

pytestmark = pytest.mark.django_db


class TestSurplus:
    def test_what_the_book_did_not_know_is_counted_in_and_used_in_one_deed(self):
        oil = make.lot(grams="1000")
        deed = use(started(), of(oil, "1030", surplus=Decimal(30)))
        rows = deed and Movement.objects.filter(deed=deed).order_by("id")
        assert [(row.kind, row.amount) for row in rows] == [
            ("counted", 30),
            ("used", -1030),
        ]
        assert make.on_hand(oil) == 0

    def test_it_is_written_positive(self):
        oil, batch = make.lot(), started()
        with make.refused("write it positive"):
            use(batch, of(oil, surplus=Decimal(-30)))


class TestTwoClocks:
    def test_a_use_typed_late_stands_on_its_own_day(self):
        oil, batch = make.lot(on=day(2)), started()
        use(batch, of(oil, "400"), on=day(20))
        use(batch, of(oil, "600"), on=day(3))
        assert make.on_hand(oil) == 0

    def test_a_late_entry_may_not_empty_what_was_used_after_it(self):
        oil, batch = make.lot("OIL-7"), started()
        use(batch, of(oil, "700"), on=day(20))
        with make.refused(
            "OIL-7 would be 300 g short", "2026-03-20", "used 700", "came after"
        ):
            use(batch, of(oil, "600"), on=day(3))

    def test_goods_are_not_used_before_they_came_also_on_a_released_day(self):
        oil, batch = make.lot("OIL-7", on=day(9)), started("rework")
        with make.refused(
            "not in the book yet", "correct the date on which it arrived"
        ):
            use(batch, of(oil), on=day(8))

    def test_a_correction_of_the_arrival_lets_the_use_stand(self):
        oil, batch = make.lot(on=day(9)), started()
        came = oil.movements.get()
        correct_movement(
            movement=came,
            amount=came.amount,
            moved_to=day(5),
            **act(9, reason="came on the Thursday"),
        )
        use(batch, of(oil), on=day(5))
        assert make.on_hand(oil) == 900
        with make.refused("not in the book yet"):
            use(batch, of(oil), on=day(4))


class TestPackagingForAFilledLot:
    def labels(self, **facts):
        kind = make.item("label 250", kind="packaging", unit="piece")
        return make.lot(item=kind, grams="100", **facts)

    def test_labels_are_added_until_the_lot_is_released(self):
        soap, labels = make.filled(status="quarantine"), self.labels()
        use(soap.batch, of(labels, "20"), on=day(4))
        assert make.on_hand(labels) == 80
        release_lot(lot=soap, **act(5))
        with make.refused("is released: nothing is added"):
            use(soap.batch, of(labels, "1"), on=day(6))

    def test_labels_may_be_added_while_it_is_held(self):
        soap, labels = make.filled(status="held"), self.labels()
        use(soap.batch, of(labels, "20"), on=day(4))
        assert make.on_hand(labels) == 80

    def test_nothing_but_packaging_joins_a_batch_that_is_done(self):
        soap, oil = make.filled(status="quarantine"), make.lot()
        with make.refused(f"{soap.batch} has made {soap} already", "only packaging"):
            use(soap.batch, of(oil))

    def test_packaging_joins_no_paste(self):
        paste, labels = make.cook(), self.labels()
        with make.refused("has made"):
            use(paste.batch, of(labels, "1"))

    def test_what_was_made_of_a_lot_does_not_go_back_into_it(self):
        soap = make.filled(status="quarantine")
        box = make.item("gift box", kind="packaging", unit="piece")
        wrapped = run_batch(
            stage="rework",
            uses=[of(soap, "1")],
            output=Output(Decimal(1), item=box, status="released"),
            **act(),
        )
        with make.refused("was made from", "cannot go back"):
            use(soap.batch, of(wrapped, "1"))


class TestWhatHappensMeanwhile:
    def test_a_step_is_written_with_its_day(self):
        step = note_step(batch=started(), text="at trace", **act(3))
        assert (step.text, step.on) == ("at trace", day(3))

    def test_a_step_without_words_is_refused(self):
        batch = started()
        with make.refused("Text"):
            note_step(batch=batch, text="", **act())

    def test_the_same_key_notes_a_step_once(self):
        batch = started()
        make.sent_twice(note_step, batch=batch, text="gelled", **act())
        assert batch.steps.count() == 1

    def test_hours_are_ink_at_the_rate_of_their_day(self):
        batch = started()
        work = [
            NewWork("labour", Decimal("1.2345"), Decimal("18.50")),
            NewWork("energy", Decimal(3), Decimal("0.32")),
        ]
        note_work(batch=batch, work=work, **act(3))
        rows = batch.work.values_list("kind", "hours", "rate", "on")
        assert list(rows) == [
            ("labour", Decimal("1.2345"), Decimal("18.5"), day(3)),
            ("energy", 3, Decimal("0.32"), day(3)),
        ]

    @pytest.mark.parametrize(("hours", "rate"), [("0", "1"), ("-1", "1"), ("1", "-1")])
    def test_hours_that_cannot_be_are_refused(self, hours, rate):
        batch = started()
        work = [NewWork("labour", Decimal(hours), Decimal(rate))]
        with make.refused("Hours are above zero"):
            note_work(batch=batch, work=work, **act())

    def test_hours_finer_than_four_places_are_refused(self):
        batch = started()
        work = [NewWork("labour", Decimal("0.33333"), Decimal(1))]
        with make.refused("Hours"):
            note_work(batch=batch, work=work, **act())

    def test_a_loss_has_a_name(self):
        batch = started()
        losses = [NewLoss("spill", Decimal("35.5"))]
        name_loss(batch=batch, losses=losses, **act(3))
        rows = batch.losses.values_list("kind", "amount", "on")
        assert list(rows) == [("spill", Decimal("35.5"), day(3))]

    @pytest.mark.parametrize(("kind", "grams"), [("spill", "0"), ("evil eye", "5")])
    def test_a_loss_that_cannot_be_is_refused(self, kind, grams):
        batch = started()
        losses = [NewLoss(kind, Decimal(grams))]
        with make.refused():
            name_loss(batch=batch, losses=losses, **act())

    def test_a_reading_may_be_of_an_open_batch(self):
        batch = started("cook")
        ph = Reading("pH", Decimal("10.2"), note="1 % in water")
        note_measurement(batch=batch, readings=[ph], **act(3))
        row = batch.measurements.get()
        assert (row.what, row.value, row.on) == ("pH", Decimal("10.2"), day(3))

    def test_a_reading_says_of_what_it_is(self):
        facts = act()
        with make.refused("which lot or batch"):
            note_measurement(readings=[make.check()], **facts)

    def test_a_reading_that_says_nothing_is_refused(self):
        batch = started()
        with make.refused():
            note_measurement(batch=batch, readings=[Reading("pH")], **act())


def test_a_batch_stays_open_for_days():
    oil, batch = make.lot(), started("cook", on=day(2))
    use(batch, of(oil, "300"), on=day(2))
    use(batch, of(oil, "300"), on=day(4))
    assert made_lot(batch) is None
    assert batch.movements.count() == 2
    assert oil.movements.in_book_order().last().on == day(4) > DAY
