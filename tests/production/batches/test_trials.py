"""Small samples of one soap in one deed, the looks at them, and what is due."""

from decimal import Decimal
from functools import partial

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.batches.actions.batches import start_batch
from production.batches.actions.trials import (
    NewAddition,
    bench_trials,
    note_look,
    promote_trial,
)
from production.batches.reads.trials import becomes, beside, due_look, due_looks
from production.correcting.actions.undoing import undo_deed
from production.lots.actions.lot_deeds import discard
from production.models import Attachment, Batch, Deed, Lot, Measurement, Movement, Step
from production.papers.domain.papers import read_paper
from production.papers.files.attachments import store
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement, note_step
from production.release.actions.statuses import release_lot
from production.selling.actions.customers import ensure_customer
from production.stock.actions.opening_lots import Reading
from tests import make

pytestmark = pytest.mark.django_db

PNG = b"\x89PNG\r\n\x1a\n" + b"picture"


def soap(code="THIN", grams="2000"):
    oil = make.lot(grams="5000")
    return make.batch("dilution", uses=[(oil, grams)], amount=grams, code=code)


def scent(code="FRA-1", grams="100"):
    kind = make.item(f"scent {code}", category="fragrance")
    return make.lot(code, grams=grams, item=kind)


def shares(*percents):
    return [Decimal(percent) / 100 for percent in percents]


def mixed(*additions, lot=None, each="100", on=3, **facts):
    lot = lot or soap()
    deed = bench_trials(
        soap=lot,
        soap_each=Decimal(each),
        additions=list(additions),
        **make.act(on),
        **facts,
    )
    return list(deed.batches.order_by("id"))


def three():
    return mixed(NewAddition(scent(), shares("0.5", "1", "1.5")))


def status(lot):
    return Lot.objects.with_status().get(pk=lot.pk).status


