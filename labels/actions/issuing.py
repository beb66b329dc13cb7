"""Labels go out: printed, printed again, counted, taken back; a text is approved."""

import hashlib
from collections.abc import Callable, Sequence
from decimal import Decimal

from django.utils.text import capfirst

from labels.domain.issued import Made, digest, left_of
from labels.models import (
    CauseApproved,
    IssuedLabel,
    LabelCount,
    LabelWithdrawn,
    Reprint,
    TextApproved,
)
from production.models import Hold, Item, Lot
from production.papers.domain.papers import PDF, Paper
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import owner_only, reason_asked
from production.record.models.ink import Deed
from production.stock.actions.opening_lots import label_printed
from production.tracing.reads.family import came_in

MOST = 100_000


@deed(
    "issue labels",
    gives=IssuedLabel,
    moves_nothing=True,
    stays="What was printed is out. Take its labels back on their page, with a reason.",
)
def issue_labels(
    deed: Deed,
    *,
    item: Item,
    made: Callable[[], Made],
    store: Callable[[Paper], None],
    printed: int,
    lot: Lot | None = None,
) -> IssuedLabel:
    """Keep the label as it is printed, and count it; refused for a draft.

    ``made`` draws it once nobody else writes, so that no hold comes in between;
    ``store`` keeps its bytes under their digest.
    """
    label = made()
    _refuse_draft(label, printed)
    paper = _paper(f"label-{lot or item.pk}.pdf", label.raw)
    # Bytes first: left alone they do no harm, a row without them would.
    store(paper)
    return _issued(deed, item, lot, label, paper, printed)


def _refuse_draft(label: Made, printed: int) -> None:
    _some(printed)
    if label.missing:
        raise Refused(
            f"This label is a draft and is not issued. {' '.join(label.missing)}"
        )


def _paper(name: str, raw: bytes) -> Paper:
    return Paper(name, PDF, hashlib.sha256(raw).hexdigest(), raw)


def _issued(
    deed: Deed, item: Item, lot: Lot | None, label: Made, paper: Paper, printed: int
) -> IssuedLabel:
    row = IssuedLabel(
        deed=deed,
        lot=lot,
        item=item,
        rules=label.rules,
        language=label.language,
        edition=label.edition,
        inputs=label.inputs,
        words=label.words,
        sha256=paper.sha256,
        size=paper.size,
        printed=printed,
    )
    row = written(row)
    if lot is not None:
        label_printed(lot, deed.on)
    return row


def _first_of(deed: Deed) -> IssuedLabel:
    return IssuedLabel.objects.filter(deed=deed).order_by("pk")[0]


@deed(
    "issue labels of several lots",
    finds=_first_of,
    moves_nothing=True,
    stays="What was printed is out. Take its labels back on their page, with a reason.",
)
def issue_together(
    deed: Deed,
    *,
    made: Callable[[], tuple[bytes, Sequence[tuple[Lot, int, Made]]]],
    store: Callable[[Paper], None],
) -> IssuedLabel:
    """One file with labels of several lots; each lot has its own row, counted alone."""
    raw, labels = made()
    for _, printed, label in labels:
        _refuse_draft(label, printed)
    paper = _paper("labels-of-lots.pdf", raw)
    store(paper)
    rows = [
        _issued(deed, lot.item, lot, label, paper, printed)
        for lot, printed, label in labels
    ]
    return rows[0]


def _some(printed: int) -> None:
    if not 1 <= printed <= MOST:
        raise Refused(f"Print 1 to {MOST} labels: write how many.")


@deed(
    "print labels again",
    gives=Reprint,
    moves_nothing=True,
    stays="What was printed is out. Count it as spoiled on the page of the label.",
)
def print_again(
    deed: Deed, *, issued: IssuedLabel, printed: int, stands: Callable[[], str]
) -> Reprint:
    """Count more labels from the kept file.

    ``stands`` says why it is not printed any more, "" where it may be.
    """
    _some(printed)
    _not_before(deed, issued)
    if why := stands():
        raise Refused(why)
    return written(Reprint(deed=deed, issued=issued, printed=printed))


