"""What one row says by itself: a card, a batch, a hold."""

from production.fitness.reads.superfats import NOW, stands
from production.record.models.ink import Restated
from production.stock.models.batches import Batch, Stage
from production.stock.models.counts import Count
from production.stock.models.holds import Hold
from production.workshop.models.items import Item

OF_SOAP = set(Stage) - {Stage.COOK, Stage.PREPARATION}


def missing(row: Count) -> str:
    """An alkali that a count found short, and that a batch may have got."""
    return f"what is missing of {row.lot}"


def dangerous(row: Restated, item: Item) -> str:
    """The alkali or the soap that a card spoke of before it was changed, else ""."""
    if row.field == "alkali":
        return "alkali" if row.before else ""
    if row.field != "category":
        return ""
    if row.before == Item.Category.ALKALI:
        return "alkali"
    unsaid = not row.before and item.kind == Item.Kind.MADE
    return "soap" if unsaid or row.before == Item.Category.SOAP else ""


def cooked(batch: Batch | None) -> bool:
    """Soap was meant to form in it."""
    if batch is None:
        return False
    if batch.stage == Stage.COOK:
        return True
    return batch.version is not None and batch.version.superfat is not None


def soapy(batch: Batch | None, item: Item) -> bool:
    """What these stages make is soap, unless its card says what else it is."""
    soap = item.category in {Item.Category.UNKNOWN, Item.Category.SOAP}
    made = item.kind == Item.Kind.MADE
    return batch is not None and made and soap and batch.stage in OF_SOAP


def declared(batch: Batch | None) -> bool:
    version = batch.version if batch else None
    return version is not None and version.lye_excess


def lifted(hold: Hold, known_by: int = NOW - 1) -> bool:
    return any(stands(row, known_by) for row in hold.lifts.all())
