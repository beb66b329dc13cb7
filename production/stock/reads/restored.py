"""Codes and numbers that were given out between a backup and its restoring."""

from django.apps import apps

from production.quantities.domain.codes import Issued, read_issued
from production.record.reads.clock import minute_of
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.stock.models.restored import Restored

NUMBERED = {"purchase": "Purchase", "sale": "Sale", "return": "Return"}


def given_since_a_backup(text: str) -> str:
    """Of a typed mark that stands on something the book has lost: as of when; else "".

    One that is in the book is none of these.
    """
    restores = list(Restored.objects.prefetch_related("answers"))
    if not restores:
        return ""
    try:
        issued = read_issued(text)
    except ValueError:
        issued = Issued(text.strip())
    for row in restores:
        if _lost(issued, text, row) and not _in_the_book(issued, text):
            return minute_of(row.taken_at)
    return ""


def _lost(issued: Issued, text: str, row: Restored) -> bool:
    marks = {issued.text.upper(), " ".join(text.split()).upper()}
    first = row.last.get(issued.series, 0)
    for answer in row.answers.all():
        if marks & set(answer.codes.upper().splitlines()):
            return True
        if issued.series and first < issued.serial <= answer.last.get(issued.series, 0):
            return True
    return False


def _in_the_book(issued: Issued, text: str) -> bool:
    marks = {issued.text, text, text.strip()}
    if issued.series in NUMBERED:
        papers = apps.get_model("production", NUMBERED[issued.series])
        return papers._default_manager.filter(number__in=marks).exists()
    return (
        Lot.objects.filter(code__in=marks).exists()
        or Batch.objects.filter(code__in=marks).exists()
    )