@deed(
    "count the labels",
    gives=LabelCount,
    moves_nothing=True,
    stays="Count them once more on the page of the label: the last count holds.",
)
def count_labels(
    deed: Deed, *, issued: IssuedLabel, used: int, spoiled: int
) -> LabelCount:
    """Say how many were stuck on and how many spoiled, all in all until now."""
    now = _now(issued)
    _not_more_than_there_are(issued, used)
    if LabelWithdrawn.objects.filter(issued=issued).exists():
        _nothing_left(deed, now, used, spoiled)
    return _counted(deed, issued, used, spoiled)


def _not_more_than_there_are(issued: IssuedLabel, used: int) -> None:
    """A bottle carries one of them: what was torn off again is spoiled."""
    if issued.lot is None:
        return
    ever = came_in([issued.lot]).get(issued.lot.code, Decimal(0))
    if used > ever:
        raise Refused(
            f"There were never more than {plain(ever)} of {issued.lot}: {used} cannot "
            "be on them. What was torn off again is spoiled."
        )


def _nothing_left(deed: Deed, now: IssuedLabel, used: int, spoiled: int) -> None:
    """What was taken back was torn up: it turns up on a bottle or not at all."""
    if left_of(now.all_printed, used, spoiled) > 0:
        raise Refused(
            f"{capfirst(str(now))} was taken back, and what was left of it is spoiled: "
            f"all {now.all_printed} are either stuck on or spoiled, none is left."
        )
    if spoiled < now.spoiled:
        reason_asked(deed, f"counting fewer as spoiled than when {now} was taken back")


def _not_before(deed: Deed, issued: IssuedLabel) -> None:
    if deed.on < issued.deed.on:
        raise Refused(
            f"{capfirst(str(issued))} was issued on {issued.deed.on}: write that day "
            "or a later one."
        )


def _counted(deed: Deed, issued: IssuedLabel, used: int, spoiled: int) -> LabelCount:
    _not_before(deed, issued)
    printed = _now(issued).all_printed
    left = left_of(printed, used, spoiled)
    if used < 0 or spoiled < 0 or left < 0:
        raise Refused(
            f"{printed} were printed: {used} used and {spoiled} spoiled are "
            f"{used + spoiled}. Count them again; what was printed once more is first "
            "said under Print again."
        )
    return written(LabelCount(deed=deed, issued=issued, used=used, spoiled=spoiled))


def _now(issued: IssuedLabel) -> IssuedLabel:
    """The label with what was printed, used and spoiled until now."""
    return IssuedLabel.objects.reconciled().get(pk=issued.pk)


@deed(
    "take labels back",
    gives=LabelWithdrawn,
    moves_nothing=True,
    stays="Issue the label anew: what was taken back is never stuck on again.",
)
def withdraw_labels(deed: Deed, *, issued: IssuedLabel) -> LabelWithdrawn:
    """A label was issued by mistake: what is left of it is spoiled, and it stays."""
    reason_asked(deed, f"taking {issued} back")
    if LabelWithdrawn.objects.filter(issued=issued).exists():
        raise Refused(f"{capfirst(str(issued))} was taken back already.")
    now = _now(issued)
    _counted(deed, issued, now.used, now.all_printed - now.used)
    return written(LabelWithdrawn(deed=deed, issued=issued))


@deed("approve a label's text", gives=TextApproved, moves_nothing=True)
def approve_text(
    deed: Deed, *, lot: Lot, rules: str, text: str, causes: Sequence[Hold]
) -> TextApproved:
    """An owner lets a corrected text onto a lot that is held for its label or papers.

    ``text`` is canonical, as the lot's label says it now; ``causes`` are those that it
    answers. The lot stays held: only its label may be printed.
    """
    owner_only(deed.by, "approve the text of a lot that is held")
    reason_asked(deed, f"approving the label of {lot}")
    if not causes:
        raise Refused(f"Tick which cause of the hold of {lot} this text answers.")
    row = written(
        TextApproved(deed=deed, lot=lot, rules=rules, words=digest(text), text=text)
    )
    for cause in causes:
        written(CauseApproved(deed=deed, approved=row, hold=cause))
    return row
