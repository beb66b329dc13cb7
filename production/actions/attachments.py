"""Papers beside the book: certificates, photos, data sheets."""

from collections.abc import Callable

from production.actions.deeds import deed, ensure_valid
from production.domain.papers import Paper
from production.domain.refusal import Refused
from production.models import Attachment, Batch, Deed, Lot, Purchase


@deed("attach a file", gives=Attachment)
def attach_file(
    deed: Deed,
    *,
    file: Paper,
    lay_by: Callable[[Paper], None],
    note: str = "",
    lot: Lot | None = None,
    batch: Batch | None = None,
    purchase: Purchase | None = None,
) -> Attachment:
    """Keep a file beside one thing; ``lay_by`` keeps its bytes."""
    if [lot, batch, purchase].count(None) != 2:
        raise Refused("Say to which lot, batch or purchase it belongs, one of them.")
    row = Attachment(
        deed=deed,
        sha256=file.sha256,
        name=file.name,
        type=file.type,
        size=file.size,
        note=note.strip(),
        lot=lot,
        batch=batch,
        purchase=purchase,
    )
    ensure_valid(row)
    # Bytes first: left alone they do no harm, a row without them would.
    lay_by(file)
    row.save()
    return row
