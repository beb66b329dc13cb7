"""Whether a batch is open, ended or lost."""

from django.db.models import Exists, OuterRef

from production.stock.models.batches import Batch, LostBatch


def is_lost(batch: str = "pk") -> Exists:
    """Whether a batch is lost whole, for a query; ``batch`` is where its key stands."""
    return Exists(LostBatch.objects.filter(batch=OuterRef(batch)))


def ending(batch: Batch) -> LostBatch | None:
    """How a batch was lost whole, None where it was not."""
    return LostBatch.objects.filter(batch=batch).first()
