"""The one sentence under a lot's name: how it stands, and what comes next."""

from dataclasses import dataclass, replace
from datetime import timedelta
from urllib.parse import quote

from django.urls import reverse

from production.fitness.domain.reasons import Mends, Purpose, fit_for
from production.fitness.reads.rows import load
from production.recipes.models.formulas import Version
from production.record.reads.clock import today
from production.stock.models.batches import Stage
from production.stock.models.lots import Status
from production.workshop.models.items import Item

WORD = Status.Word
NEXT = {
    Stage.COOK: (Stage.DILUTION, "Dilute some of it"),
    Stage.DILUTION: (Stage.FINISHING, "Finish it"),
    Stage.FINISHING: (Stage.FILLING, "Fill bottles"),
}


@dataclass(frozen=True)
class State:
    """A sentence, and the next step as a link; no link where nothing is to be done.

    ``reasons`` are the fitness question's own, word for word as every door says them.
    ``rework`` is where it is mended, if that is another step than the next one;
    ``unproven``: a check of it, or of what is in it, is still to come;
    ``tested``: a check of it, or of what is in it, failed or holds no longer;
    ``stopped``: it may not be used or sold today.
    """

    says: str
    link: str = ""
    words: str = ""
    reasons: tuple = ()
    rework: str = ""
    tested: bool = False
    unproven: bool = False
    stopped: bool = False


def lot_state(lot):
    """``lot`` comes with ``on_hand`` and ``status``."""
    return state_in(load([lot]).family(today()), lot)


def state_in(family, lot):
    """The same of a family that is loaded already."""
    fit = fit_for(family, lot.code, purpose_of(lot))
    points = family.open_points(lot.code)
    tested = any(point.tested for point in points)
    stopped = not fit.fit
    return replace(
        _state(family, lot, fit),
        tested=tested,
        unproven=bool(points),
        stopped=stopped,
    )


def _state(family, lot, fit):
    if not lot.on_hand and lot.status != WORD.REJECTED:
        to = f"{reverse('trace')}?lot={quote(lot.code)}"
        return State("Used up.", to, "See where it went", _open_only(fit))
    if fit.fit:
        return _free(lot)
    first = fit.reasons[0]
    link, words = _mending(first, lot)
    if first.mends == Mends.RELEASE and lot.batch_id:
        return _waiting(family, lot, fit.reasons)
    says = "Waits for its release." if first.mends == Mends.RELEASE else first.says
    rework = rework_of(lot) if first.mends == Mends.FAILED else ""
    return State(says, link, words, fit.reasons[1:], rework)


def purpose_of(lot):
    """What a lot is there for: bottles are sold, the rest is used."""
    made = lot.item.kind == Item.Kind.MADE and lot.item.unit == Item.Unit.PIECE
    return Purpose.SALE if made else Purpose.USE


def _open_only(fit):
    """Of what is used up only what still binds what was made of it."""
    return tuple(r for r in fit.reasons if r.mends in {Mends.CHECK, Mends.FAILED})


def rework_of(lot):
    """Where a lot is reworked, with its code in the first row."""
    run = reverse("batch-run", args=[Stage.REWORK])
    return f"{run}?lot={quote(lot.code)}"


def _to(name, lot):
    return reverse(name, args=[lot.code])


def _mending(reason, lot):
    """Where a reason is put right, and what the link says."""
    check = f"{_to('lot-measure', lot)}?what=neutrality"
    return {
        Mends.ROLE: (lot.item.get_absolute_url(), "State its role"),
        Mends.CHECK: (check, "Note the check"),
        Mends.FAILED: (check, "Test it again"),
        Mends.REWORK: (rework_of(lot), "Rework it"),
        Mends.RELEASE: (_to("lot-release", lot), "Release it"),
        Mends.HOLD: (_to("lot-release", lot), "Release it"),
        Mends.DISCARD: (_to("lot-discard", lot), "Discard it"),
        Mends.TRIAL: (lot.batch and lot.batch.get_absolute_url(), "See the batch"),
        Mends.ACT: ("", ""),
        Mends.RESTORED: (reverse("restored"), "Say what happened since"),
    }[reason.mends]


def _waiting(family, lot, reasons):
    """Made here, in quarantine, and nothing open: its recipe's check, its rest."""
    if asks_for_its_own(family, lot):
        check = f"{_to('lot-measure', lot)}?what=neutrality"
        return State("Not tested yet.", check, "Note the check", reasons[1:])
    rests = _rests_until(family, lot)
    if rests and rests > family.on:
        return State(f"Rests until {rests}.", reasons=reasons[1:])
    release = _to("lot-release", lot)
    return State("Waits for its release.", release, "Release it", reasons[1:])


def _rests_until(family, lot):
    made, version = family.nodes[lot.code].made_on, lot.batch.version
    return made and made + timedelta(days=version.rest_days if version else 0)


def asks_for_its_own(family, lot):
    """Whether its recipe asks for a check of this very lot that has not passed."""
    version = lot.batch.version
    if version is None or version.release != Version.Release.CHECK:
        return False
    last = family.last_check(family.nodes[lot.code])
    return not version.lye_excess and (last is None or not last.passed)


def _free(lot):
    sold = purpose_of(lot) == Purpose.SALE
    says = "It may be sold." if sold else "It may be used."
    if lot.batch_id and lot.batch.stage in NEXT and not lot.batch.trial:
        stage, words = NEXT[lot.batch.stage]
        return State(says, reverse("batch-run", args=[stage]), words)
    if sold:
        return State(says, f"{reverse('sale-sell')}?lot={quote(lot.code)}", "Sell some")
    return State(says)
