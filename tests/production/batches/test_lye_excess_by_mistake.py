"""Potash that finds no fat: asked about before it is posted, kept back when it is.

Safflower oil of 190 mg KOH per g, by its lot's own certificate: 1 kg takes 190 g of
pure KOH, 211.1 g of a tub of 90 %. At 2 % superfat 206.9 g are weighed.
"""

from decimal import Decimal

import pytest

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.new_batch import Output, Use
from production.batches.reads.weighed import weighed_batch
from production.models import Batch, Lot, Status
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import status_on
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db
EXCESS = "Lye excess"


@pytest.fixture
@remembered
def shelf(owner):
    """Oil with a certificate, a tub of 90 %, and what is made of them."""
    sv = Reading("saponification value", Decimal(190), "stated")
    oil = make.item("rapeseed oil", category="oil")
    make.lot("OIL", grams="5000", item=oil, readings=(sv,))
    make.koh(code="K1")
    make.lot("DW", grams="5000", item=make.item("water", category="water"))
    for name in ("paste", "diluted soap", "finished soap", "lye"):
        make.item(name, kind="made")


def use(code, amount):
    return Use(lot=lot_of(code), amount=Decimal(amount))


def lot_of(code):
    return Lot.objects.get(code=code)


def cook(potash="206.9", *, oil="1000", stage="cook", code="P1", **facts):
    made = Output(amount=Decimal(1600), item=make.item("paste", kind="made"), code=code)
    return run_batch(
        stage=stage,
        uses=[use("OIL", oil), use("K1", potash), use("DW", "450")],
        output=facts.pop("output", made),
        **make.act(2),
        **facts,
    )


class TestPosting:
    def test_an_honest_cook_is_asked_nothing(self, shelf):
        assert cook().code == "P1"

    def test_an_excess_is_refused_with_its_figure_and_what_mends_it(self, shelf):
        """By hand: 290 x 0.9 / 190 is 1.3737: 37.37 % more than the fat takes."""
        with make.refused(EXCESS, "-37.37 %", "rapeseed oil", "oleic acid", "reason"):
            cook("290")

    def test_with_a_reason_the_truth_is_written_into_quarantine(self, shelf):
        lot = cook("290", reason="misread the balance")
        assert status_on(lot, make.day(2)) == Status.Word.QUARANTINE
        assert weighed_batch(lot.batch).asks

    def test_whatever_status_was_asked_for(self, shelf):
        item = make.item("paste", kind="made")
        output = Output(amount=Decimal(1600), item=item, status="released")
        lot = cook("290", reason="misread the balance", output=output)
        assert list(lot.statuses.values_list("status", flat=True)) == ["quarantine"]

    @pytest.mark.parametrize("stage", ["dilution", "finishing", "preparation"])
    def test_in_any_stage(self, shelf, stage):
        """Potash in a dilution was released on making and sold."""
        paste = cook()
        note_measurement(lot=paste, readings=[make.check()], **make.act(3))
        release_lot(lot=paste, **make.act(3))
        facts = {
            "uses": [(paste, "800"), (lot_of("K1"), "20")],
            "amount": "820",
            "status": "",
            "on": make.day(4),
        }
        with make.refused(EXCESS):
            make.batch(stage, **facts)
        lot = make.batch(stage, reason="took the wrong jug", **facts)
        assert status_on(lot, make.day(4)) == Status.Word.QUARANTINE

    def test_a_lye_stock_counts_like_the_potash_in_it(self, shelf):
        """Half potash, half water: 580 g of it hold the 290 g."""
        uses = [(lot_of("K1"), "500"), (lot_of("DW"), "500")]
        make.batch("preparation", uses=uses, makes="lye", amount="1000", code="LYE")
        with make.refused(EXCESS, "-37.37 %"):
            make.batch(
                "cook",
                uses=[(lot_of("OIL"), "1000"), (lot_of("LYE"), "580")],
                makes="paste",
                amount="1500",
                status="",
            )

    def test_a_lye_as_such_is_no_excess(self, shelf):
        uses = [(lot_of("K1"), "500"), (lot_of("DW"), "500")]
        lot = make.batch("preparation", uses=uses, makes="lye", amount="1000")
        found = weighed_batch(lot.batch)
        assert (found.superfat.range, found.superfat.missing) == (None, ())

    def test_a_declared_excess_keeps_its_route(self, shelf):
        version = make.version(superfat=Decimal("-0.02"), lye_excess=True)
        lot = cook("215.3", version=version, reason="weighed warm")
        assert not weighed_batch(lot.batch).asks

    def test_an_unknown_value_is_named_and_nothing_is_guessed(self, shelf):
        make.koh(code="K2", purity=None)
        uses = [(lot_of("OIL"), "1000"), (lot_of("K2"), "290")]
        lot = make.batch("cook", uses=uses, makes="paste", amount="1290")
        found = weighed_batch(lot.batch).superfat
        assert found.range is None
        assert "purity of K2" in found.says

    def test_the_past_is_taken_in_as_it_was(self, shelf):
        assert cook("290", past=True).code == "P1"


