"""Papers beside the book: certificates, photos, data sheets."""

from collections.abc import Callable

from production.attachments.models import Attachment
from production.buying.models import Purchase
from production.papers.domain.papers import Paper
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, ensure_valid
from production.record.models.ink import Deed
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot


@deed("attach a file", gives=Attachment)
def attach_file(
    deed: Deed,
    *,
    file: Paper,
    store: Callable[[Paper], None],
    note: str = "",
    lot: Lot | None = None,
    batch: Batch | None = None,
    purchase: Purchase | None = None,
) -> Attachment:
    """Keep a file beside one thing; ``store`` keeps its bytes."""
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
    store(file)
    row.save()
    return row
