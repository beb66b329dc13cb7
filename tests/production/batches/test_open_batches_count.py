"""What stands in a batch that has made no lot yet is part of every answer.

What a maker expects: oil that was poured into a pot this morning is neither in the drum
nor in any lot. Whoever asks where the drum went is told the pot, how much and since
when: on its page, in its trace, when it is held, in the list of who has it, and in what
the stock is worth. When the drum is held while the pot is open, what comes of the pot
is not free by itself; and when the hold is answered, the pot is free again, too.
"""

import json
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.contents.reads.open_batches import in_open_batches
from production.correcting.actions.entries import reverse_movement
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import discard, give
from production.models import Hold, Lot
from production.record.domain.text import write
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.tracing.reads.family import lot_balance
from production.tracing.reads.trace import trace
from tests import make
from tests.once import remembered
from tests.production.tracing.test_trace_page import text

pytestmark = pytest.mark.django_db


def opened(stage, *uses, code="B-1", on=3, **facts):
    """A batch that took these lots and has made none."""
    batch = start_batch(stage=stage, code=code, **make.act(on), **facts)
    given = [Use(Decimal(amount), lot) for lot, amount in uses]
    use_lots(batch=batch, uses=given, **make.act(on))
    return batch


def made(batch, amount, makes="blend", code="M-1", on=8, **facts):
    kind = make.item(makes, kind="made", **facts)
    output = Output(Decimal(amount), kind, code=code)
    return make_lot(batch=batch, output=output, **make.act(on, reason="made"))


def said(*command):
    out = StringIO()
    call_command(*command, stdout=out)
    return out.getvalue()


def read(desk, name, *args, **asked):
    return text(desk.get(reverse(name, args=args), asked).content.decode())


@pytest.fixture
@remembered
def drum():
    """1,000 g of oil: 300 g in a blend, 100 g of which stands in B-2; 200 g in B-1."""
    oil = make.lot("OIL-1", item=make.item("olive oil", category="oil"))
    blend = make.batch(
        "preparation", uses=[(oil, "300")], makes="oil blend", amount="300", code="BL-1"
    )
    opened("preparation", (oil, "150"), (oil, "50"))
    opened("preparation", (blend, "100"), code="B-2", on=4)
    return oil


class TestOneAnswer:
    def test_it_tells_the_batch_the_lot_and_how_much(self, drum):
        (found,) = in_open_batches([drum.pk])
        assert (found.batch.code, found.lot, found.amount) == ("B-1", drum, 200)

    def test_what_was_taken_back_is_not_in_it(self, drum):
        use = drum.movements.filter(amount=-50).get()
        reverse_movement(movement=use, **make.act(5, reason="never poured"))
        (found,) = in_open_batches([drum.pk])
        assert found.amount == 150

    def test_a_batch_is_open_no_more_once_its_lot_is_made(self, drum):
        (found,) = in_open_batches([drum.pk])
        made(found.batch, "200")
        assert in_open_batches([drum.pk]) == []

    def test_and_open_again_when_the_making_is_taken_back(self, drum):
        lot = made(in_open_batches([drum.pk])[0].batch, "200")
        entry = lot.movements.get()
        reverse_movement(movement=entry, **make.act(9, reason="not yet"))
        (found,) = in_open_batches([drum.pk])
        assert (found.batch.code, found.amount) == ("B-1", 200)

    @pytest.mark.parametrize("more", [0, 5])
    def test_it_asks_one_question_whatever_it_finds(self, drum, more):
        for number in range(more):
            opened("preparation", (drum, "10"), code=f"C-{number}")
        with CaptureQueriesContext(connection) as asked:
            found = in_open_batches([drum.pk])
        assert len(asked) == 1
        assert len(found) == 1 + more


