"""What the search found, each as the shortest way there."""

from decimal import Decimal as D

import pytest

from production import actions
from production.reads.contents import contents_of
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db


def stocked():
    """Oil with its value off the certificate, flakes, water."""
    sv = actions.Reading("saponification value", D(187), "stated")
    oil = make.item("rapeseed oil", category="oil")
    return (
        make.lot("OIL", grams="9000", item=oil, readings=(sv,)),
        make.koh(code="KOH"),
        make.lot("WATER", grams="9000", item=make.item("water", category="water")),
    )


def run(stage, makes, amount, uses, *, on=2, by=None, **facts):
    return actions.run_batch(
        stage=stage,
        uses=[actions.Use(lot=lot, amount=D(grams)) for lot, grams in uses],
        output=actions.Output(D(amount), make.item(makes, kind="made")),
        **act(on, by=by, reason="it was so", **facts),
    )


def passed_paste(oil, koh, water, potash=140):
    pot = [(oil, 700), (koh, potash), (water, 400)]
    paste = run("cook", "paste", 700 + potash + 400, pot)
    actions.note_measurement(lot=paste, readings=[make.check()], **act(2))
    actions.release_lot(lot=paste, **act(2))
    return paste


def test_a_paste_that_lost_nothing_has_a_superfat_all_the_same():
    paste = passed_paste(*stocked())
    assert contents_of(paste).superfat is not None


def test_a_purity_restated_downward_leaves_the_pass_standing():
    oil, koh, water = stocked()
    paste = passed_paste(oil, koh, water)
    soap = run("dilution", "soap", 1200, [(paste, 600), (water, 600)])
    weaker = actions.Reading("purity", D("0.85"))
    actions.note_measurement(lot=koh, readings=[weaker], **act(2))
    assert run("finishing", "soap", 100, [(soap, 100)])
