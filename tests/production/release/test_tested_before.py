"""Filled goods that were tested before this book began; all of them are invented."""

from datetime import date
from decimal import Decimal as D

import pytest
from django.urls import reverse

from production.buying.actions.purchases import open_stock
from production.exchange import domain as history
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import Lot, Measurement
from production.release.actions.readings import note_measurement, record_measurement
from production.release.actions.taking_back import take_back_check
from production.release.actions.tested_before import note_tested_before
from production.stock.actions.opening_lots import NewLot, Reading
from tests import make
from tests.make import act
from tests.production.history_cases import file_of
from tests.production.writing import holds

pytestmark = pytest.mark.django_db
SAID = {
    "tested": date(2026, 2, 20),
    "how": "drop test, four spots",
    "written": "notebook 3, page 41",
}


def opened(code="OLD-1", unit="piece", **facts):
    return open_stock(
        item=make.item(f"hand soap by {unit}", kind="made", unit=unit),
        lot=NewLot(amount=D(30), code=code, **facts),
        **act(2),
    )


def tell(lots, **facts):
    return note_tested_before(lots=lots, **act(3), **(SAID | facts))


def test_many_lots_in_one_act():
    lots = [opened(), opened("OLD-2")]
    tell(lots)
    for lot in lots:
        check = lot.measurements.latest("pk")
        assert (check.passed, check.method) == (True, "before")
        assert (check.on, check.note) == (SAID["tested"], SAID["how"])
        assert check.where == SAID["written"]


def test_an_owner_says_so_and_all_of_it():
    lot = opened()
    maker = make.maker()
    with make.refused("Only an owner may note what was tested before"):
        note_tested_before(lots=[lot], **act(3, maker), **SAID)
    with make.refused("Tick the lots"):
        tell([])
    for missing in ("how", "written"):
        with make.refused("Write how it was tested, and where"):
            tell([lot], **{missing: " "})
    with make.refused("after 2026-03-03"):
        tell([lot], tested=date(2026, 3, 4))
    with make.refused("never tested by tongue"):
        tell([lot], how="zap test at four spots")


def test_never_for_paste_or_for_what_was_made_here():
    paste = opened("OLD-P", unit="g")
    with make.refused("OLD-P is hand soap by g, by the gram"):
        tell([paste])
    filled = make.filled("NEW-1")
    with make.refused("NEW-1 is no filled goods from before"):
        tell([filled])
    caps = open_stock(
        item=make.item("cap", kind="packaging", unit="piece"),
        lot=NewLot(amount=D(30), code="CAP-1"),
        **act(2),
    )
    with make.refused("CAP-1 is no filled goods"):
        tell([caps])


def test_a_file_brings_it_of_what_came_from_before_and_of_nothing_else():
    """One old crate in the book vouches for no bottle that was filled here."""
    old, here = opened(), make.filled()
    failed = Reading("neutrality", passed=False, method="before")
    with make.refused(f"{here} was made in this book"):
        record_measurement(lot=here, readings=[failed], **act(3))
    record_measurement(lot=old, readings=[failed], **act(3))
    assert old.measurements.get().method == "before"


def test_never_over_a_failure_on_file():
    lot, good = opened(), opened("OLD-2")
    note_measurement(lot=lot, readings=[make.check(False)], **act(2))
    with make.refused("A failed check of OLD-1 is on file", "Test OLD-1 anew"):
        tell([good, lot])


def test_nor_over_one_that_was_taken_back_and_waits():
    lot = opened()
    note_measurement(lot=lot, readings=[make.check(False)], **act(2))
    failed = Measurement.objects.get()
    take_back_check(measurement=failed, **act(2, reason="another jar"))
    with make.refused("A failed check of OLD-1"):
        tell([lot])


def test_nor_over_a_failure_behind_an_imported_lot():
    import_history(text=file_of(IMPORTED))
    lot = Lot.objects.get(code="BOT-9")
    with make.refused("A failed check of PASTE-9, from which BOT-9 came"):
        tell([lot])


IMPORTED = [
    {
        "type": "opening",
        "date": "2026-01-02",
        "lot": "PASTE-9",
        "item": "paste",
        "unit": "g",
        "kind": "made",
        "amount": "5000",
        "value": None,
    },
    {
        "type": "measurement",
        "date": "2026-01-03",
        "lot": "PASTE-9",
        "what": "neutrality",
        "passed": False,
    },
    {
        "type": "batch",
        "date": "2026-01-04",
        "code": "F-9",
        "stage": "filling",
        "uses": [{"lot": "PASTE-9", "amount": "5000"}],
        "makes": {
            "lot": "BOT-9",
            "item": "bottled",
            "unit": "piece",
            "amount": "20",
            "net_mass": "250",
        },
    },
]


def test_the_history_file_carries_it_both_ways():
    tell([opened()])
    told = [row for row in history_events() if row["type"] == "measurement"]
    assert [(row["method"], row["where"], row["date"]) for row in told] == [
        ("before", "notebook 3, page 41", "2026-02-20")
    ]
    again = history.read(history.write("USD", told))[1]
    assert again[0].facts["method"] == "before"


def test_the_page_offers_what_waits_and_ticks_nothing(desk):
    url = reverse("lots-tested-before")
    assert "No filled goods" in desk.get(url).content.decode()
    lot = opened()
    opened("OLD-P", unit="g")
    page = desk.get(url)
    assert [str(row) for row in page.context["form"].fields["lots"].queryset] == [
        "OLD-1"
    ]
    assert "checked" not in page.content.decode()
    good = {
        "lots": [str(lot.pk)],
        "tested": "2026-02-20",
        "how": SAID["how"],
        "written": SAID["written"],
        "on": "2026-03-03",
    }
    holds(desk, url, good, {"lots": []}, "Tick the lots that were tested.")
    assert lot.measurements.latest("pk").method == "before"
    assert url in desk.get(reverse("filled")).content.decode()
