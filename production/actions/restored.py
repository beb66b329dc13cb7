"""After a restore: what the book has lost is asked for, and said by an owner."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from production.actions.deeds import deed
from production.actions.lots import Reading
from production.actions.noting import note_measurement
from production.actions.people import owner_only, signs_only
from production.actions.statuses import hold_lot, record_hold
from production.domain.checks import NEUTRALITY
from production.domain.codes import Issued, read_issued
from production.domain.refusal import Doubted, Refused
from production.models import Batch, CodeSeries, Deed, Lot, Restored, SinceBackup
from production.reads.clock import at_home, today
from production.reads.restored import series_now, unread, waiting_restore

CLERK = "restore"
FAILED, HELD, GONE = "failed", "held", "gone"
FAR = 5000  # codes in one gap that nobody gives out: one of them was misread


@dataclass(frozen=True, slots=True)
class Since:
    """What happened to a lot or an open batch since the backup.

    ``what``: a check FAILED, it was HELD, or some of it is GONE: sold, given or used.
    """

    what: str
    of: Lot | Batch
    on: date
    words: str = ""


def note_restored(*, taken_at: datetime, restored_at: datetime) -> Restored:
    """The book was put back to what it was at ``taken_at`` (both aware).

    Nobody signs in for it: the restoring command tells it, and a name that can never
    sign in stands beside it. The same restoring told twice is one.
    """
    row: Restored = restored_book(
        taken_at=taken_at,
        restored_at=restored_at,
        last=series_now(),
        on=min(at_home(restored_at).date(), today()),
        by=signs_only(CLERK),
        key=f"restored:{taken_at.isoformat()}:{restored_at.isoformat()}",
    )
    return row


@deed(
    "note a restore",
    gives=Restored,
    stays="The book stands as the backup left it: an owner says what happened since, "
    "on the page Restored from a backup.",
)
def restored_book(
    deed: Deed, *, taken_at: datetime, restored_at: datetime, last: dict[str, int]
) -> Restored:
    """``last`` is how far each series had come by ``taken_at``."""
    return Restored.objects.create(
        deed=deed, taken_at=taken_at, restored_at=restored_at, last=last
    )


@deed("say what happened since a backup", gives=SinceBackup)
def say_what_happened(
    deed: Deed,
    *,
    restored: Restored,
    codes: Sequence[str] = (),
    since: Sequence[Since] = (),
    confirmed: bool = False,
) -> SinceBackup:
    """Answer for the time between a backup and its restoring, as an owner.

    ``codes`` were read off bottles, labels, sheets and papers; each series goes on
    past the highest of them. What ``since`` does not name was neither found alkaline
    nor held. A failed check and a hold are deeds of their own. Answers every restore
    that waits, up to ``restored``.
    """
    owner_only(deed.by, "say what happened since the backup")
    waits = waiting_restore()
    if waits is None or waits.restored.pk < restored.pk:
        raise Refused(
            "This was answered already. If more is found, hold the lot or note the "
            "check on its page; for a code, take the answer back and say it anew."
        )
    read = _read(codes, confirmed)
    before = series_now()
    _go_on_past(read)
    texts = list(dict.fromkeys(one.text for one in read))
    gone = [one.of.pk for one in since if one.what == GONE and isinstance(one.of, Lot)]
    for row in Restored.objects.unanswered().filter(pk__lte=restored.pk):
        answer = SinceBackup.objects.create(
            deed=deed,
            restored=row,
            codes="\n".join(texts),
            last=before | series_now(),
            to_count=gone,
        )
    for number, one in enumerate(since, start=1):
        _enter(deed, one, f"{deed.key}:{number}"[-100:], waits.day)
    return answer


def _read(codes: Iterable[str], confirmed: bool) -> list[Issued]:
    codes = [code for code in codes if code.strip()]
    if (bad := unread(codes)) and not confirmed:
        one = len(bad) == 1
        raise Doubted(
            f"{', '.join(bad)} {'looks' if one else 'look'} like "
            f"{'a code' if one else 'codes'} of this book, and the last character does "
            "not fit. Read it again; or tick that it stands there as it is written."
        )
    read = [
        Issued(" ".join(code.split())) if code in bad else read_issued(code)
        for code in codes
    ]
    now = series_now()
    far = [
        one.text
        for one in read
        if one.series and one.serial > now.get(one.series, 0) + FAR
    ]
    if far and not confirmed:
        raise Doubted(
            f"{', '.join(far)} would be more than {FAR} codes further on than the book "
            "has come. Read it again; or tick that it stands there as it is written."
        )
    return read


def _go_on_past(read: Iterable[Issued]) -> None:
    """Each series goes on from the highest that was read; none ever goes back."""
    highest: dict[str, int] = {}
    for one in read:
        if one.series:
            highest[one.series] = max(one.serial, highest.get(one.series, 0))
    for name, serial in highest.items():
        CodeSeries.objects.get_or_create(name=name)
        rows = CodeSeries.objects.filter(name=name, last__lt=serial)
        rows.update(last=serial)


def _enter(deed: Deed, one: Since, key: str, backup: date) -> None:
    """By the very deeds that a maker has for it, so that they go where those go."""
    words = one.words.strip()
    if one.on < backup:
        raise Refused(
            f"{one.of}: {one.on} is before the backup of {backup}, and what was "
            "written by then is in the book. Write the day since then."
        )
    by = {"by": deed.by, "key": key}
    if one.what == FAILED:
        reading = Reading(NEUTRALITY, passed=False, note=words)
        of = {"lot": one.of} if isinstance(one.of, Lot) else {"batch": one.of}
        note_measurement(readings=[reading], on=one.on, **of, **by)
    elif one.what == HELD:
        if not words:
            raise Refused(f"Write why {one.of} was held.")
        # Of today: what was done with it since, by the book as restored, stands.
        why = f"{words} (held on {one.on}, before the book was restored)"
        if isinstance(one.of, Lot):
            hold_lot(lot=one.of, on=deed.on, reason=why, **by)
        else:
            record_hold(batch=one.of, on=deed.on, reason=why, **by)
    elif one.what != GONE:
        raise Refused(f"{one.of}: say what happened to it.")
