"""Whether a restore still waits for its answer."""

from dataclasses import dataclass
from datetime import date

from production.record.reads.clock import at_home, minute_of
from production.stock.models.restored import Restored


@dataclass(frozen=True, slots=True)
class Waiting:
    """Restores that nobody has answered for: the last of them, and since when.

    ``day`` and ``since`` are the backup's, by the workshop's clock.
    """

    restored: Restored
    day: date
    since: str


def waiting_restore() -> Waiting | None:
    """What asks for an answer, None where nothing does; one query where it is so."""
    rows = list(Restored.objects.unanswered())
    if not rows:
        return None
    taken = min(row.taken_at for row in rows)
    return Waiting(rows[-1], at_home(taken).date(), minute_of(taken))
