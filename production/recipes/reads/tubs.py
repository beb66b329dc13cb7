"""Which alkali tub is weighed from: the one named, or any while all are alike.

A tub is taken by itself only where every one at hand is of one purity, known alike;
what is weighed from it is always typed.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from decimal import Decimal

from production.quantities.domain.numbers import grams, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Lye
from production.stock.models.lots import Lot, Status
from production.stock.models.readings import Measurement
from production.stock.reads.readings import Known, best_of, read_of

WHAT = Measurement.What


@dataclass(frozen=True, slots=True)
class Tub:
    """One alkali lot, and what the book says of its strength."""

    lot: Lot
    lye: Lye


def lye_of(lot: Lot) -> Lye:
    """What the book says of one alkali lot; refused where it says no purity."""
    lye = lyes_known([lot]).get(lot.pk)
    if lye is None:
        raise Refused(
            f"The purity of {lot} is not in the book. Note it from the tub or its "
            "certificate first: none is assumed."
        )
    return lye


class WhichTub(Refused):
    """Tubs of one alkali differ: a person says which; (alkali, code, strength) each."""

    def __init__(self, alkali: str, tubs: Sequence[tuple[Lot, Lye | None]]) -> None:
        self.tubs = [(alkali, lot.code, strength(lye)) for lot, lye in tubs]
        told = ", ".join(f"{code} is {words}" for _, code, words in self.tubs)
        super().__init__(
            f"Say which {alkali} is weighed from, by the code on its tub: {told}. "
            "While they differ, nothing is taken by itself."
        )


def strength(lye: Lye | None) -> str:
    """As a sentence says it."""
    if lye is None:
        return "of a purity that is not in the book"
    floor = "at least " if lye.is_floor else ""
    return f"{floor}{plain(lye.purity * 100)} %"


def tubs_of(used: Iterable[str], chosen: Mapping[str, Lot]) -> dict[str, Tub]:
    """The tub of each alkali used: the one chosen, else one of those that are alike.

    Left out where none at hand has a purity in the book; WhichTub where they differ.
    """
    used = set(used)
    found = {kind: Tub(lot, lye_of(lot)) for kind, lot in chosen.items()}
    found = {kind: tub for kind, tub in found.items() if kind in used}
    for alkali, tubs in _at_hand(used - set(found)).items():
        if not _alike(tubs):
            raise WhichTub(alkali, tubs)
        lot, lye = tubs[-1]
        if lye is not None:
            found[alkali] = Tub(lot, lye)
    return found


def lyes_for(used: Iterable[str], chosen: Mapping[str, Lot]) -> dict[str, Lye]:
    """The same for who weighs nothing: the lye alone."""
    return {kind: tub.lye for kind, tub in tubs_of(used, chosen).items()}


def tubs_to_weigh(
    used: Iterable[str], typed: Mapping[str, Lot | None], *, by_itself: bool
) -> dict[str, Tub]:
    """The tub of every alkali used, each typed in the box of its alkali.

    ``by_itself``: where the box is empty, one of those that are alike is taken.
    """
    used, chosen = tuple(used), {kind: lot for kind, lot in typed.items() if lot}
    for alkali, lot in chosen.items():
        if lot.item.alkali != alkali:
            raise Refused(
                f"{lot} is {lot.item}, not {alkali}. Read the code on the tub again."
            )
        if alkali not in used:
            raise Refused(f"No {alkali} is used here: put {lot} back and leave it out.")
    found = tubs_of(used if by_itself else chosen, chosen)
    for alkali in used:
        if alkali not in found:
            none = ", and no tub in the book has one" if by_itself else ""
            raise Refused(
                f"Type the code of the {alkali} lot: its purity decides how much is "
                f"weighed{none}."
            )
    return found


def last_tubs(used: Iterable[str]) -> dict[str, Tub]:
    """For a price, never to weigh from: the tub at hand, else the last one there was.

    Those that have a purity in the book; the one last taken in.
    """
    used = set(used)
    at_hand = _at_hand(used)
    found = {}
    for alkali in used:
        lots = [lot for lot, lye in at_hand.get(alkali, ()) if lye is not None]
        if last := lots[-1:] or _last_gone(alkali):
            [lot] = last
            found[alkali] = Tub(lot, lye_of(lot))
    return found


def _last_gone(alkali: str) -> list[Lot]:
    known = Measurement.objects.filter(what=WHAT.PURITY, value__isnull=False)
    gone = Lot.objects.filter(item__alkali=alkali, pk__in=known.values("lot"))
    return list(gone.select_related("item__oil").order_by("-pk")[:1])


def _alike(tubs: Sequence[tuple[Lot, Lye | None]]) -> bool:
    return len({(lye.purity, lye.basis) if lye else None for _, lye in tubs}) == 1


def _at_hand(used: Set[str]) -> dict[str, list[tuple[Lot, Lye | None]]]:
    """Of each alkali the tubs with something left, in the order they came; two queries.

    Released ones; where none is, those that wait.
    """
    if not used:
        return {}
    lots = list(
        Lot.objects.filter(item__alkali__in=used)
        .to_go_on()
        .select_related("item__oil")
        .order_by("pk")
    )
    known = lyes_known(lots)
    found: dict[str, list[tuple[Lot, Lye | None]]] = {}
    for alkali in dict.fromkeys(lot.item.alkali for lot in lots):
        of_it = [lot for lot in lots if lot.item.alkali == alkali]
        free = [lot for lot in of_it if lot.status == Status.Word.RELEASED]
        found[alkali] = [(lot, known.get(lot.pk)) for lot in free or of_it]
    return found


def lyes_known(lots: Sequence[Lot]) -> dict[int, Lye]:
    """Purity and carbonate of alkali lots, by their keys; one query."""
    known: dict[int, dict[tuple[str, str], Decimal]] = defaultdict(dict)
    keys = [lot.pk for lot in lots]
    for row in read_of(lot__in=keys, what__in=(WHAT.PURITY, WHAT.CARBONATE)):
        known[row.lot_id][row.what, row.basis] = row.value
    lyes = {lot.pk: lye_from(known[lot.pk], lot.code) for lot in lots}
    return {pk: lye for pk, lye in lyes.items() if lye is not None}


def lye_from(known: Known, code: str) -> Lye | None:
    """An alkali as it was read; None without a purity. No carbonate is a floor."""
    purity, basis = best_of(known, WHAT.PURITY)
    if purity is None:
        return None
    carbonate, _ = best_of(known, WHAT.CARBONATE, Measurement.VALUES)
    return Lye(purity, carbonate or Decimal(0), basis, code)


def instead_of(code: str, amount: Decimal | None, lot: Lot) -> str:
    """The sentence for a tub that differs in strength from the planned one; else "".

    ``amount`` is the grams that were planned out of the tub of this code.
    """
    planned = Lot.objects.filter(code=code).select_related("item").first()
    if planned is None or planned.pk == lot.pk or not planned.item.is_alkali:
        return ""
    if planned.item.alkali != lot.item.alkali:
        return (
            f"The plan was for {planned}, {planned.item}; {lot} is {lot.item}. Put it "
            "back and read the code of the right tub."
        )
    lyes = lyes_known([planned, lot])
    one, other = lyes.get(planned.pk), lyes.get(lot.pk)
    if one and other and (one.purity, one.basis) == (other.purity, other.basis):
        return ""
    says = f"The plan was for {planned}, {strength(one)}; {lot} is {strength(other)}"
    if one is None or other is None:
        return f"{says}. Note it from the tub or its certificate, and plan again."
    if amount is None:
        return f"{says}: plan again with its code."
    instead = grams(amount * one.purity / other.purity)
    return f"{says}: weigh {plain(instead)} g instead of {plain(amount)} g."
