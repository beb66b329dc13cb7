"""``audit`` proves the laws, and names what breaks one. Ink cannot be changed."""

import io
from decimal import Decimal

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from config.audit import audit
from costing.actions.keeping import remake_values
from production.batches.actions.losing import name_loss
from production.correcting.actions.entries import reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.lots.actions.lot_deeds import give
from production.models import Loss, Lot, Movement, Place, Version
from production.recipes.actions.formulas import NewVersionLine
from production.record.models.ink import (
    WrittenInInk,
    ink_tables,
    lift_triggers,
    missing_triggers,
    trigger_names,
)
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.stock.actions.stock_rows import remake_stock
from production.yields.domain.hours_and_losses import NewLoss
from production.yields.reads import batch_balance
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db
INK = [model for model in apps.get_models() if issubclass(model, WrittenInInk)]


@pytest.fixture
@remembered
def book(owner):
    """A little of everything, by the deeds."""
    version = make.version(name="Winter", release="hand")
    paste = make.cook(version=version, code="PASTE", reason="weighed warm")
    release_lot(lot=paste, **check(paste))
    thin = make.batch(uses=[(paste, "500")], amount="500", code="THIN")
    make.lot("OIL-2", grams="700")
    filled = make.filled("FILL")
    make.sale(filled, "3", number="S-1")
    give(lot=filled, amount=Decimal(1), why="gift", **make.act(4))
    return thin


def check(paste):
    readings = [make.check()]
    note_measurement(lot=paste, readings=readings, **make.act(2))
    return make.act(2)


def tamper(query, *values):
    """Change the book behind its back, as somebody with the file could."""
    lift_triggers(connection, ink_tables())
    with connection.cursor() as cursor:
        cursor.execute(query, values)
        assert cursor.rowcount == 1


def change(movement, **facts):
    """Change columns of one entry, past the guard."""
    columns = ", ".join(f'"{name}" = %s' for name in facts)
    query = f"UPDATE production_movement SET {columns} WHERE id = %s"
    tamper(query, *facts.values(), movement.pk)


def entry(lot, kind):
    return Movement.objects.get(lot__code=lot, kind=kind)


def faults():
    """All faults but those of the guard that a tamperer had to lift."""
    found = [fault for finding in audit() for fault in finding.faults]
    return [fault for fault in found if not fault.startswith("the guard")]


def test_an_honest_book_passes(book):
    out = io.StringIO()
    call_command("audit", stdout=out)
    lines = out.getvalue().splitlines()
    assert [line[0] for line in lines[:6]] == list("123456")
    assert all(": holds (" in line for line in lines[:6])
    assert lines[7:] == ["All seven laws hold."]


def test_an_empty_book_passes():
    assert faults() == []


def test_a_broken_book_ends_with_an_error_that_counts_the_laws(book):
    change(entry("FILL", "sold"), amount=-50_000)
    out = io.StringIO()
    with pytest.raises(CommandError, match="of 7 laws do not hold"):
        call_command("audit", stdout=out)
    assert "1 No lot is below zero: broken" in out.getvalue()
    assert "    FILL is " in out.getvalue()


def test_a_lot_below_zero_is_named(book):
    change(entry("PASTE", "made"), amount=400_000)
    assert any(fault.startswith("PASTE is 100 short") for fault in faults())


def test_a_lot_below_zero_at_one_place_only_is_named(book):
    attic = Place.objects.create(name="attic")
    change(entry("PASTE", "made"), place_id=attic.pk)
    assert any("PASTE is 500 short at workshop" in fault for fault in faults())


def test_a_use_before_the_lot_was_there_is_named(book):
    change(entry("PASTE", "used"), on="2026-01-01")
    assert any(fault.startswith("PASTE is 500 short") for fault in faults())


def test_a_use_after_the_batch_was_done_is_named(book):
    change(entry("PASTE", "used"), on="2026-12-01")
    assert any("used PASTE after it was done" in fault for fault in faults())


def test_a_late_use_is_named_in_a_filling_too(book):
    batch = entry("FILL", "made").batch
    soap = batch.movements.exclude(lot__item__kind="packaging").get(kind="used")
    change(soap, on="2026-12-01")
    assert any("FILL: batch" in fault for fault in faults())


def test_a_lot_made_from_itself_is_named(book):
    change(entry("PASTE", "used"), lot_id=book.pk)
    found = faults()
    assert any("THIN is made from itself" in fault for fault in found)


def test_bottles_sold_under_another_lot_are_named(book):
    change(entry("FILL", "sold"), lot_id=Lot.objects.get(code="OIL-2").pk)
    assert any("OIL-2: sold under another lot" in fault for fault in faults())


def test_more_sold_than_the_paper_says_is_named(book):
    change(entry("FILL", "sold"), amount=-2_000)
    assert any(fault.startswith("FILL: 2 left") for fault in faults())


