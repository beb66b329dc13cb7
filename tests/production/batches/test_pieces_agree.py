"""No bottle vanishes between what was packed and what came of it.

A set of two takes two bottles: three bottles and two boxes are no two sets. A box too
many was torn, and somebody says so; a bottle too few means that a figure is wrong.
"""

from contextlib import contextmanager
from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.actions.batches import run_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.batches.domain.pieces import Pieces, short, spoilt, vanished
from production.models import Batch
from production.quantities.domain.refusal import Refused
from production.yields.domain.hours_and_losses import NewLoss
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db
D = Decimal


@contextmanager
def refused(*says):
    """No batch is written, and the sentence holds these words."""
    before = Batch.objects.count()
    with pytest.raises(Refused) as fault:
        yield
    missing = [text for text in says if text not in str(fault.value)]
    assert not missing, f"{missing} not in: {fault.value}"
    assert Batch.objects.count() == before


def goods(used, item="hand soap", net_mass=None):
    return Pieces(item, D(used), net_mass=net_mass and D(net_mass))


def boxes(used, item="box", each=None):
    return Pieces(item, D(used), packaging=True, each=each and D(each))


class TestSums:
    @pytest.mark.parametrize(
        ("rows", "made", "says"),
        [
            ([goods(4)], 2, ""),
            ([goods(4), goods(2, "lotion")], 2, ""),
            ([goods(3)], 2, "1 in each are 2, and 1 vanished"),
            ([goods(1)], 2, "at least 2 are in them"),
            ([goods(4), goods(3, "lotion")], 2, "3 of lotion went in"),
            ([goods(10), goods(5, "lotion")], 15, ""),
            ([goods(10), goods(4, "lotion")], 15, "10 of hand soap"),
            ([boxes(3)], 2, ""),
        ],
    )
    def test_goods_are_the_same_in_each(self, rows, made, says):
        found = " ".join(vanished(rows, D(made), D(0)))
        assert says in found
        assert bool(found) is bool(says)

    def test_a_broken_one_has_a_name_among_the_losses(self):
        rows = [goods(5, net_mass=250)]
        assert vanished(rows, D(2), D(249))
        assert not vanished(rows, D(2), D(250))
        assert vanished([goods(1, net_mass=250)], D(2), D(250)), "one is not in two"

    def test_packaging_beyond_the_pieces_is_spoilt(self):
        assert [row.says for row in spoilt([boxes(41)], D(40))] == ["1 of 41 box"]
        assert not list(spoilt([boxes(80)], D(40)))
        assert [r.surplus for r in spoilt([boxes(80, each=1)], D(40))] == [40]

    def test_two_sorts_of_bottles_share_the_pieces(self):
        assert not short([boxes(20), boxes(20, "green box")], D(40))
        assert short([boxes(20), boxes(19, "green box")], D(40))
        assert short([boxes(39), boxes(40, "cap")], D(40)) == [boxes(39)]


def pack(soap, bottles, boxed, sets, **facts):
    kind = make.item("gift box", kind="packaging", unit="piece")
    uses = [Use(lot=soap, amount=D(bottles))]
    if boxed:
        uses.append(Use(lot=make.lot(item=kind, grams="50"), amount=D(boxed)))
    made = make.item("gift set", kind="made", unit="piece")
    return run_batch(
        stage="packing", uses=uses, output=Output(D(sets), made), **act(**facts)
    )


def fill(pieces, bottles, net_mass=None, grams=10000, **facts):
    soap = make.proven(grams="20000", item=make.item("diluted soap", kind="made"))
    uses = [Use(lot=soap, amount=D(grams))]
    if bottles:
        lot = make.bottles(pieces="100")
        uses.append(Use(lot=lot, amount=D(bottles)))
    wash = make.item("hand wash", kind="made", unit="piece")
    return run_batch(
        stage="filling",
        uses=uses,
        output=Output(D(pieces), wash, net_mass=net_mass),
        **act(**facts),
    )


class TestSets:
    def test_a_set_of_two_takes_two(self):
        soap = make.filled("HS-1")
        with refused("3 of hand soap 250", "1 vanished", "discard it"):
            pack(soap, 3, 2, 2, reason="in a hurry")
        assert make.on_hand(pack(soap, 4, 2, 2)) == 2
        assert make.on_hand(soap) == 16

    def test_one_bottle_is_not_in_two_sets(self):
        soap = make.filled("HS-1")
        with refused("1 of hand soap 250", "at least 2"):
            pack(soap, 1, 2, 2)

    def test_rework_of_bottles_counts_them_too(self):
        soap = make.filled("HS-1")
        out = Output(D(2), soap.item)
        with refused("vanished"):
            run_batch(
                stage="rework",
                uses=[Use(lot=soap, amount=D(3))],
                output=out,
                **act(),
            )

    def test_a_torn_box_is_asked_about_by_name(self):
        soap = make.filled("HS-1")
        with refused("1 of 3 gift box", "spoilt"):
            pack(soap, 4, 3, 2)
        assert pack(soap, 4, 3, 2, reason="one box was torn")

    def test_too_few_boxes_are_refused(self):
        soap = make.filled("HS-1")
        with refused("1 of gift box went in for 2", "right number"):
            pack(soap, 4, 1, 2, reason="no matter")


class TestFilling:
    def test_a_bottle_a_piece(self):
        assert make.on_hand(fill(40, 40)) == 40

    def test_a_bottle_more_is_asked_about(self):
        with refused("1 of 41 bottle 250"):
            fill(40, 41)
        assert fill(40, 41, reason="one fell")

    def test_a_bottle_that_fell_full_is_a_named_loss(self):
        loss = [NewLoss(kind="spill", amount=D(250))]
        assert fill(40, 41, losses=loss, net_mass=D(250), grams=10250)

    def test_a_bottle_less_is_refused(self):
        with refused("39 of bottle 250 went in for 40"):
            fill(40, 39, reason="one short")

    def test_bottles_may_be_written_later(self):
        lot = fill(40, 0)
        later = Use(lot=make.bottles(pieces="100"), amount=D(40))
        use_lots(batch=lot.batch, uses=[later], **act())

    def test_a_past_is_not_asked(self):
        soap = make.proven(grams="20000", item=make.item("diluted soap", kind="made"))
        run_batch(
            stage="filling",
            uses=[
                Use(lot=soap, amount=D(10000)),
                Use(lot=make.bottles(pieces="100"), amount=D(41)),
            ],
            output=Output(D(40), make.item("wash", kind="made", unit="piece")),
            past=True,
            **act(),
        )


def test_the_batch_says_what_is_spoilt(desk):
    lot = fill(40, 41, reason="one fell")
    page = desk.get(reverse("batch", args=[lot.batch.code])).content.decode()
    assert "Spoilt: 1 of 41 bottle 250" in page
