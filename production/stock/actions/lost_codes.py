"""Codes and numbers that stand on goods of which a restored book knows nothing."""

from django.db.models import Exists, QuerySet

from production.quantities.domain.refusal import Refused
from production.record.actions.again import WrittenAgain, _again
from production.record.models.workshop import CodeSeries
from production.stock.models.restored import Restored
from production.stock.reads.restored import given_since_a_backup


def ask_if_lost(mark: str) -> None:
    """Ask about a code that was given out between a backup and its restoring."""
    if _again.get():
        return
    if since := given_since_a_backup(mark):
        raise WrittenAgain(
            f"{mark.strip()} was given out after the backup of {since}, from which the "
            "book was restored: it stands on something already. Tick that you are "
            "writing up that very thing again, or choose another."
        )


def with_its_restore(series: QuerySet[CodeSeries]) -> QuerySet[CodeSeries]:
    """``waits``: whether codes were given out that nobody has read off yet."""
    return series.annotate(waits=Exists(Restored.objects.unanswered()))


def none_given_unseen(series: CodeSeries) -> None:
    """The next one may be on a bottle: none is given out before an owner has looked."""
    if getattr(series, "waits", False):
        raise Refused(
            "The book was restored from a backup, and the next code or number may "
            "stand on a bottle or a paper already. Write one by hand that is nowhere "
            "yet; or an owner first says, on the page Restored from a backup, which "
            "were given out since."
        )