def test_less_arrived_than_the_paper_says_is_named(book):
    change(entry("OIL-2", "received"), amount=699_000)
    assert any(fault.startswith("OIL-2: 699 arrived") for fault in faults())


def test_bottles_given_for_no_reason_are_named(book):
    tamper("DELETE FROM production_given")
    assert "FILL: given for no reason" in faults()


def test_grams_that_nobody_explains_are_named(owner):
    version = make.version("dilution", name="Thin", lines=shares())
    lot = make.lot("SALT")
    thin = make.batch(uses=[(lot, "1000")], amount="1000", code="THIN", version=version)
    assert faults() == []
    change(thin.movements.get(), amount=900_000)
    remake_stock()
    remake_values("a test")
    assert faults() == ["THIN: 100 g are unexplained in " + thin.batch.code]


def shares():
    return [NewVersionLine(make.item("salt"), share=Decimal(1))]


def test_a_reason_is_asked_when_a_correction_leaves_grams_unexplained(owner):
    version = make.version("dilution", name="Thin", lines=shares())
    lot = make.lot("SALT")
    thin = make.batch(
        uses=[(lot, "990")],
        amount="900",
        code="THIN",
        version=version,
        losses=[NewLoss("spill", Decimal(90))],
    )
    assert faults() == []
    tamper("UPDATE production_loss SET amount = 1000")
    remake_values("a test")
    assert faults() == ["THIN: 89 g are unexplained in " + thin.batch.code]


def test_a_loss_of_grams_that_never_went_in_is_refused(owner):
    thin = make.batch(uses=[(make.lot(), "900")], amount="900")
    new = [NewLoss("spill", Decimal(90))]
    with make.refused("90 g cannot come out of nothing"):
        name_loss(batch=thin.batch, losses=new, **make.act())


def test_a_loss_that_was_taken_back_is_no_loss(owner):
    thin = make.batch(uses=[(make.lot(), "900")], amount="810")
    new = [NewLoss("spill", Decimal(90))]
    name_loss(batch=thin.batch, losses=new, **make.act())
    undone = Loss.objects.get().deed
    undo_deed(undone=undone, **make.act())
    assert batch_balance(thin.batch).difference == 90
    assert faults() == []


def test_a_correction_that_does_not_mirror_its_entry_is_named(book):
    sold = entry("FILL", "given")
    act = make.act(5, reason="kept it after all")
    reverse_movement(movement=sold, **act)
    change(entry("FILL", "reversed"), on="2026-03-06")
    assert "FILL: a correction is not the opposite of its entry" in faults()


def test_a_changed_wording_of_a_recipe_is_named(book):
    tamper("UPDATE production_versionline SET share = '0.9'")
    assert faults() == ["Winter v1: its wording is not the one that was written"]


def test_a_changed_term_of_a_recipe_is_named(book):
    tamper("UPDATE production_version SET rest_days = 1")
    assert "Winter v1: its wording is not the one that was written" in faults()


def test_a_missing_guard_is_named(book):
    with connection.cursor() as cursor:
        on = ' ON "production_movement"' if connection.vendor == "postgresql" else ""
        cursor.execute(f'DROP TRIGGER "production_movement_no_update"{on}')
    found = [fault for finding in audit() for fault in finding.faults]
    assert [fault.split(":")[0] for fault in found] == [
        "the guard production_movement_no_update is missing"
    ]


def test_every_ink_table_has_its_guards():
    assert missing_triggers(connection) == []
    assert {model._meta.db_table for model in INK} == set(ink_tables())
    assert len(INK) >= 18


@pytest.mark.parametrize("model", INK, ids=lambda model: model.__name__)
def test_ink_refuses_to_be_changed_or_deleted_in_bulk(model):
    pk = {"pk": 1}
    for attempt in (
        lambda: model.objects.update(**pk),
        lambda: model.objects.all().delete(),
        lambda: model.objects.filter(**pk).update(**pk),
        lambda: model.objects.bulk_update([], ["id"]),
    ):
        with pytest.raises(ValidationError, match="written in ink"):
            attempt()


@pytest.fixture
def rows(book):
    """One row of as many ink tables as a small book fills."""
    found = [model.objects.first() for model in INK]
    return [row for row in found if row is not None]


def test_an_ink_row_is_not_saved_twice_and_not_deleted(rows):
    assert len(rows) >= 10
    for row in rows:
        with pytest.raises(ValidationError, match="written in ink"):
            row.save()
        with pytest.raises(ValidationError, match="written in ink"):
            row.delete()


@pytest.mark.parametrize("query", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_the_database_itself_refuses_to_change_ink(rows, query):
    for row in rows:
        table = f'"{row._meta.db_table}"'
        with (
            pytest.raises(DatabaseError, match="written in ink"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(query.format(table))
    assert Version.objects.exists()


def test_the_guards_have_names_that_say_what_they_keep():
    assert trigger_names("x") == ["x_no_update", "x_no_delete"]
