"""A supplier's highest dose binds wherever soap is made, whatever blend it came in.

The limits here are invented, as a supplier's document would say them.
"""

from decimal import Decimal

import pytest

from production.batches.actions.days import craft_scents
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.trials import NewAddition, bench_trials
from production.fragrance.actions import note_document
from production.fragrance.domain import above_the_most
from production.models import Hold, Lot, Status
from production.stock.reads.stock import status_on
from production.yields.domain.hours_and_losses import NewLoss
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db
MOST = "at most 1 %"


@pytest.fixture
@remembered
def shelf(owner):
    """Diluted soap, and a fragrance of which 1 % is allowed in what is rinsed off."""
    soap = make.item("diluted soap", kind="made", category="soap")
    make.proven("SOAP", grams="10000", item=soap)
    fragrance("FRA", "0.01")
    make.item("finished soap", kind="made")
    make.item("hand soap 100", kind="made", unit="piece")
    make.lot("CARRIER", grams="500", item=make.item("carrier", category="additive"))


def fragrance(code, most, name="Tidewrack"):
    lot = make.lot(code, grams="500", item=make.item(name, category="fragrance"))
    if most:
        note_document(lot=lot, edition="1", most=Decimal(most), **make.act())
    return lot


def lot(code):
    return Lot.objects.get(code=code)


def scented(soap="990", scent="10", stage="finishing", code="FRA", **facts):
    amount = str(Decimal(soap) + Decimal(scent))
    return make.batch(
        stage,
        uses=[(lot("SOAP"), soap), (lot(code), scent)],
        makes="finished soap",
        amount=facts.pop("amount", amount),
        **facts,
    )


class TestTheSum:
    def test_two_lots_of_one_fragrance_add_up_under_the_lower_limit(self):
        held = [
            ("A", Decimal("0.006"), Decimal("0.01")),
            ("A", Decimal("0.006"), Decimal("0.02")),
            ("B", Decimal("0.5"), None),
        ]
        [dose] = above_the_most(held)
        assert (dose.share, dose.most) == (Decimal("0.012"), Decimal("0.01"))

    def test_exactly_the_most_is_allowed(self):
        assert above_the_most([("A", Decimal("0.01"), Decimal("0.01"))]) == ()


class TestWhereItBinds:
    def test_at_the_limit_nothing_is_asked(self, shelf):
        assert status_on(scented(), make.day(2)) == Status.Word.RELEASED

    @pytest.mark.parametrize(
        "stage", ["finishing", "dilution", "rework", "preparation"]
    )
    def test_above_it_is_refused_with_both_figures(self, shelf, stage):
        with make.refused("Tidewrack is 2 %", MOST, "Take less, or make more soap"):
            scented("980", "20", stage)

    def test_if_it_happened_the_lot_is_held_with_its_cause(self, shelf):
        made = scented("980", "20", reason="the jug slipped")
        assert status_on(made, make.day(2)) == Status.Word.HELD
        cause = Hold.objects.get(lot=made).cause
        assert "Tidewrack" in cause
        assert "2 %" in cause
        assert MOST in cause

    def test_a_blend_is_looked_through(self, shelf):
        """Half of the blend is fragrance: 40 g of it bring 20 g into 1,000 g."""
        make.batch(
            "preparation",
            uses=[(lot("FRA"), "100"), (lot("CARRIER"), "100")],
            makes="blend",
            amount="200",
            code="BLEND",
        )
        assert scented("980", "20", code="BLEND").code
        with make.refused("Tidewrack is 2 %", MOST):
            scented("960", "40", code="BLEND")

    def test_a_blend_as_such_is_no_dose(self, shelf):
        uses = [(lot("FRA"), "100"), (lot("CARRIER"), "1")]
        assert make.batch("preparation", uses=uses, makes="blend", amount="101").code

    def test_soap_scented_twice_adds_up(self, shelf):
        first = scented()
        with make.refused("Tidewrack is 1.99 %"):
            make.batch(
                "finishing",
                uses=[(first, "990"), (lot("FRA"), "10")],
                makes="finished soap",
                amount="1000",
            )

    def test_craft_morning_sample_taken_at_the_limit_leaves_the_share(self, shelf):
        """10 g in 1,000 g; 50 g are taken for the bench: still 1 %, and in bottles."""
        loss = NewLoss("bench sample", Decimal(50))
        made = scented(amount="950", losses=[loss])
        assert make.batch(
            "filling",
            uses=[(made, "900"), (make.bottles(), "9")],
            makes="hand soap 100",
            amount="9",
            unit="piece",
            net_mass="100",
        ).code

    def test_filling_a_scent_straight_into_the_bottle_binds_too(self, shelf):
        with make.refused(MOST):
            make.batch(
                "filling",
                uses=[(lot("SOAP"), "980"), (lot("FRA"), "20")],
                makes="hand soap 100",
                amount="10",
                unit="piece",
                net_mass="100",
            )

    def test_the_card_of_the_item_binds_where_no_document_does(self, shelf):
        card = make.item("Gorse", category="fragrance", most=Decimal("0.005"))
        make.lot("GORSE", grams="100", item=card)
        with make.refused("Gorse is 1 %", "at most 0.5 %"):
            scented(code="GORSE")

    def test_without_any_limit_nothing_is_asked(self, shelf):
        fragrance("BARE", None, "Saltmeadow")
        assert scented("900", "100", code="BARE").code

    def test_the_latest_document_counts(self, shelf):
        paper = {"lot": lot("FRA"), "edition": "2", "most": Decimal("0.03")}
        note_document(**paper, **make.act())
        assert scented("980", "20").code

    def test_the_past_is_taken_in_as_it_was(self, shelf):
        assert scented("980", "20", past=True).code


class TestOtherDoors:
    def test_a_trial_goes_the_same_way(self, shelf):
        sample = {
            "soap": lot("SOAP"),
            "soap_each": Decimal(100),
            "additions": [NewAddition(lot("FRA"), [Decimal("0.01"), Decimal("0.02")])],
            "item": make.item("finished soap", kind="made"),
        }
        with make.refused(MOST):
            bench_trials(**sample, **make.act())

    def test_several_scents_go_the_same_way(self, shelf):
        item = make.item("finished soap", kind="made")
        uses = [
            Use(lot=lot("SOAP"), amount=Decimal(980)),
            Use(lot=lot("FRA"), amount=Decimal(20)),
        ]
        output = Output(Decimal(1000), item=item)
        new = NewBatch(stage="finishing", uses=uses, output=output)
        with make.refused(MOST):
            craft_scents(scents=[new], **make.act())
        deed = craft_scents(scents=[new], reason="slipped", **make.act())
        [made] = deed.lots.all()
        assert status_on(made, make.day(2)) == Status.Word.HELD