class TestMixing:
    def test_three_samples_are_three_trials_in_one_deed(self):
        """By hand: 1 % of the whole beside 100 g of soap is 100 / 0.99 - 100 g."""
        lot, fragrance = soap(), scent()
        deed = make.sent_twice(
            bench_trials,
            soap=lot,
            soap_each=Decimal(100),
            additions=[NewAddition(fragrance, shares("0.5", "1", "1.5"))],
            **make.act(3),
        )
        batches = list(deed.batches.order_by("id"))
        assert [batch.stage for batch in batches] == ["finishing"] * 3
        assert all(batch.trial for batch in batches)
        used = Movement.objects.filter(kind="used", lot=fragrance).order_by("id")
        assert [-row.amount for row in used] == [
            Decimal("0.503"),
            Decimal("1.010"),
            Decimal("1.523"),
        ]
        made = [batch.movements.get(kind="made").amount for batch in batches]
        assert made == [Decimal("100.503"), Decimal("101.010"), Decimal("101.523")]
        assert make.on_hand(lot) == Decimal(1700)
        assert make.on_hand(fragrance) == Decimal("96.964")
        assert {status(batch.lot) for batch in batches} == {"quarantine"}

    def test_one_share_goes_into_every_sample_and_0_leaves_out(self):
        brine = make.lot("BRINE", item=make.item("brine", kind="made", category="salt"))
        batches = mixed(
            NewAddition(scent(), shares("0", "1")),
            NewAddition(brine, shares("2")),
        )
        went_in = [
            {row.lot.code: -row.amount for row in batch.movements.filter(kind="used")}
            for batch in batches
        ]
        # By hand: 100 / 0.98 x 2 % and 100 / 0.97 x 1 % and x 2 %.
        assert went_in == [
            {"THIN": Decimal(100), "BRINE": Decimal("2.041")},
            {
                "THIN": Decimal(100),
                "FRA-1": Decimal("1.031"),
                "BRINE": Decimal("2.062"),
            },
        ]

    def test_they_are_of_what_the_soap_usually_becomes(self):
        lot = soap()
        assert becomes(lot) == lot.item
        hand_soap = make.item("finished hand soap", kind="made")
        make.version(
            "finishing",
            makes=hand_soap,
            lines=[NewVersionLine(lot.item, share=Decimal("0.98"))],
        )
        [batch] = mixed(NewAddition(scent(), shares("1")), lot=lot)
        assert batch.lot.item == hand_soap
        other = make.item("shower soap", kind="made")
        [batch] = mixed(NewAddition(scent("FRA-2"), shares("1")), lot=lot, item=other)
        assert batch.lot.item == other

    def test_none_of_them_is_sold_before_it_is_promoted(self):
        batch = three()[0]
        release_lot(lot=batch.lot, **make.act(4))
        ensure_customer("The Tin Lantern")
        with make.refused("is a trial"):
            make.sale(batch.lot, on=make.day(4))
        make.seen(batch, 4)
        promote_trial(batch=batch, reason="clear and mild", **make.act(5))
        assert make.sale(batch.lot, on=make.day(5))

    def test_the_deed_is_taken_back_whole(self):
        lot = soap()
        mixed(NewAddition(scent(), shares("1", "2")), lot=lot)
        undone = Deed.objects.get(verb="bench trials")
        undo_deed(undone=undone, reason="wrong lot", **make.act(4))
        assert make.on_hand(lot) == Decimal(2000)
        assert due_looks(make.day(4)) == []

    @pytest.mark.parametrize(
        ("each", "parts", "says"),
        [
            ("0", [("FRA-1", ["1"])], "how much of the soap"),
            ("100", [], "at least one addition"),
            ("100", [("FRA-1", [])], "Write the shares"),
            ("100", [("FRA-1", ["1"]), ("FRA-1", ["2"])], "stands twice"),
            ("100", [("THIN", ["1"])], "stands twice"),
            ("100", [("FRA-1", ["100"])], "from 0 up to less than 100 %"),
            ("100", [("FRA-1", ["60"]), ("GLY", ["50"])], "110 % of it: no soap"),
            ("100", [("FRA-1", ["1", "2", "3"]), ("GLY", ["1", "2"])], "for 3 samples"),
            ("100", [("FRA-1", ["1"] * 13)], "At most 12 samples"),
            ("100", [("K1", ["1"])], "an alkali"),
            ("100", [("BOT", ["1"])], "counted in pieces"),
            ("1900", [("FRA-1", ["50"])], "FRA-1"),
        ],
    )
    def test_nonsense_is_refused_and_writes_nothing(self, each, parts, says):
        soap(), scent(), make.lot("GLY"), make.koh(), make.bottles("BOT")
        lots = Lot.objects.select_related("item").in_bulk(field_name="code")
        additions = [
            NewAddition(lots[code], shares(*percents)) for code, percents in parts
        ]
        with make.refused(says):
            mixed(*additions, lot=lots["THIN"], each=each)

    def test_they_are_trials_of_something_made_here(self):
        lot, addition = soap(), NewAddition(scent(), shares("1"))
        glycerin = make.item("glycerin")
        with make.refused("nothing that is made here"):
            mixed(addition, lot=lot, item=glycerin)


class TestLooking:
    def test_a_look_with_clarity_and_photo(self):
        batch = three()[0]
        photo = read_paper("day.png", PNG)
        step = make.sent_twice(
            note_look,
            batch=batch,
            look="day",
            text="a faint haze",
            clear=False,
            photo=photo,
            store=partial(store, settings.HOME),
            **make.act(4),
        )
        assert (step.look, step.text, step.on) == ("day", "a faint haze", make.day(4))
        reading = Measurement.objects.get(batch=batch)
        assert (reading.what, reading.passed) == ("clarity", False)
        paper = Attachment.objects.get(batch=batch)
        assert (paper.name, paper.type) == ("day.png", "image/png")
        assert paper.note == reading.note == "after a day"

    def test_clear_is_enough_to_say(self):
        batch = three()[0]
        step = note_look(batch=batch, look="minutes", clear=True, **make.act(3))
        assert step.text == "clear"

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"look": "minutes", "text": " "}, "Write what was seen"),
            ({"look": "month"}, "after minutes, a day or a week"),
            ({"look": "day"}, "a look after a day is for 2026-03-04 or later"),
            ({"look": "week"}, "for 2026-03-10 or later"),
            (
                {
                    "look": "minutes",
                    "photo": read_paper("a.txt", b"no picture"),
                    "store": lambda paper: None,
                },
                "a.txt is no picture",
            ),
        ],
    )
    def test_nonsense_is_refused(self, facts, says):
        batch = three()[0]
        with make.refused(says):
            note_look(batch=batch, **{"text": "hazy", **facts}, **make.act(3))

    def test_only_a_trial_that_is_made_is_looked_at(self):
        lot = soap()
        with make.refused("is no trial"):
            note_look(batch=lot.batch, look="minutes", text="x", **make.act(3))
        started = start_batch(stage="finishing", trial=True, **make.act(3))
        with make.refused("has made nothing yet"):
            note_look(batch=started, look="minutes", text="x", **make.act(3))


