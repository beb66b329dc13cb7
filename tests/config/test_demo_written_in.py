"""What counts as written in a demo, so that it is never built over.

A maker who only looked round means to keep nothing; whatever a person wrote may be a
real purchase, so it stays, and is told before anything is done.
"""

from datetime import date
from decimal import Decimal

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from config.demo.as_built import RECORD, written_by_others
from config.demo.building import clear_schema, refuse_what_is_not_the_demos
from config.demo.people import LOGIN
from config.demo.year import END
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.models import Customer, Deed, Lot, Workshop
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import told_by

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("year")]
people = get_user_model().objects


def act(reason):
    return {
        "on": date(2026, 11, 24),
        "by": people.get(username=LOGIN),
        "reason": reason,
    }


def count(found="21000"):
    with told_by(END):
        count_lot(
            lot=Lot.objects.get(code="GLY-1"),
            found=Decimal(found),
            **act("poured some out"),
        )


def order(sql):
    with connection.cursor() as cursor:
        cursor.execute(sql)


def test_who_only_looked_round_has_written_nothing():
    desk = Client()
    desk.force_login(people.get(username=LOGIN))
    for page in ("start", "lots", "workshop"):
        assert desk.get(reverse(page)).status_code == 200
    people.filter(username=LOGIN).update(last_login=timezone.now(), password="another")
    assert written_by_others() == ""
    assert refuse_what_is_not_the_demos(keep_old=False)


def test_an_entry_is_told_with_the_ways_to_go_on():
    count()
    with pytest.raises(Refused) as refusal:
        refuse_what_is_not_the_demos(keep_old=False)
    for says in (
        "1 entry was written in it: ",
        f"the last by {LOGIN}, dated 2026-11-24. Nothing was changed.",
        "python manage.py demo --keep",
        "python manage.py demo --set-aside",
    ):
        assert says in str(refusal.value)
    assert refuse_what_is_not_the_demos(keep_old=True)


def test_an_entry_that_was_taken_back_was_written_all_the_same():
    count()
    with told_by(END):
        undo_deed(undone=Deed.objects.latest("pk"), **act("only to try"))
    assert "2 entries were written in it: " in written_by_others()


def test_a_card_that_no_entry_tells_of():
    Customer.objects.create(name="A real shop")
    assert written_by_others().endswith("changed in it: customers.")


def test_the_card_of_the_workshop():
    Workshop.objects.update(name="My own workshop")
    assert written_by_others().endswith("changed in it: workshops.")


def test_a_person():
    people.create(username="me")
    assert written_by_others().endswith("changed in it: users.")


def test_a_table_of_somebody_else():
    order("CREATE TABLE my_recipes (name varchar(9))")
    assert written_by_others().endswith("changed in it: my_recipes.")


def test_a_demo_of_an_earlier_kettlebook_goes_only_aside():
    order(f"DROP TABLE {RECORD}")
    with pytest.raises(Refused, match="kept no note"):
        refuse_what_is_not_the_demos(keep_old=False)
    assert refuse_what_is_not_the_demos(keep_old=True)


@pytest.mark.parametrize("keep_old", [False, True])
def test_a_book_that_the_demo_did_not_make_never_goes(keep_old):
    Workshop.objects.update(demo=False)
    with pytest.raises(Refused, match="the demo did not make"):
        refuse_what_is_not_the_demos(keep_old)


@pytest.mark.parametrize("keep_old", [False, True])
def test_a_book_that_was_only_just_begun_never_goes(keep_old):
    """Migrated, and nothing in it yet: somebody did that."""
    Workshop.objects.all().delete()
    with pytest.raises(Refused, match="only into an empty database"):
        refuse_what_is_not_the_demos(keep_old)


def test_on_postgresql_the_old_demo_is_kept_in_a_schema_of_its_own():
    if connection.vendor != "postgresql":
        pytest.skip("A schema is a thing of PostgreSQL.")
    order("SET CONSTRAINTS ALL IMMEDIATE")
    aside = clear_schema(keep_old=True).removeprefix("schema ")
    assert not refuse_what_is_not_the_demos(keep_old=False)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT demo FROM {aside}.production_workshop")
        assert cursor.fetchall() == [(True,)]
