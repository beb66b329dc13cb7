"""What a test remembers of a book is what its deeds wrote, and of no other start."""

import pytest
from django.contrib.auth.models import User
from django.db import connection, transaction

from production.models import Deed, Lot, ReferenceRuleOfThumb
from production.record.reads.clock import told_by
from production.release.actions.statuses import hold_lot
from tests import make
from tests.once import remembered
from tests.production import craft_morning, tideline

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="only SQLite remembers"),
]


def stored():
    """Every table as it is stored, with the types of its values."""
    found = {}
    with connection.cursor() as cursor:
        for name in connection.introspection.table_names(cursor):
            columns = connection.introspection.get_table_description(cursor, name)
            told = ", ".join(f'"{one.name}", typeof("{one.name}")' for one in columns)
            cursor.execute(f'SELECT {told} FROM "{name}" ORDER BY 1')
            found[name] = cursor.fetchall()
    return found


def played(build):
    """What it gives and what stands then; nothing of it is left."""
    mark = transaction.savepoint()
    found = build(), stored()
    transaction.savepoint_rollback(mark)
    return found


@pytest.fixture
def counted():
    """A lot, and how often it was really bought."""
    bought = []

    @remembered
    def build(code="OIL"):
        bought.append(code)
        return make.lot(code)

    return build, bought


@pytest.mark.parametrize("build", [craft_morning.set_out, tideline.workshop])
def test_the_second_time_every_table_is_the_same(build):
    given, first = played(build)
    again, second = played(build)
    assert first["production_movement"]
    # Keys of deeds are drawn at random: they were not written anew.
    assert second == first
    assert again == given
    assert again is not given


def test_what_stands_is_used_like_what_was_written(counted):
    build, bought = counted
    played(build)
    lot = build()
    assert bought == ["OIL"]
    hold_lot(lot=lot, reason="cloudy", **make.act())
    make.lot("NEXT")
    assert Lot.objects.count() == 2
    assert Deed.objects.count() == 3


@pytest.mark.parametrize(
    "other",
    [
        lambda: make.item("other oil"),
        lambda: User.objects.create(username="me"),
        lambda: ReferenceRuleOfThumb.objects.all().delete(),
    ],
    ids=["a card", "a person", "a published table"],
)
def test_another_start_is_written_anew(counted, other):
    build, bought = counted
    played(build)
    other()
    played(build)
    assert bought == ["OIL", "OIL"]


def test_another_day_or_word_is_written_anew(counted):
    build, bought = counted
    played(build)
    with told_by(make.day(1).replace(year=2099)):
        played(build)
    played(lambda: build("FAT"))
    assert bought == ["OIL", "OIL", "FAT"]
