"""A disk died on Friday, the backup is of Monday: what the book cannot know.

Between, the maker cooked, a check failed, a lot was held for a rash, bottles were
filled and labelled, some were sold. The restored book must not sell on the strength of
a pass that a later failure took away. It asks an owner, and what she says is entered by
the deeds that are there for it.
"""

import io
from decimal import Decimal as D

import pytest
from django.core.management import call_command
from django.urls import reverse

from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement
from production.counting.actions import count_lot
from production.fitness.domain.reasons import Lifts, Mends, Purpose
from production.fitness.reads import fitness
from production.fitness.reads.what_left import left_before_it_was_known
from production.lots.actions.lot_deeds import give
from production.models import (
    Hold,
    Measurement,
    Restored,
)
from production.record.actions.again import written_again
from production.restoring.actions import Since, say_what_happened
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day
from tests.production.restoring.restored_book import answer, restore, sell, soap_of, why

OUT = [Purpose.SALE, Purpose.GIFT, Purpose.MOVE, Purpose.LABEL]


pytestmark = pytest.mark.django_db


class TestUntilItIsAnswered:
    @pytest.mark.parametrize("purpose", OUT)
    def test_nothing_alkaline_goes_out(self, purpose):
        lot = make.filled("F1")
        assert why(lot, purpose) == []
        restore()
        [reason] = fitness(lot, purpose, day(6)).reasons
        assert reason.mends == Mends.RESTORED
        assert reason.who_can_lift == Lifts.OWNER
        assert "2026-03-02 at 14:10" in reason.says
        assert "page Restored from a backup" in reason.says

    def test_the_doors_say_the_same(self):
        lot = make.filled("F1")
        restore()
        with make.refused("backup of 2026-03-02 at 14:10", "F1 is not sold"):
            sell(lot, code="S-1")
        with make.refused("F1 is not sold, given"):
            give(lot=lot, amount=D(1), why="gift", recipient="Oda", **act(6))

    def test_no_owner_goes_round_it_in_the_act(self):
        lye = make.koh()
        restore()
        with make.refused("backup"):
            sell(lye, code="S-1", override=True, reason="a fellow maker")

    def test_soap_from_outside_and_what_is_in_a_set_wait_too(self):
        bought = soap_of("SOAP")
        box = make.lot("BOX", item=make.item("box", kind="packaging", unit="piece"))
        gift = make.batch(
            "packing",
            uses=[(make.filled("F1"), "4"), (box, "4")],
            makes="gift set",
            unit="piece",
            amount="4",
        )
        restore()
        assert why(bought) == why(gift) == [Mends.RESTORED]

    def test_no_more_is_given_by_correcting_a_gift(self):
        lot = make.filled("F1")
        facts = {"lot": lot, "why": "gift", "recipient": "Oda"}
        entry = give(**facts, amount=D(3), **act(2)).movement
        restore()
        mend = act(6, reason="miscounted")
        with make.refused("backup"):
            correct_movement(movement=entry, amount=D(4), **mend)
        with make.refused("backup"):
            moved = {"amount": D(3), "moved_to": day(6)}
            correct_movement(movement=entry, **moved, **mend)
        correct_movement(movement=entry, amount=D(2), **mend)
        row = entry.line.get()
        with make.refused("backup"):
            correct_movement(movement=row, amount=D(3), **mend)
        answer()
        correct_movement(movement=row, amount=D(3), **mend)

    def test_what_never_met_an_alkali_goes_on(self):
        oil = make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
        restore()
        assert why(oil) == []
        make.sale(oil, number="S-1", on=day(6))

    def test_a_pot_is_cooked_diluted_and_filled_meanwhile(self):
        soap = soap_of("SOAP", grams="9000")
        restore()
        assert why(soap, Purpose.USE) == why(soap, Purpose.FILL) == []

    def test_a_lot_whose_whole_family_is_younger_waits_as_well(self):
        """The simplest rule that is safe: one answer frees all of it."""
        restore()
        with written_again():
            lot = soap_of("NEW", on=day(6))
        assert why(lot) == [Mends.RESTORED]

    def test_it_waits_whatever_the_day_of_the_sale(self):
        lot = make.filled("F1")
        restore()
        with make.refused("backup"):
            sell(lot, 3, code="S-1")

    def test_the_command_says_so(self):
        make.filled("F1")
        restore()
        out = io.StringIO()
        call_command("fit", "F1", "--for", "sale", "--on", "2026-03-06", stdout=out)
        call_command("trace", "F1", stdout=out)
        assert out.getvalue().count("restored from a backup") == 2


