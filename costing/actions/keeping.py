"""Kept values follow each deed, or are made anew from nothing."""

import logging

from django.db import transaction

from costing.actions.kept_rows import KeptRows
from costing.actions.reworking import Rework, Reworked
from costing.models import KeptBatch, KeptFlow, KeptLot, KeptMonth
from costing.reads.from_nothing import from_nothing
from costing.reads.touched import touched_by
from production.models import Deed
from production.record.actions.deeds import lock_book

log = logging.getLogger("kettlebook.values")


def keep_values(deed: Deed) -> Reworked | None:
    """Work anew what a deed touched and what hangs on it, in its transaction."""
    touched = touched_by(deed)
    if not touched:
        return None
    done = Rework().run(touched.lots, touched.batches, touched.went)
    log.debug("values deed=%s lots=%s batches=%s", deed.pk, done.lots, done.batches)
    return done


@transaction.atomic
def remake_values() -> int:
    """Make all that is kept anew from the entries, and say of how many lots."""
    lock_book()
    for model in (KeptMonth, KeptFlow, KeptBatch, KeptLot):
        model._default_manager.all().delete()
    rows, kept = KeptRows(), from_nothing()
    rows.anew(kept)
    rows.close()
    return len(kept.lots)
