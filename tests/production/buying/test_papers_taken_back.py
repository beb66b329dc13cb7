"""A paper written by mistake, taken back, and written again as it should have been.

What a maker expects: the invoice keyed in under the wrong day is taken back; from then
on nobody counts it, though its page still says what stood there. The same invoice is
typed again with its own number and the same codes that are chalked on the tubs. Two
suppliers may both send an invoice 17. A code on a printed label, on goods that were
sold, or on another material is never used twice.
"""

from decimal import Decimal
from functools import partial

import pytest

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import (
    NewLine,
    add_extra_cost,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.fitness.reads.rows import load
from production.models import Batch, Lot, Purchase, Return, Sale
from production.quantities.domain.refusal import Refused
from production.release.actions.statuses import hold_lot
from production.release.actions.taking_back import take_back_check
from production.selling.actions.sales import take_back
from production.stock.actions.opening_lots import NewLot, label_printed
from tests import make
from tests.make import act, day

pytestmark = pytest.mark.django_db
PURCHASES, SALES, RETURNS = "purchases", "sales", "returns"

# What the goods themselves were made of was written before, inside.
no = partial(pytest.raises, Refused)


def bought(number="17", code="L1", *, house="Northmere Oils", item=None, **facts):
    lots = [NewLot(Decimal(1000), code=each) for each in code.split()]
    return record_purchase(
        number=number,
        supplier=ensure_supplier(house),
        lines=[
            NewLine(item=item or make.item(), lots=[lot], price=Decimal(10))
            for lot in lots
        ],
        **act(**facts),
    )


def undone(deed):
    return undo_deed(undone=deed, reason="typed wrongly", **act(9))


def entry_back(lot, kind):
    [entry] = lot.movements.standing().filter(kind=kind)
    reverse_movement(movement=entry, reason="never came", **act(9))


class TestWhatStands:
    def test_a_purchase_falls_with_its_deed(self):
        paper = bought()
        undone(paper.deed)
        assert not Purchase.objects.standing().exists()
        assert not paper.lines.standing().exists()

    def test_or_with_the_last_of_its_goods(self):
        paper = bought(code="L1 L2")
        entry_back(Lot.objects.get(code="L1"), "received")
        assert Purchase.objects.standing().get() == paper
        assert [line.position for line in paper.lines.standing()] == [2]
        entry_back(Lot.objects.get(code="L2"), "received")
        assert not Purchase.objects.standing().exists()

    def test_a_correction_leaves_it_standing(self):
        paper = bought()
        [entry] = Lot.objects.get(code="L1").movements.all()
        correct_movement(
            movement=entry, amount=Decimal(600), reason="misread", **act(9)
        )
        assert Purchase.objects.standing().get() == paper

    def test_what_was_billed_without_goods_stands_until_its_deed_falls(self):
        paper = record_purchase(
            supplier=ensure_supplier("Cooper"),
            lines=[NewLine(item=None, text="sharpening", price=Decimal(5))],
            **act(),
        )
        assert Purchase.objects.standing().get() == paper
        assert not Purchase.objects.with_standing().exclude(stands=True).exists()

    def test_a_sale_and_a_return_fall_with_their_entries(self):
        soap = make.filled("F1")
        sale = make.sale(soap, "5", on=day(3))
        back = take_back(
            line=sale.lines.get(), amount=Decimal(2), then="restock", **act(4)
        )
        assert Return.objects.standing().get() == back
        undone(back.deed)
        assert not Return.objects.standing().exists()
        entry_back(soap, "sold")
        assert not Sale.objects.standing().exists()
        assert not sale.lines.standing().exists()


class TestNumbers:
    def test_two_suppliers_may_both_send_an_invoice_17(self):
        bought("17", "L1")
        assert bought("17", "L2", house="Cooper").number == "17"

    def test_one_supplier_may_not(self):
        bought("17", "L1")
        with make.refused("Northmere Oils has sent 17 already", "2026-03-02"):
            bought("17", "L2")

    def test_once_taken_back_it_is_free(self):
        undone(bought("17", "L1").deed)
        assert Purchase.objects.standing().get(pk=bought("17", "L2").pk)

    def test_nothing_is_priced_or_billed_on_a_paper_taken_back(self):
        paper = bought()
        undone(paper.deed)
        with make.refused("taken back"):
            price_line(line=paper.lines.get(), price=Decimal(3), **act(9))
        with make.refused("taken back"):
            add_extra_cost(purchase=paper, kind="freight", amount=Decimal(3), **act(9))

    def test_a_sale_and_a_return_likewise(self):
        soap = make.filled("F1")
        sale = make.sale(soap, "5", number="S1", on=day(3))
        with make.refused("There is a sale S1 already"):
            make.sale(soap, "1", number="S1", on=day(4))
        facts = {"amount": Decimal(1), "then": "restock", "number": "R1"}
        back = take_back(line=sale.lines.get(), **facts, **act(4))
        with make.refused("There is a return R1 already"):
            take_back(line=sale.lines.get(), **facts, **act(4))
        undone(back.deed)
        undone(take_back(line=sale.lines.get(), **facts, **act(4)).deed)
        undone(sale.deed)
        assert make.sale(soap, "4", number="S1", on=day(4)).number == "S1"


class TestCodes:
    def test_the_same_goods_get_their_code_again(self):
        first = bought().lines.get().lots.get()
        undone(first.deed)
        again = bought().lines.get().lots.get()
        first.refresh_from_db()
        assert again.code == "L1"
        assert first.code == "L1 (taken back)"
        assert (make.on_hand(again), make.on_hand(first)) == (1000, 0)

    def test_and_once_more(self):
        for _ in range(3):
            undone(bought().deed)
        assert bought().lines.get().lots.get().code == "L1"
        assert Lot.objects.filter(code="L1 (taken back 3)").exists()

    def test_also_where_it_was_taken_back_entry_by_entry(self):
        first = bought().lines.get().lots.get()
        entry_back(first, "received")
        assert bought("18").lines.get().lots.get() != first

    def test_the_first_entry_has_its_code_again_once_the_second_is_gone(self):
        """It had come after all: putting the entry back brings code and number."""
        first = bought("17").lines.get().lots.get()
        entry_back(first, "received")
        taking = first.movements.get(kind="reversed").deed
        second = bought("17").lines.get().lots.get()
        with make.refused("L1 was entered again since"):
            undone(taking)
        undone(second.deed)
        undone(taking)
        first.refresh_from_db()
        second.refresh_from_db()
        assert (first.code, make.on_hand(first)) == ("L1", 1000)
        assert (second.code, make.on_hand(second)) == ("L1 (taken back 2)", 0)

    def test_a_number_is_not_brought_back_to_two_papers(self):
        first = bought("17").lines.get().lots.get()
        entry_back(first, "received")
        taking = first.movements.get(kind="reversed").deed
        bought("17", "L2")
        with make.refused("Northmere Oils has sent 17 already"):
            undone(taking)

    def test_what_was_read_of_the_first_entry_is_not_said_of_the_second(self):
        """A mistyped purity goes with the entry that carried it."""
        first = make.koh(purity="0.6", code="K1")
        undone(first.deed)
        second = make.koh(purity="0.9", code="K1")
        [purity] = second.measurements.filter(what="purity")
        assert purity.value == Decimal("0.9")
        assert [row.status for row in second.statuses.all()] == ["released"]

    def test_not_while_anything_of_it_stands(self):
        bought(code="L1 L2")
        entry_back(Lot.objects.get(code="L2"), "received")
        with make.refused("The code L1 is taken"):
            bought("18", "L1")

    def test_not_for_another_material_nor_from_another_supplier(self):
        undone(bought().deed)
        make.item("olive oil")
        ensure_supplier("Cooper")
        with make.refused("L1 was a lot of rapeseed oil", "olive oil"):
            bought("18", item=make.item("olive oil"))
        with make.refused("L1 came from Northmere Oils", "Cooper"):
            bought("18", house="Cooper")

    def test_never_once_a_label_was_printed(self):
        lot = make.filled("F1")
        label_printed(lot, day(4))
        label_printed(lot, day(5))
        undone(lot.deed)
        with no(match="A label with the code F1 was printed on 2026-03-04"):
            make.filled("F1")

    def test_never_while_it_is_sold_or_used(self):
        lot = make.filled("F1")
        sale = make.sale(lot, "3", on=day(3))
        with no(match="F1 is taken"):
            make.filled("F1")
        undone(sale.deed)
        undone(lot.deed)
        assert make.filled("F1").code == "F1"

    def test_a_stopped_lot_is_not_washed_clean_by_entering_it_again(self):
        lot = bought().lines.get().lots.get()
        hold_lot(lot=lot, reason="smells odd", **act(3))
        entry_back(lot, "received")
        with make.refused("L1 was stopped before it was taken back"):
            bought("18")

    def test_a_batch_and_its_lot_get_their_mark_again(self):
        first = make.cook(batch_code="B7", code="P1", readings=(make.check(False),))
        entry = first.measurements.get(passed=False)
        take_back_check(measurement=entry, reason="other pot", **act(4))
        undone(first.deed)
        again = make.cook(batch_code="B7", code="P1")
        assert (again.batch.code, again.code) == ("B7", "P1")
        first.refresh_from_db()
        assert Batch.objects.get(pk=first.batch_id).code == "B7 (taken back)"
        family = load([again]).family(day(9))
        assert family.alkaline("P1")
        assert not again.measurements.exists()

    def test_a_batch_that_failed_keeps_its_mark(self):
        first = make.cook(batch_code="B7", code="P1", readings=(make.check(False),))
        entry_back(first, "made")
        for row in first.batch.movements.standing():
            reverse_movement(movement=row, reason="wrong", **act(9))
        with no(match="P1 was stopped"):
            make.cook(batch_code="B7", code="P2")

    def test_a_mark_is_not_for_another_product_nor_another_stage(self):
        undone(_filled().deed)
        with no(match="B7 made hand soap 250"):
            _filled("F2", makes="dish soap")
        with make.refused("B7 was filling"):
            start_batch(stage="packing", code="B7", **act())

    def test_an_open_batch_keeps_its_mark_while_it_is_empty(self):
        start_batch(stage="cook", code="B7", **act())
        with make.refused("There is a batch B7 already"):
            start_batch(stage="cook", code="B7", **act())

    def test_a_batch_that_makes_its_lot_again_takes_the_facts_typed_now(self):
        """Code and expiry were mistyped: the making is taken back and written anew."""
        batch = start_batch(stage="preparation", code="B7", **act())
        salt = make.lot("SALT", item=make.item("salt", category="salt"))
        use = [Use(Decimal(100), lot=salt)]
        use_lots(batch=batch, uses=use, **act())
        brine = make.item("brine", kind="made")

        def made(code, expires):
            output = Output(Decimal(100), item=brine, code=code, expires=day(expires))
            return make_lot(batch=batch, output=output, **act(3))

        first = made("BRIN-1", 20)
        entry_back(first, "made")
        again = made("BRINE-1", 25)
        assert again == first
        assert (again.code, again.expires) == ("BRINE-1", day(25))


def _filled(code="F1", *, makes="hand soap 250"):
    soap = make.proven(grams="10000", item=make.item("diluted soap", kind="made"))
    return run_batch(
        stage="filling",
        code="B7",
        uses=[
            Use(Decimal(5000), lot=soap),
            Use(Decimal(20), lot=make.bottles()),
        ],
        output=Output(
            Decimal(20), item=make.item(makes, kind="made", unit="piece"), code=code
        ),
        **act(),
    )
