"""Which alkali tub is weighed from: the one named, or any while all are alike.

A tub is taken by itself only where every one at hand is of one purity, known alike;
what is weighed from it is always typed.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from decimal import Decimal

from production.domain.cooking import Lye
from production.domain.numbers import grams, plain
from production.domain.refusal import Refused
from production.models import Lot, Measurement, Status
from production.reads.restated import as_now, by_day

WHAT = Measurement.What
# Measured counts before stated; a floor only where nothing better is known.
BASES = ("measured", "stated", "minimum")


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


def lyes_for(used: Iterable[str], chosen: Mapping[str, Lot]) -> dict[str, Lye]:
    """The alkalis that are used: of the tub chosen, else of tubs that are all alike.

    Left out where no tub is in the book; WhichTub where they differ.
    """
    used = set(used)
    asked = {kind: lye_of(lot) for kind, lot in chosen.items() if kind in used}
    alike = _of_one_strength(used - set(asked))
    return asked | {alkali: lye for alkali, (_, lye) in alike.items()}


def tubs_at_hand(used: Iterable[str]) -> dict[str, Lot]:
    """The last tub of each alkali used, where every one at hand is alike.

    Raises WhichTub where they differ in purity or in how it is known.
    """
    return {alkali: lot for alkali, (lot, _) in _of_one_strength(set(used)).items()}


def _of_one_strength(used: Set[str]) -> dict[str, tuple[Lot, Lye]]:
    found = {}
    for alkali, tubs in _tubs().items() if used else ():
        if alkali in used and not _alike(tubs):
            raise WhichTub(alkali, tubs)
        lot, lye = tubs[-1]
        if alkali in used and lye is not None:
            found[alkali] = lot, lye
    return found


def _alike(tubs: Sequence[tuple[Lot, Lye | None]]) -> bool:
    return len({(lye.purity, lye.basis) if lye else None for _, lye in tubs}) == 1


def latest_tubs() -> dict[str, Lot]:
    """The tub last taken in that has a purity: for a price, never to weigh from."""
    return {
        alkali: known[-1]
        for alkali, tubs in _tubs().items()
        if (known := [lot for lot, lye in tubs if lye is not None])
    }


def _tubs() -> dict[str, list[tuple[Lot, Lye | None]]]:
    """Of each alkali the tubs with something left, in the order they came; two queries.

    Released ones; where none is, those that wait.
    """
    lots = list(
        Lot.objects.filter(item__alkali__in=["KOH", "NaOH"])
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
    values: dict[int, dict[tuple[str, str], Decimal]] = defaultdict(dict)
    rows = Measurement.objects.filter(
        lot__in=[lot.pk for lot in lots],
        what__in=(WHAT.PURITY, WHAT.CARBONATE),
        value__isnull=False,
    )
    for row in by_day(as_now(rows.order_by("id"))):
        values[row.lot_id][row.what, row.basis] = row.value
    found = {}
    for lot in lots:
        known = values[lot.pk]
        basis = next((b for b in BASES if (WHAT.PURITY, b) in known), "")
        if not basis:
            continue
        carbonates = (known.get((WHAT.CARBONATE, b)) for b in ("measured", "stated"))
        found[lot.pk] = Lye(
            purity=known[WHAT.PURITY, basis],
            carbonate=next((c for c in carbonates if c is not None), Decimal(0)),
            basis=basis,
            source=lot.code,
        )
    return found


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
