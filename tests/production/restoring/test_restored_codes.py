"""After a restore no code is handed out again that the lost book had given out.

What an owner lists is read as one of ours, as another mark, or asked back; what she
made or labelled between keeps its code when it is entered.
"""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.correcting.actions.undoing import undo_deed
from production.exchange.reads import history_events
from production.fitness.reads.restored import waiting_restore
from production.models import (
    Batch,
    CodeSeries,
    Lot,
    SinceBackup,
)
from production.quantities.domain.codes import (
    Issued,
    issue,
    next_code,
    read_entry,
    read_issued,
    serial_of,
)
from production.quantities.domain.refusal import Refused
from production.record.actions.again import written_again
from tests import make
from tests.make import act, day
from tests.production.restoring.restored_book import answer, asked, code, restore, sell

pytestmark = pytest.mark.django_db


class TestReadingACode:
    def test_every_code_leads_back_to_its_number(self):
        for serial in [*range(2000), 32**4 - 1, 32**4, 32**4 + 7, 32**4 + 32**5 - 1]:
            if text := issue(serial):
                assert serial_of(text) == serial

    @pytest.mark.parametrize(
        ("text", "issued"),
        [
            ("h5gw v", Issued("H5GW-V", "lot", 4)),
            ("H5GW", Issued("H5GW-V", "lot", 4)),
            ("b-h5gw-v", Issued("B-H5GW-V", "lot", 4)),
            ("P-1234", Issued("P-1234", "purchase", 1234)),
            ("s-7", Issued("S-7", "sale", 7)),
            ("RT-3", Issued("RT-3", "return", 3)),
            ("TIDE-8OZ-1", Issued("TIDE-8OZ-1")),
        ],
    )
    def test_it_is_read_as_it_may_be_written(self, text, issued):
        assert read_issued(text) == issued

    def test_one_of_ours_that_is_mistyped_is_no_other_mark(self):
        with pytest.raises(ValueError, match="mistyped"):
            read_issued("H5GX-V")

    @pytest.mark.parametrize(
        ("text", "read"),
        [
            ("S\u201332", ["S-32"]),
            ("s\u221232", ["S-32"]),
            ("S.32", ["S-32"]),
            ("S 32", ["S-32"]),
            ("S-32.", ["S-32"]),
            ("\u0405-32", ["S-32"]),  # a Cyrillic letter
            ("S-32\u200b", ["S-32"]),
            ("S-32 RT-4 H5GW\u2013V", ["S-32", "RT-4", "H5GW-V"]),
            ("TIDE 8OZ 7", ["TIDE 8OZ 7"]),
        ],
    )
    def test_an_entry_of_the_list_is_read_however_it_is_spelled(self, text, read):
        assert [one.text for one in read_entry(text, near=5000)] == read

    @pytest.mark.parametrize(
        "text",
        [
            *("S-32 (Inn)", "sale S 32", "sale 32", "S32", "S-32/33", "S-32a"),
            *("S-30 to S-40", "lot H5GW", "H5GW-V (Inn)", "S-1234567890123"),
        ],
    )
    def test_one_of_ours_among_other_words_is_asked_back(self, text):
        with pytest.raises(Refused, match="on a line of its own"):
            read_entry(text, near=5000)

    @pytest.mark.parametrize("text", ["hello world", "none", "I think none", "water"])
    def test_words_are_no_code(self, text):
        with pytest.raises(Refused, match="no digit in it"):
            read_entry(text, near=5000)

    def test_a_code_without_its_last_character_counts_only_near_by(self):
        far = next_code(700_000)[0]
        assert read_entry(far, near=5000)[0].series == "lot"
        assert not any(one.series for one in read_entry("H5GW", near=3))


