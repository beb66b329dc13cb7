"""Issued labels: what they said, what the same lot's label would say today."""

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Sum

from labels.domain.issued import Change, Words, canonical, differences
from labels.models import CauseApproved, IssuedLabel
from production.fitness.domain.reasons import Mends, Purpose, Reason
from production.fitness.reads import fitness
from production.fitness.reads.holds import causes_of
from production.models import Hold, Item, Lot, Movement, Stock
from production.record.reads.clock import today

KIND = Movement.Kind


def words_in(issued: IssuedLabel) -> Words:
    """What stands on an issued label, part by part."""
    found: Words = json.loads(issued.inputs)["words"]
    return found


def inputs_in(issued: IssuedLabel) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(issued.inputs)
    return found


def why_unfit(lot: Lot | None, words: str) -> tuple[str, ...]:
    """Why no clean label of this text goes onto this lot today, each a sentence.

    ``words`` is the digest of the text. A cause of a hold that an owner has answered
    with this very text, as one of its label or papers, is passed over.
    """
    if lot is None:
        return ()
    reasons = fitness(lot, Purpose.LABEL, today()).reasons
    if _answered_by(lot, reasons, words):
        reasons = tuple(one for one in reasons if one.mends != Mends.HOLD)
    return tuple(reason.says for reason in reasons)


def _answered_by(lot: Lot, reasons: Iterable[Reason], words: str) -> bool:
    """Whether every cause that holds it was answered by a text that stands."""
    if not any(one.mends == Mends.HOLD for one in reasons):
        return False
    causes = {cause.deed_id for cause in causes_of(lot)}
    answered = CauseApproved.objects.filter(approved__lot=lot, approved__words=words)
    told = set(answered.values_list("hold__deed", flat=True))
    return bool(causes) and causes <= told


def causes_to_answer(lot: Lot) -> list[Hold]:
    """What holds it, if nothing but holds keeps its label from being printed.

    One deed that holds several lots of a family is one cause.
    """
    reasons = fitness(lot, Purpose.LABEL, today()).reasons
    if not reasons or any(one.mends != Mends.HOLD for one in reasons):
        return []
    return list({cause.deed_id: cause for cause in causes_of(lot)}.values())


@dataclass(frozen=True, slots=True)
class Where:
    """How many pieces of a lot stand where, and how many were sold or given."""

    places: tuple[tuple[str, Decimal], ...]
    sold: Decimal

    @property
    def on_hand(self) -> Decimal:
        return sum((amount for _, amount in self.places), Decimal(0))


def whereabouts(lots: Sequence[Lot]) -> dict[int, Where]:
    """The same of several lots in two queries; what came back is sold no more."""
    pks = [lot.pk for lot in lots]
    places: dict[int, list[tuple[str, Decimal]]] = defaultdict(list)
    kept = Stock.objects.filter(lot__in=pks).exclude(amount=0).order_by("place__name")
    for lot, place, amount in kept.values_list("lot", "place__name", "amount"):
        places[lot].append((place, amount))
    gone = Movement.objects.standing().filter(
        lot__in=pks, kind__in=[KIND.SOLD, KIND.GIVEN, KIND.RETURNED]
    )
    sums = gone.order_by().values_list("lot").annotate(total=Sum("amount"))
    left = dict(sums)
    return {pk: Where(tuple(places[pk]), -left.get(pk, Decimal(0))) for pk in pks}


def changed_since(issued: IssuedLabel, now: Words) -> tuple[Change, ...]:
    """What reads otherwise on today's label of the same lot."""
    was = words_in(issued)
    return () if canonical(was) == canonical(now) else differences(was, now)


def latest_out(lots: Iterable[int] | None = None) -> list[IssuedLabel]:
    """Of each lot, rules and language the last label that nobody took back."""
    rows = IssuedLabel.objects.out().filter(lot__isnull=False)
    if lots is not None:
        rows = rows.filter(lot__in=lots)
    found: dict[tuple[int, str, str], IssuedLabel] = {}
    for row in rows.reconciled().select_related("lot__item").order_by("id"):
        found[(row.lot_id, row.rules, row.language)] = row
    return list(found.values())


def taken_back() -> list[IssuedLabel]:
    """Of each lot the last label that was taken back, unless another one went out
    since, or one of the same rules and language is out."""
    out, last = defaultdict(set), {}
    for row in latest_out():
        out[row.lot_id].add((row.pk, row.rules, row.language))
    gone = IssuedLabel.objects.filter(lot__isnull=False, withdrawn__isnull=False)
    gone = gone.reconciled().select_related("lot__item", "withdrawn__deed__by")
    for row in gone.order_by("id"):
        last[row.lot_id] = row
    return [
        row
        for row in last.values()
        if not any(
            pk > row.pk or (rules, language) == (row.rules, row.language)
            for pk, rules, language in out[row.lot_id]
        )
    ]


def issued_of(item: Item, lot: Lot | None) -> list[IssuedLabel]:
    """Every label issued of a lot, or with its batch number left to write in."""
    rows = IssuedLabel.objects.filter(item=item, lot=lot).reconciled()
    return list(rows.select_related("withdrawn", "deed__by"))
