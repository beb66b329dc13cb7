"""After a restore: what the book has lost is asked for, and said by an owner."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from production.fitness.reads.restored import waiting_restore
from production.quantities.domain.codes import LOT, Issued, read_entry
from production.quantities.domain.refusal import Doubted, Refused
from production.record.actions.deeds import deed
from production.record.actions.people import owner_only, signs_only
from production.record.models.ink import Deed
from production.record.models.workshop import CodeSeries
from production.record.reads.clock import at_home, today
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, record_hold
from production.restoring.reads import series_now
from production.stock.actions.opening_lots import Reading
from production.stock.domain.checks import NEUTRALITY
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.stock.models.restored import Restored, SinceBackup

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
    moves_nothing=True,
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


@deed("say what happened since a backup", moves_nothing=True, gives=SinceBackup)
def say_what_happened(
    deed: Deed,
    *,
    restored: Restored,
    codes: Sequence[str] = (),
    since: Sequence[Since] = (),
    confirmed: bool = False,
    past: bool = False,
) -> SinceBackup:
    """Answer for the time between a backup and its restoring, as an owner.

    ``codes`` were read off bottles, labels, sheets and papers; each series goes on
    past the highest of them. What ``since`` does not name was neither found alkaline
    nor held. A failed check and a hold are deeds of their own. Answers every restore
    that waits, up to ``restored``; where none waits, codes that were found later are
    added. ``past`` is taken over from an earlier book and answers its own row only.
    """
    owner_only(deed.by, "say what happened since the backup")
    waits = waiting_restore()
    if past or (waits is None and codes and not since):
        answered = [restored]
    elif waits is None or waits.restored.pk < restored.pk:
        raise Refused(
            "This was answered already. If more is found, hold the lot or note the "
            "check on its page; a code that was found later is added on the page "
            "Restored from a backup."
        )
    else:
        answered = list(Restored.objects.unanswered().filter(pk__lte=restored.pk))
    backups = [at_home(row.taken_at).date() for row in answered]
    if deed.on < (last := max(backups)) and not past:
        raise Refused(
            f"The backup is of {last}: what happened since then was not known "
            f"before. Choose {last}, or the day on which you say it."
        )
    read = _as_written(codes) if past else _read(codes, confirmed)
    _go_on_past(read)
    series = series_now()
    texts = list(dict.fromkeys(one.text for one in read))
    gone = [one.of.pk for one in since if one.what == GONE and isinstance(one.of, Lot)]
    for row in answered:
        answer = SinceBackup.objects.create(
            deed=deed,
            restored=row,
            codes="\n".join(texts),
            last=series,
            to_count=gone,
        )
    for number, one in enumerate(since, start=1):
        _enter(deed, one, f"{deed.key}:{number}"[-100:], min(backups))
    return answer


def _read(codes: Iterable[str], confirmed: bool) -> list[Issued]:
    now = series_now()
    near = now.get(LOT, 0) + FAR
    entries = [code for code in codes if code.strip()]
    read = [one for text in entries for one in read_entry(text, near=near)]
    doubts = []
    if odd := [one.text for one in read if not one.series]:
        doubts.append(
            f"{', '.join(odd)}: this book gives out no such code, or the last "
            "character does not fit."
        )
    if far := [
        one for one in read if one.series and one.serial > now.get(one.series, 0) + FAR
    ]:
        doubts.append(
            f"{', '.join(one.text for one in far)} would be more than {FAR} codes "
            "further on than the book has come."
        )
    if doubts and not confirmed:
        raise Doubted(
            f"{' '.join(doubts)} Read it again; or tick that it stands there as it is "
            "written."
        )
    return read


def _as_written(codes: Iterable[str]) -> list[Issued]:
    """By an earlier book, which has asked: what does not read is just a mark."""
    found, near = [], series_now().get(LOT, 0) + FAR
    for code in codes:
        try:
            found += read_entry(code, near=near)
        except Refused:
            found.append(Issued(" ".join(code.split())))
    return found


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
