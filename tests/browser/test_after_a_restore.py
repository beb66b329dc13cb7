"""After a restore: the start page asks, an owner answers, a sale goes on."""

from datetime import timedelta

from django.utils import timezone

from production.models import Lot
from production.record.reads.clock import today
from production.restoring.actions import note_restored
from tests import make


def test_an_owner_says_what_happened_since_the_backup(walk):
    make.filled("F1")
    now = timezone.now()
    note_restored(taken_at=now - timedelta(days=3), restored_at=now)
    walk.open("/")
    walk.sees("Restored from a backup", "Say what happened since")
    walk.follow("Say what happened since")
    walk.sees("Look first", "Until an owner has said what happened")
    walk.send("This is all that happened since")
    walk.sees("Write each code that you find")
    walk.fill(codes="S-7\nRT-4", none_else=True)
    walk.fill(since__0__of="F1", since__0__what="held", since__0__words="a rash")
    walk.fill(since__0__day=today().isoformat())
    walk.press("This is all that happened since")
    walk.sees("Restored so far", "RT-4")
    walk.open(Lot.objects.get(code="F1").get_absolute_url())
    walk.sees("a rash")
