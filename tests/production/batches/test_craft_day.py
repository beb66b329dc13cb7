"""A whole craft day in one deed: three stages, each with its own batch and lot."""

from decimal import Decimal

import pytest

from config.audit import audit
from production.batches.actions.days import craft_day, craft_scents
from production.batches.actions.new_batch import NewBatch, Output
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import Batch, Deed, Lot, Movement, Status, Work
from production.record.domain.text import write
from production.release.actions.statuses import release_lot
from production.stock.actions.opening_lots import Reading
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.make import act, on_hand, refused, sent_twice
from tests.production import craft_morning as bench
from tests.production.exchange.test_workshop_laws import in_an_empty_book

pytestmark = pytest.mark.django_db


def write_a_day(**changes):
    return craft_day(**bench.a_day(**changes), **act(3))


def laws_hold():
    assert [fault for finding in audit() for fault in finding.faults] == []


def test_one_deed_makes_a_lot_for_each_stage():
    bench.set_out()
    deed = write_a_day()
    made = Movement.objects.filter(deed=deed, kind="made")
    assert [row.lot.code for row in made] == ["THIN", "FINE", "FILL"]
    assert Batch.objects.filter(deed=deed).count() == 3
    assert on_hand(bench.lot("THIN")) == 0
    assert on_hand(bench.lot("FINE")) == 9540 - 9310
    assert on_hand(bench.lot("FILL")) == 38
    assert on_hand(bench.lot("BOT-1")) == 62
    laws_hold()


def test_each_lot_stands_as_its_recipe_says():
    bench.set_out()
    write_a_day()
    words = dict(Lot.objects.with_status().values_list("code", "status"))
    assert [words[code] for code in ("THIN", "FINE", "FILL")] == [
        "released",
        "released",
        "quarantine",
    ]
    assert Status.objects.filter(lot__code="FINE").count() == 1
    assert bench.lot("FINE").measurements.get().passed


def test_a_day_sent_twice_is_written_once():
    bench.set_out()
    sent_twice(craft_day, **bench.a_day(), **act(3))


def test_undo_takes_the_whole_day_back_and_the_laws_hold():
    bench.set_out()
    before = {lot.code: on_hand(lot) for lot in Lot.objects.all()}
    work = [NewWork("labour", Decimal("1.5"), Decimal("18"))]
    finish = [("GLY-1", "280"), ("FRA-1", "100"), ("BRINE-1", "290")]
    finishing = bench.new(
        "finishing", finish, "9540", readings=bench.PASSED, work=work, code="FINE"
    )
    deed = write_a_day(finishing=finishing)
    undo_deed(undone=deed, **act(4))
    after = {lot.code: on_hand(lot) for lot in Lot.objects.all()}
    assert {code: after[code] for code in before} == before
    assert set(after.values()) - set(before.values()) <= {Decimal(0)}
    assert sum(row.hours for row in Work.objects.all()) == 0
    assert not Movement.objects.standing().filter(deed=deed).exists()
    laws_hold()


def test_a_day_whose_bottles_were_sold_is_not_taken_back():
    bench.set_out()
    deed = write_a_day()
    release_lot(lot=bench.lot("FILL"), **act(3))
    make.sale(bench.lot("FILL"), "3", on=make.day(4))
    with refused("'sell' of", "'release a lot' of", "Take these back first"):
        undo_deed(undone=deed, **act(5))


def test_a_day_moves_house_with_the_same_bytes():
    text = in_an_empty_book(lived)
    assert '"type": "open_pack"' in text
    assert in_an_empty_book(lambda: moved_in(text)) == text


def lived():
    bench.set_out()
    write_a_day()
    return write("USD", history_events())


def moved_in(text):
    import_history(text=text)
    laws_hold()
    return write("USD", history_events())


class TestWhatIsRefused:
    def test_a_soap_that_did_not_pass_is_not_filled(self):
        bench.set_out()
        failed = (Reading("neutrality", passed=False),)
        finish = bench.new("finishing", [("GLY-1", "280")], "9160", readings=failed)
        with refused("did not pass its check", "free alkali burns"):
            write_a_day(finishing=finish)

    def test_without_bottles_a_failed_check_is_written_and_the_soap_waits(self):
        bench.set_out()
        failed = (Reading("neutrality", passed=False),)
        finish = bench.new(
            "finishing", [("GLY-1", "280")], "9160", readings=failed, code="FINE"
        )
        write_a_day(finishing=finish, fillings=())
        assert Lot.objects.with_status().get(code="FINE").status == "quarantine"

    def test_a_recipe_that_asks_for_a_check_gets_one_before_the_bottles(self):
        bench.set_out()
        finish = bench.new("finishing", [("GLY-1", "280")], "9160")
        with refused("asks for a passed neutrality check"):
            write_a_day(finishing=finish)

    def test_no_check_is_asked_where_the_recipe_asks_for_none(self):
        bench.set_out(check="hand")
        finish = bench.new("finishing", [("GLY-1", "280")], "9160", code="FINE")
        write_a_day(finishing=finish, fillings=())
        assert Lot.objects.with_status().get(code="FINE").status == "quarantine"

    def test_more_paste_than_there_is(self):
        bench.set_out()
        thin = bench.new("dilution", [("PASTE-1", "9000"), ("tap water", "1")], "9001")
        with refused("Only 8000 g of PASTE-1"):
            write_a_day(dilution=thin)

    def test_more_bottles_than_the_soap_fills(self):
        bench.set_out()
        full = bench.new("filling", [("BOT-1", "60")], "60", taken=Decimal("14700"))
        with refused("Only 9540 g of"):
            write_a_day(fillings=[full])

    def test_grams_that_are_missing_ask_for_a_reason(self):
        bench.set_out()
        finish = bench.new(
            "finishing", [("GLY-1", "280")], "8000", readings=bench.PASSED
        )
        with refused("Say where they went, weigh again, or give the reason"):
            write_a_day(finishing=finish, fillings=())


def test_one_soap_becomes_several_scents_in_one_deed():
    bench.set_out()
    thin = make.batch("dilution", uses=[(bench.lot("PASTE-1"), "3000")], code="THIN")
    scents = [
        bench.new(
            "finishing",
            [("THIN", grams), ("FRA-1", "10")],
            str(int(grams) + 10),
            version=None,
        )
        for grams in ("400", "500")
    ]
    finished = bench.recipe("finishing").formula.makes
    scents = [
        NewBatch(
            stage="finishing",
            uses=scent.uses,
            output=Output(amount=scent.output.amount, item=finished),
        )
        for scent in scents
    ]
    deed = sent_twice(craft_scents, scents=scents, **act(4))
    assert Batch.objects.filter(deed=deed, stage="finishing").count() == 2
    assert on_hand(thin) == 0
    undo_deed(undone=deed, **act(4))
    assert on_hand(thin) == 900
    assert Deed.objects.get(undoes=deed)
    laws_hold()


def test_several_scents_are_at_least_one():
    with refused("at least one scent"):
        craft_scents(scents=[], **act(4))
