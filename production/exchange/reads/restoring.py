"""That the book was restored from a backup, told with its answer."""

from collections.abc import Iterator

from production.exchange import domain as history
from production.exchange.reads.events import Told
from production.stock.models.restored import Restored


def restored_events() -> Iterator[Told]:
    rows = Restored.objects.select_related("deed").prefetch_related("answers__deed")
    for row in rows:
        event = history.Restored(
            on=row.deed.on,
            taken_at=row.taken_at,
            restored_at=row.restored_at,
            series=tuple(history.Series(*one) for one in sorted(row.last.items())),
            answered=_answer(row),
        )
        yield Told(row.deed.on, row.deed_id, 9, event)


def _answer(row: Restored) -> history.Answered | None:
    """What was found later goes along with the answer."""
    answers = list(row.answers.all())
    if not answers:
        return None
    first = answers[0].deed
    codes = "\n".join(one.codes for one in answers if one.codes)
    return history.Answered(on=first.on, codes=codes, reason=first.reason)