class TestCodes:
    def test_none_is_given_out_before_somebody_has_looked(self):
        oil = make_oil()
        restore()
        with make.refused("Write one by hand", "an owner first says"):
            start_batch(stage="cook", **act(6))
        with make.refused("the next code or number may"):
            sell(oil)

    def test_by_hand_one_may_be_written_meanwhile(self):
        restore()
        assert start_batch(stage="cook", code="POT", **act(6)).code == "POT"

    def test_every_series_goes_on_past_the_highest(self):
        oil = make_oil()
        start_batch(stage="cook", **act())
        restore()
        found = [code(3), f"B-{code(9)}".lower(), code(5)[:4], "S-17", "s-12", "RT-4"]
        answer(codes=[*found, "P-8"])
        highest = read_issued(found[1]).serial
        first = start_batch(stage="cook", **act(6))
        assert read_issued(first.code).serial > highest
        assert make.sale(oil, on=day(6)).number == "S-18"
        lasts = dict(CodeSeries.objects.values_list("name", "last"))
        assert (lasts["purchase"], lasts["return"]) == (8, 4)

    def test_a_series_never_goes_back(self):
        for _ in range(3):
            start_batch(stage="cook", **act())
        last = CodeSeries.objects.get(name="lot").last
        restore()
        answer(codes=["2222-E"])
        assert CodeSeries.objects.get(name="lot").last == last

    def test_a_code_in_the_gap_is_asked_about_and_may_be_written_again(self):
        restore()
        true, highest = code(3), code(9)
        answer(codes=[highest])
        with make.refused(f"{true} was given out after the backup", "Tick"):
            start_batch(stage="cook", code=f"B-{true}", **act(3))
        with asked("stands on something already"):
            make.lot(true)
        with written_again():
            tuesday = make.lot(true, on=day(3))
        assert tuesday.code == true
        # It is in the book now, and taken like any other.
        with make.refused("is taken"), written_again():
            make.lot(true)

    def test_a_mark_of_her_own_that_was_read_off_is_asked_about_too(self):
        restore()
        with make.refused("gives out no such code", "Read it again"):
            answer(codes=["tide 8oz 7"])
        answer(codes=["tide 8oz 7"], confirmed=True)
        with asked("given out after the backup"):
            make.lot("TIDE 8OZ 7")
        make.lot("TIDE 8OZ 8")

    def test_a_paper_in_the_gap_is_asked_about(self):
        oil = make_oil()
        restore()
        answer(codes=["S-7"])
        with make.refused("S-5 was given out"):
            sell(oil, code="S-5")
        with written_again():
            assert make.sale(oil, number="S-5", on=day(3)).number == "S-5"

    def test_of_what_is_in_the_book_nothing_is_asked(self):
        batch = start_batch(stage="cook", code="B-H5GW-V", **act())
        restore()
        answer(codes=[code(20)])
        oil = make_oil()
        use_lots(batch=batch, uses=[Use(D(5), lot=oil)], **act(6))
        assert Batch.objects.get(code="B-H5GW-V")

    @pytest.mark.parametrize("text", ["H5GX-V", "QP8C-K"])
    def test_a_code_misread_is_asked_about_and_raises_nothing(self, text):
        restore()
        with make.refused("does not fit", "Read it again"):
            answer(codes=[text])
        answer(codes=[text], confirmed=True)
        assert not CodeSeries.objects.filter(name="lot", last__gt=0).exists()
        assert SinceBackup.objects.get().codes == text

    @pytest.mark.parametrize("text", ["S-32 (Inn)", "sale S 32", "none", "hello world"])
    def test_no_tick_makes_a_foreign_mark_of_these(self, text):
        restore()
        with make.refused(text):
            answer(codes=[text], confirmed=True)
        assert waiting_restore()

    def test_a_number_is_not_given_out_again_however_it_was_typed(self):
        oil = make_oil()
        restore()
        answer(codes=["S\u201332"])
        assert make.sale(oil, on=day(6)).number == "S-33"

    def test_one_that_is_found_later_is_added(self):
        oil = make_oil()
        restore()
        said = answer()
        answer(number=7, codes=["S-32"])
        assert make.sale(oil, on=day(7)).number == "S-33"
        with make.refused("S-31 was given out"):
            sell(oil, 7, code="S-31")
        [event] = [e for e in history_events() if e["type"] == "restored"]
        assert event["answered"] == {"date": "2026-03-06", "codes": "S-32"}
        # What was added does not stand for the answer itself.
        with make.refused("Take that back first"):
            undo_deed(undone=said.deed, **act(7, reason="asked too few"))
        undo_deed(undone=said.deed, along=True, **act(7, reason="too few"))
        assert waiting_restore()

    def test_before_the_backup_nobody_knew(self):
        restore()
        with make.refused("The backup is of 2026-03-02"):
            answer(number=1)
        answer(number=2)

    def test_a_code_far_off_is_asked_about(self):
        restore()
        far = next_code(700_000)[0]
        with make.refused("further on than the book has come"):
            answer(codes=[far])
        answer(codes=[far], confirmed=True)
        assert CodeSeries.objects.get(name="lot").last >= 700_000


def make_oil():
    found = Lot.objects.filter(code="OIL").first()
    return found or make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
