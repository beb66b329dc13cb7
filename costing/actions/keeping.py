"""Kept values follow each deed, or are made anew from nothing."""

import logging
from itertools import islice

from django.db import transaction

from costing.actions.kept_rows import KeptRows
from costing.actions.reworking import Rework, Reworked
from costing.models import KeptBatch, KeptBy, KeptFlow, KeptLot, KeptMonth
from costing.reads.differing import differing
from costing.reads.from_nothing import from_nothing
from costing.reads.touched import touched_by
from production.models import Deed, Lot
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import lock_book

log = logging.getLogger("kettlebook.values")
MOST_NAMED = 3


def keep_values(deed: Deed) -> Reworked | None:
    """Work anew what a deed touched and what hangs on it, in its transaction."""
    touched = touched_by(deed)
    if not touched:
        return None
    done = Rework().run(touched.lots, touched.batches, touched.went)
    log.debug("values deed=%s lots=%s batches=%s", deed.pk, done.lots, done.batches)
    return done


@transaction.atomic
def remake_values(version: str) -> int:
    """Make all that is kept anew from the entries, and say of how many lots."""
    lock_book()
    for model in (KeptMonth, KeptFlow, KeptBatch, KeptLot):
        model._default_manager.all().delete()
    rows, kept = KeptRows(), from_nothing()
    rows.anew(kept)
    rows.close()
    kept_by(version)
    return len(kept.lots)


def keep_if_none(version: str) -> None:
    """A book that comes from before values were kept gets them made."""
    if KeptBy.objects.exists():
        return
    if KeptLot.objects.exists() or not Lot.objects.exists():
        kept_by(version)
        return
    try:
        remake_values(version)
    except Refused as fault:
        raise Refused(
            f"The values of this book cannot be worked out. {fault} Go back to the "
            "version before, mend it there, and migrate again."
        ) from fault


def refuse_other_values(version: str) -> None:
    """After an upgrade: the sums of this version come to what is kept, or it stops.

    Looked at once a version, and again while they differ.
    """
    if KeptBy.objects.filter(version=version).exists():
        return
    faults = list(islice(differing(), MOST_NAMED + 1))
    if not faults:
        kept_by(version)
        return
    more = " And more." if len(faults) > MOST_NAMED else ""
    raise Refused(
        f"Kettlebook {version} works out other values than are kept in this book. "
        f"{'; '.join(faults[:MOST_NAMED])}.{more} Nothing was changed. Go back to the "
        "version before, or look at these lots and run python manage.py remake_values "
        "to go on with the new ones; a closed month stays as it was printed."
    )


def kept_by(version: str) -> None:
    """Note by whose sums they are kept."""
    KeptBy.objects.update_or_create(pk=1, defaults={"version": version})
