"""An owner decides, a maker records."""

from datetime import date
from decimal import Decimal

import pytest
from django.contrib.auth import get_user_model

from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.trials import promote_trial
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.lots.actions.lot_deeds import give
from production.quantities.domain.refusal import Refused
from production.record.actions.people import is_owner
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot
from production.stock.reads.stock import status_on
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db


def test_the_two_groups_come_with_every_database():
    assert is_owner(make.owner())
    assert not is_owner(make.maker())


def test_whoever_runs_the_machine_is_an_owner_too():
    root = get_user_model().objects.create_superuser("root", password="x")
    assert is_owner(root)


def test_a_person_in_no_group_is_no_owner():
    assert not is_owner(get_user_model().objects.create_user("wren"))


def decisions():
    """What only an owner does, each with all that it needs but the person."""
    oil = make.item("rapeseed oil", category="oil")
    held = make.lot(status="held")
    resting = make.cook(version=make.version(rest_days=9), readings=[make.check()])
    old = make.lot(expires=day(1), item=oil)
    batch = start_batch(stage="cook", version=make.version(), **act())
    trial = make.filled(trial=True, on=day(1)).batch
    make.seen(trial, 2)
    return {
        "reject": (reject_lot, {"lot": make.lot()}),
        "end a hold": (release_lot, {"lot": held}),
        "cut a rest": (release_lot, {"lot": resting, "override": True}),
        "use expired": (
            use_lots,
            {"batch": batch, "uses": [Use(Decimal(5), old)], "override": True},
        ),
        "promote": (
            promote_trial,
            {"batch": trial},
        ),
        "close": (close_book, {"through": date(2026, 2, 28)}),
    }


NAMES = ["reject", "end a hold", "cut a rest", "use expired", "promote", "close"]


@pytest.mark.parametrize("name", NAMES)
def test_a_maker_is_asked_to_call_an_owner(name):
    deed, facts = decisions()[name]
    tobias = make.maker()
    with make.refused("Only an owner may", "Ask one to sign in"):
        deed(**facts, **act(by=tobias, reason="for the stall"))


@pytest.mark.parametrize("name", NAMES)
def test_an_owner_does_it_with_a_reason(name):
    deed, facts = decisions()[name]
    assert deed(**facts, **act(reason="looked at it myself")) is not None


@pytest.mark.parametrize("name", [name for name in NAMES if name != "close"])
def test_an_owner_without_a_reason_does_not(name):
    deed, facts = decisions()[name]
    with make.refused("Write the reason for"):
        deed(**facts, **act(reason="  "))


def test_a_maker_records_the_day():
    tobias = act(by=make.maker())
    purchase = record_purchase(
        supplier=ensure_supplier("Northmere Oils"),
        lines=[NewLine(make.item(), [NewLot(Decimal(900))])],
        **tobias,
    )
    oil = purchase.lines.get().lots.get()
    make.item("soap", kind="made", category="additive")  # called so, and holds none
    soap = run_batch(
        stage="finishing",
        uses=[Use(Decimal(500), lot=oil)],
        output=Output(Decimal(500), item=make.item("soap", kind="made")),
        **tobias,
    )
    release_lot(lot=soap, **tobias)
    line = NewSaleLine(soap, Decimal(5))
    sale = sell(lines=[line], channel="stall", **tobias)
    hold_lot(lot=soap, reason="odd smell", **tobias)
    assert sale.deed.by == make.maker()
    assert status_on(soap, DAY) == "held"


def test_one_line_is_logged_for_each_deed_and_refusal_without_names(caplog):
    caplog.set_level("INFO", logger="kettlebook.deeds")
    lot, ines = make.lot(), make.owner()
    caplog.clear()
    give(lot=lot, amount=Decimal(1), why="gift", recipient="Ada", **act())
    with pytest.raises(Refused):
        give(lot=lot, amount=Decimal(0), why="gift", recipient="Ada", **act())
    done, refused = caplog.messages
    assert "verb='give goods away'" in done
    assert refused.startswith("refused verb='give goods away'")
    assert f"by={ines.pk}" in done
    assert "Ada" not in caplog.text
    assert "ines" not in caplog.text