class TestDue:
    @pytest.mark.parametrize(
        ("on", "noted", "due"),
        [
            (3, "", "minutes"),
            (3, "minutes", None),
            (4, "", "day"),
            (9, "", "day"),
            (9, "day", None),
            (10, "day", "week"),
            (31, "", "week"),
            (31, "week", None),
        ],
    )
    def test_minutes_on_the_day_then_a_day_then_a_week(self, on, noted, due):
        found = due_look(make.day(3), set(noted.split()), make.day(on))
        assert (found and found[0]) == due

    def test_each_trial_until_it_is_noted_promoted_or_thrown_away(self):
        first, second, third = three()
        due = due_looks(make.day(4))
        assert [one.batch for one in due] == [first, second, third]
        assert {(one.look, one.since) for one in due} == {("day", make.day(4))}
        note_look(batch=first, look="day", clear=True, **make.act(4))
        make.seen(second, 4)
        promote_trial(batch=second, reason="the best", **make.act(4))
        discard(
            lot=third.lot,
            amount=make.on_hand(third.lot),
            reason="clouded",
            **make.act(4),
        )
        assert due_looks(make.day(4)) == []
        assert [one.label for one in due_looks(make.day(10))] == ["after a week"]

    def test_two_questions_however_many(self, django_assert_num_queries):
        mixed(NewAddition(scent(), shares(*["1"] * 5)))
        with django_assert_num_queries(2):
            assert len(due_looks(make.day(3))) == 5


class TestSideBySide:
    def test_what_is_known_of_each(self):
        batches = three()
        note_look(batch=batches[1], look="minutes", clear=True, **make.act(3))
        note_step(batch=batches[1], text="smells of resin", **make.act(3))
        ph = Reading("pH", Decimal("9.8"))
        note_measurement(lot=batches[1].lot, readings=[ph], **make.act(4))
        make.attachment("shelf.png", PNG, batch=batches[1])
        found = beside([batch.code for batch in reversed(batches)], make.day(4))
        assert [trial.batch for trial in found] == batches
        trial = found[1]
        [part] = trial.parts["scent FRA-1"]
        assert (part.grams, part.share) == (Decimal("1.010"), Decimal("0.01"))
        assert trial.made == Decimal("101.010")
        assert [step.clear for step in trial.looks["minutes"]] == [True]
        assert [step.text for step in trial.notes] == ["smells of resin"]
        assert trial.readings["pH"].value == Decimal("9.8")
        assert [photo.name for photo in trial.photos] == ["shelf.png"]
        assert "is written for FRA-1" in trial.remarks[0].text
        assert trial.due == "day"

    def test_it_asks_the_same_for_2_and_for_5(self):
        codes = [batch.code for batch in mixed(NewAddition(scent(), shares(*"12345")))]

        def asked(some):
            with CaptureQueriesContext(connection) as questions:
                assert len(beside(some, make.day(4))) == len(some)
            return len(questions)

        assert asked(codes[:2]) == asked(codes)

    def test_at_most_six(self):
        codes = [
            batch.code for batch in mixed(NewAddition(scent(), shares(*"12345678")))
        ]
        assert Batch.objects.filter(trial=True).count() == 8
        assert len(beside(codes, make.day(3))) == 6
        assert Step.objects.count() == 0
