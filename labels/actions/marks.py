"""The maker's own mark: given, or taken away."""

from collections.abc import Callable

from django.db import transaction

from labels.models import MakersMark
from labels.reads.marks import own_mark
from production.models import Item
from production.papers.domain.papers import Paper
from production.record.actions.deeds import ensure_valid


@transaction.atomic
def keep_mark(
    *,
    file: Paper | None,
    store: Callable[[Paper], None],
    item: Item | None = None,
) -> MakersMark:
    """Take a mark for one product, or for all where no ``item`` is told; without a
    ``file`` there is none from now on. ``store`` keeps its bytes, which stay."""
    row = own_mark(item) or MakersMark(item=item)
    if file is None:
        if row.pk:
            row.delete()
        return row
    row.sha256, row.name, row.type = file.sha256, file.name, file.type
    ensure_valid(row)
    store(file)
    row.save()
    return row