class TestTrace:
    def test_it_reaches_the_open_batches_at_any_remove(self, drum):
        found = trace(drum).open
        assert [(row.batch.code, row.lot.code, row.amount) for row in found] == [
            ("B-1", "OIL-1", 200),
            ("B-2", "BL-1", 100),
        ]

    def test_the_command_says_them_with_the_day(self, drum):
        told = said("trace", "OIL-1")
        assert "2026-03-03  OIL-1          200  open batch B-1" in told
        assert json.loads(said("trace", "OIL-1", "--json"))["open"] == [
            {
                "batch": "B-1",
                "stage": "preparation",
                "started": "2026-03-03",
                "lot": "OIL-1",
                "amount": "200",
            },
            {
                "batch": "B-2",
                "stage": "preparation",
                "started": "2026-03-04",
                "lot": "BL-1",
                "amount": "100",
            },
        ]

    def test_the_page_says_them_where_it_went_and_among_who_has_it(self, drum, desk):
        page = read(desk, "trace", lot="OIL-1")
        assert "200 g of OIL-1 in the open batch B-1, started 2026-03-03" in page
        assert "100 g of BL-1 in the open batch B-2, started 2026-03-04" in page
        assert "300 g used" in page
        assert "200 g in open batches" in page
        still = page[page.index("In open batches") :]
        assert "OIL-1 olive oil open B-1 200 g" in still

    def test_the_picture_draws_them(self, drum, desk):
        page = desk.get(reverse("trace"), {"lot": "OIL-1"}).content.decode()
        svg = page[page.index('<svg class="drawn"') :]
        assert "preparation B-1, open since 2026-03-03" in svg
        assert f'href="{reverse("batch", args=["B-1"])}"' in svg

    def test_a_lot_that_only_stands_in_a_pot_has_its_picture(self, desk):
        oil = make.lot("OIL-2")
        opened("preparation", (oil, "400"))
        page = desk.get(reverse("trace"), {"lot": "OIL-2"}).content.decode()
        assert '<svg class="drawn"' in page


class TestALotAddsUp:
    def test_arrived_is_all_that_became_of_it(self, drum):
        make.sale(drum, "40", on=make.day(5))
        give(lot=drum, amount=Decimal(10), why="sample", **make.act(5))
        discard(lot=drum, amount=Decimal(5), **make.act(5, reason="spilt"))
        found = lot_balance(drum)
        assert found.came == 1000
        assert found.parts == {
            "used": 300,
            "in open batches": 200,
            "sold": 40,
            "given": 10,
            "discarded": 5,
        }
        assert (found.on_hand, found.difference) == (445, 0)

    def test_its_page_says_so(self, drum, desk):
        page = read(desk, "lot", "OIL-1")
        assert "1 000 g came in" in page
        assert "300 g used" in page
        assert "200 g in open batches" in page
        assert "500 g on hand" in page
        assert "in the open batch B-1, started 2026-03-03" in page

    def test_the_page_of_the_item_and_the_list_of_lots_say_what_is_in_work(
        self, drum, desk
    ):
        assert "200 g of OIL-1 in the open batch B-1" in read(
            desk, "item", drum.item_id
        )
        page = read(desk, "lots")
        work = page[page.index("In work") :]
        assert "in the open batch B-1" in work
        assert "in the open batch B-2" in work


class TestValue:
    def test_what_the_book_is_worth_lists_what_is_in_work(self, drum, desk):
        """1,000 g cost 10.00: 2.00 of it stand in B-1, 1.00 in B-2."""
        page = read(desk, "book-value")
        work = page[page.index("In open batches") :]
        assert "B-1 preparation 2026-03-03 2.00 200 g of OIL-1" in work
        assert "B-2 preparation 2026-03-04 1.00 100 g of BL-1" in work

    def test_the_command_lists_it_and_its_total_is_their_sum(self, drum):
        found = json.loads(said("stock", "--json"))
        rows = {row["code"]: row for row in found["open_batches"]}
        assert rows["B-1"]["value"].startswith("2.0")
        assert rows["B-1"]["holds"] == [{"lot": "OIL-1", "unit": "g", "amount": "200"}]
        total = Decimal(found["totals"]["work_in_progress"])
        assert total == sum(Decimal(row["value"]) for row in rows.values()) == 3

    def test_of_an_unknown_price_nobody_says_zero(self, desk):
        opened("preparation", (make.lot("OIL-9", price=None), "5"))
        (row,) = json.loads(said("stock", "--json"))["open_batches"]
        assert row["value"] is None
        page = read(desk, "book-value")
        assert "B-1 preparation 2026-03-03 unknown 5 g of OIL-9" in page