class TestDayByDay:
    def test_the_potash_is_judged_as_it_goes_in_and_at_the_end(self, shelf):
        start_batch(stage="cook", code="OPEN", **make.act(2))
        batch = Batch.objects.get(code="OPEN")
        use_lots(batch=batch, uses=[use("OIL", "1000")], **make.act(2))
        with make.refused(EXCESS):
            use_lots(batch=batch, uses=[use("K1", "290")], **make.act(2))
        use_lots(batch=batch, uses=[use("K1", "290")], reason="misread", **make.act(2))
        output = Output(Decimal(1290), item=make.item("paste", kind="made"))
        with make.refused(EXCESS):
            make_lot(batch=batch, output=output, **make.act(3))

    def test_lye_first_is_no_excess_yet(self, shelf):
        batch = start_batch(stage="cook", **make.act(2))
        use_lots(batch=batch, uses=[use("K1", "200")], **make.act(2))
        use_lots(batch=batch, uses=[use("OIL", "1000")], **make.act(2))


class TestRework:
    def test_oil_into_the_excess_mends_it_without_a_question(self, shelf):
        """By hand: 290 x 0.9 / 0.98 / 0.190 is 1401.7 g of oil; 401.7 g more."""
        paste = cook("290", reason="misread the balance")
        lot = make.batch(
            "rework",
            uses=[(paste, "1600"), (lot_of("OIL"), "401.7")],
            makes="paste",
            amount="2000",
            status="",
            on=make.day(3),
        )
        found = weighed_batch(lot.batch).superfat
        assert abs(found.range.central - Decimal("0.02")) < Decimal("0.0001")

    def test_too_little_of_it_is_still_an_excess(self, shelf):
        paste = cook("290", reason="misread the balance")
        with make.refused(EXCESS):
            make.batch(
                "rework",
                uses=[(paste, "1600"), (lot_of("OIL"), "100")],
                makes="paste",
                amount="1700",
                status="",
                on=make.day(3),
            )


class TestBesideTheRecipe:
    def test_planned_stands_beside_weighed(self, shelf):
        """By hand: 1000 g of oil at 2 %: 0.98 x 190 / 0.9 is 206.889 g."""
        lot = cook("290", version=make.version(superfat=Decimal("0.02")), reason="m")
        found = weighed_batch(lot.batch)
        rows = {row.name: row for row in found.rows}
        potash = rows["potassium hydroxide"]
        assert potash.alkali
        assert potash.weighed == 290
        assert abs(potash.planned - Decimal("206.889")) <= Decimal("0.001")
        assert rows["rapeseed oil"].planned == 1000
        assert "83.11 g more" in str(found.superfat.over)

    def test_a_batch_without_alkali_has_no_such_section(self, shelf):
        paste = cook()
        lot = make.batch("rework", uses=[(lot_of("OIL"), "10")], amount="10")
        assert weighed_batch(lot.batch) is None
        assert weighed_batch(paste.batch) is not None