class TestTheAnswer:
    def test_none_found_frees_all_of_it(self):
        lot = make.filled("F1")
        row = restore()
        said = answer()
        assert (said.restored, said.codes) == (row, "")
        assert why(lot) == []
        make.sale(lot, on=day(6))

    def test_only_an_owner_answers(self):
        restore()
        with make.refused("Only an owner"):
            answer(by=make.maker())

    def test_it_is_answered_once(self):
        restore()
        facts = {"restored": Restored.objects.get(), "codes": ["S-1"]}
        make.sent_twice(say_what_happened, **facts, **act(6))
        with make.refused("answered already"):
            answer()

    def test_a_check_that_failed_stops_the_paste_and_what_was_made_of_it(self):
        paste = soap_of("PASTE", grams="9000")
        thin = make.batch(uses=[(paste, "900")], code="THIN")
        other = make.filled("F1")
        restore()
        answer(since=[Since("failed", paste, day(4), "pink at the rim")])
        assert why(paste) == why(thin) == [Mends.FAILED]
        assert why(other) == []
        check = Measurement.objects.get(lot=paste, passed=False)
        assert (check.on, check.note) == (day(4), "pink at the rim")
        assert check.deed.verb == "note a measurement"

    def test_a_failure_of_the_day_of_the_backup_is_later_than_its_pass(self):
        paste = soap_of("PASTE", on=day(2))
        restore()
        answer(since=[Since("failed", paste, day(2))])
        assert why(paste) == [Mends.FAILED]

    def test_what_was_held_is_held_with_what_it_reached(self):
        soap = soap_of("SOAP", grams="9000")
        thin = make.batch(uses=[(soap, "900")], code="THIN")
        restore()
        answer(since=[Since("held", soap, day(3), "a rash")])
        assert status_on(thin, day(6)) == status_on(soap, day(6)) == "held"
        hold = Hold.objects.get(lot=soap)
        assert "a rash (held on 2026-03-03" in hold.cause
        assert hold.deed.verb == "hold a lot"

    def test_it_is_held_though_some_was_used_before_the_answer(self):
        soap = soap_of("SOAP", grams="9000")
        restore()
        thin = _dilute(soap)
        answer(since=[Since("held", soap, day(3), "a rash")])
        assert status_on(thin, day(6)) == "held"

    def test_an_open_pot_may_have_failed_or_been_held(self):
        oil, lye = make.lot("OIL"), make.koh()
        pot = start_batch(stage="cook", code="POT", **act(2))
        uses = [Use(D(500), lot=oil), Use(D(90), lot=lye)]
        use_lots(batch=pot, uses=uses, **act(2))
        restore()
        answer(
            since=[
                Since("failed", pot, day(3)),
                Since("held", pot, day(3), "a thermometer broke"),
            ]
        )
        assert Measurement.objects.get(batch=pot, passed=False)
        assert Hold.objects.get(batch=pot)

    @pytest.mark.parametrize(
        ("row", "says"),
        [
            (("failed", day(1), ""), "before the backup of 2026-03-02"),
            (("held", day(3), " "), "Write why F1 was held"),
            (("eaten", day(3), ""), "say what happened"),
        ],
    )
    def test_a_row_that_cannot_be_is_refused_whole(self, row, says):
        lot = make.filled("F1")
        what, on, words = row
        restore()
        with make.refused(says):
            answer(codes=["S-1"], since=[Since(what, lot, on, words)])

    def test_no_row_goes_by_the_tongue(self):
        lot = make.filled("F1")
        restore()
        with make.refused("tongue"):
            answer(since=[Since("failed", lot, day(3), "it zapped my tongue")])

    def test_what_went_asks_for_a_count_until_it_is_counted(self, desk):
        lot = make.filled("F1")
        restore()
        answer(since=[Since("gone", lot, day(3))])
        page = desk.get(reverse("start")).content.decode()
        assert "To count since the backup" in page
        assert reverse("lot-count", args=["F1"]) in page
        count_lot(lot=lot, found=D(18), **act(7, reason="sold on Thursday"))
        assert "since the backup" not in desk.get(reverse("start")).content.decode()

    def test_what_had_left_of_a_failed_lot_is_named(self):
        lot = make.filled("F1")
        make.sale(lot, "2")
        restore()
        assert left_before_it_was_known(lot) == []
        answer(since=[Since("failed", lot, day(4))])
        assert [row.amount for row in left_before_it_was_known(lot)] == [2]


def _dilute(soap):
    product = make.item("diluted soap", kind="made")
    return run_batch(
        stage="dilution",
        code="DIL",
        uses=[Use(D(900), lot=soap)],
        output=Output(D(900), item=product, code="THIN", status="released"),
        **act(6),
    )