class TestHold:
    def test_the_page_says_which_open_batches_hold_how_much(self, drum, desk):
        page = read(desk, "lot-hold", "OIL-1")
        assert "B-1, started 2026-03-03: 200 g of OIL-1" in page
        assert "B-2, started 2026-03-04: 100 g of BL-1" in page

    def test_what_a_held_batch_makes_is_held(self, drum):
        """By default a hold reaches the pot."""
        batch = in_open_batches([drum.pk])[0].batch
        hold_lot(lot=drum, **make.act(5, reason="it smells"))
        lot = made(batch, "200")
        assert lot.statuses.get().status == "held"

    def test_a_batch_that_was_left_out_makes_a_lot_that_waits(self, drum):
        batch = in_open_batches([drum.pk])[0].batch
        spared = {"batches": [], "left_out": "from the clean half"}
        hold_lot(lot=drum, **spared, **make.act(5, reason="it smells"))
        assert made(batch, "200").statuses.get().status == "quarantine"

    def test_a_batch_of_a_lot_that_was_rejected_meanwhile_waits(self, drum):
        batch = in_open_batches([drum.pk])[0].batch
        reject_lot(lot=drum, **make.act(5, reason="rancid"))
        assert made(batch, "200").statuses.get().status == "quarantine"

    def test_and_so_does_one_of_what_was_made_of_it(self, drum):
        """B-2 holds none of the drum itself, only the blend of it."""
        batch = in_open_batches([Lot.objects.get(code="BL-1").pk])[0].batch
        reject_lot(lot=drum, **make.act(5, reason="rancid"))
        assert made(batch, "100").statuses.get().status == "quarantine"

    def test_nothing_asked_for_at_the_making_frees_it(self, drum):
        batch = in_open_batches([drum.pk])[0].batch
        hold_lot(lot=drum, **make.act(5, reason="it smells"))
        kind = make.item("blend", kind="made")
        output = Output(Decimal(200), kind, status="released")
        lot = make_lot(batch=batch, output=output, **make.act(8))
        assert lot.statuses.get().status == "held"

    def test_a_hold_that_was_answered_in_between_leaves_it_free(self, drum):
        batch = in_open_batches([drum.pk])[0].batch
        hold_lot(lot=drum, **make.act(5, reason="it smells"))
        holds = Hold.objects.filter(batch=batch)
        release_lot(
            lot=drum,
            batches=[hold.batch for hold in holds],
            **make.act(6, reason="it was the lid"),
        )
        assert made(batch, "200").statuses.get().status == "released"

    def test_the_page_that_answers_it_offers_the_open_batch(self, drum, desk):
        hold_lot(lot=drum, **make.act(5, reason="it smells"))
        page = desk.get(reverse("lot-release", args=["OIL-1"]))
        assert "B-1, started 2026-03-03" in text(page.content.decode())
        form = page.context["form"]
        answer = {
            "key": "free",
            "on": "2026-03-06",
            "reason": "it was the lid",
            "lifts": [str(hold.pk) for hold in form["lifts"].field.queryset],
            "also": [str(pk) for pk in form["also"].initial],
            "batches": [str(pk) for pk in form["batches"].initial],
        }
        sent = desk.post(reverse("lot-release", args=["OIL-1"]), answer)
        assert sent.status_code == 302
        assert not Hold.objects.unanswered().exists()

    def test_and_the_lot_that_the_held_batch_has_made_since(self, drum):
        """It was held while it was a pot; answered with the drum, it waits again."""
        batch = in_open_batches([drum.pk])[0].batch
        hold_lot(lot=drum, **make.act(5, reason="it smells"))
        lot = made(batch, "200")
        release_lot(lot=drum, also=[lot], **make.act(9, reason="it was the lid"))
        assert not Hold.objects.unanswered().filter(batch=batch).exists()
        assert lot.statuses.last().status == "quarantine"

    def test_the_batch_page_and_the_list_show_it_held(self, drum, desk):
        hold_lot(lot=drum, **make.act(5, reason="it smells"))
        page = read(desk, "batch", "B-1")
        assert "held Started" in page
        assert "OIL-1: it smells" in page
        rows = desk.get(reverse("batches")).content.decode()
        assert rows.count('<span class="state held">held</span>') == 2

    def test_one_that_was_left_out_says_what_is_held_in_it(self, drum, desk):
        spared = {"batches": [], "left_out": "from the clean half"}
        hold_lot(lot=drum, **spared, **make.act(5, reason="it smells"))
        page = read(desk, "batch", "B-1")
        assert "OIL-1, which is in it, is held: it smells (not held:" in page


def test_packaging_used_later_is_not_what_stands_in_an_open_batch(drum):
    """What is used in a lot that is made is used, whenever it was."""
    caps = make.bottles("CAP-1", pieces="50")
    (row,) = in_open_batches([drum.pk])
    made(row.batch, "200")
    assert lot_balance(drum).parts == {"used": 500}
    assert lot_balance(caps).parts == {}


@pytest.mark.django_db(transaction=True)
def test_a_lot_that_was_born_held_goes_through_the_history_file(drum):
    """And so does a batch that stands open and is held."""
    batch = in_open_batches([drum.pk])[0].batch
    hold_lot(lot=drum, **make.act(5, reason="it smells"))
    made(batch, "200")
    told = write("USD", history_events())
    call_command("flush", verbosity=0, interactive=False)
    import_history(text=told)
    assert write("USD", history_events()) == told
    assert Lot.objects.get(code="M-1").statuses.get().status == "held"
    assert Hold.objects.unanswered().filter(batch__code="B-2").exists()
