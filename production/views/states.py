"""The one sentence under a lot's name: how it stands, and what comes next."""

from dataclasses import dataclass
from urllib.parse import quote

from django.urls import reverse

from production.actions.noting import earliest_release, latest_check
from production.forms.deed import today
from production.models import Item, Stage, Status, Version

WORD = Status.Word
NEXT = {
    Stage.COOK: ("batch-run", Stage.DILUTION, "Dilute some of it"),
    Stage.DILUTION: ("batch-run", Stage.FINISHING, "Finish it"),
    Stage.FINISHING: ("batch-run", Stage.FILLING, "Fill bottles"),
}


@dataclass(frozen=True)
class State:
    """A sentence, and the next step as a link; no link where nothing is to be done.

    ``rework`` is where it is mended, if that is another step than the next one.
    """

    says: str
    link: str = ""
    words: str = ""
    rework: str = ""


def lot_state(lot):
    """``lot`` comes with ``on_hand`` and ``status``."""
    if lot.status == WORD.REJECTED:
        return State("Rejected.", rework_of(lot), "Rework it")
    if lot.on_hand == 0:
        return State(
            "Used up.",
            f"{reverse('trace')}?lot={quote(lot.code)}",
            "See where it went",
        )
    if lot.status == WORD.HELD:
        return State("Nothing is taken from it.", _to("lot-release", lot), "Release it")
    if lot.status == WORD.QUARANTINE:
        return _waiting(lot)
    return _released(lot)


def rework_of(lot):
    """Where a lot is reworked, with its code in the first row."""
    run = reverse("batch-run", args=[Stage.REWORK])
    return f"{run}?lot={quote(lot.code)}"


def _to(name, lot):
    return reverse(name, args=[lot.code])


def _waiting(lot):
    if not lot.batch_id:
        return waiting(lot, checked=None, rests=None)
    latest, free_on = latest_check(lot), earliest_release(lot)
    return waiting(
        lot,
        checked=latest.passed if latest else None,
        rests=free_on if free_on > today() else None,
    )


def waiting(lot, *, checked, rests):
    """A lot in quarantine: what its latest neutrality check said, if any, and the day
    until which it rests, or None."""
    check = f"{_to('lot-measure', lot)}?what=neutrality"
    if lot.batch_id and needs_check(lot) and not checked:
        if checked is None:
            return State("Not tested yet.", check, "Note the check")
        return State(
            "The neutrality check was not passed.",
            check,
            "Test it again",
            rework_of(lot),
        )
    if rests:
        return State(f"Rests until {rests}.")
    return State("Waits for its release.", _to("lot-release", lot), "Release it")


def needs_check(lot):
    version = lot.batch.version
    asks = version is not None and version.release == Version.Release.CHECK
    return asks or lot.batch.stage in {Stage.COOK, Stage.REWORK}


def _released(lot):
    sold = lot.item.kind == Item.Kind.MADE and lot.item.unit == Item.Unit.PIECE
    says = "It may be sold." if sold else "It may be used."
    if lot.expires and lot.expires < today():
        return State(
            f"Expired on {lot.expires}.", _to("lot-discard", lot), "Discard it"
        )
    if lot.batch_id and lot.batch.trial and not hasattr(lot.batch, "promotion"):
        return State(
            "A trial: not to be sold.", lot.batch.get_absolute_url(), "See the batch"
        )
    if lot.batch_id and lot.batch.stage in NEXT:
        name, stage, words = NEXT[lot.batch.stage]
        return State(says, reverse(name, args=[stage]), words)
    if sold:
        return State(says, f"{reverse('sale-sell')}?lot={quote(lot.code)}", "Sell some")
    return State(says)
