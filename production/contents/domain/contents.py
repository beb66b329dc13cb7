"""What is in a lot: followed from what went in, use by use, in the book's order.

As added is what was weighed in, water that boiled off included. As finished is what
the pot made of it: soap, glycerol, what is left of the fat, and the rest.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal, localcontext

from production.chemistry.domain.composition import (
    Composition,
    concentrate,
    evaporate,
    merge,
    of_acid,
    of_alkali,
    of_material,
    of_oil,
    of_water,
    superfat,
)
from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.late_acid import settle
from production.contents.domain.tracing import Edge, topological
from production.quantities.domain.numbers import MILLIGRAM
from production.quantities.domain.refusal import Refused
from production.stock.domain.balance import COOK

NOTHING = Composition({})


@dataclass(frozen=True, slots=True)
class Value:
    """A reading of a lot and the day from which it holds."""

    on: date
    what: str
    value: Decimal


@dataclass(frozen=True, slots=True)
class Supplied:
    """A lot that came from outside: what it is, and what was read on it."""

    role: str
    item: str
    alkali: str = ""
    acid: str = ""
    sv: Decimal | None = None
    oil_kind: str = "fat"
    values: tuple[Value, ...] = ()

    def reading(self, what: str, on: date) -> Decimal | None:
        """The value in force on that day; before the first one, the first."""
        found = [value for value in self.values if value.what == what]
        before = [value for value in found if value.on <= on]
        return before[-1].value if before else found[0].value if found else None


@dataclass(frozen=True, slots=True)
class Flow:
    """One movement of a lot after its start, signed, in book order."""

    kind: str
    amount: Decimal
    on: date
    batch: str = ""


@dataclass(frozen=True, slots=True)
class LotFacts:
    """A lot as the book has it; ``batch`` made it, or it was ``supplied``."""

    code: str
    started: Decimal
    flows: tuple[Flow, ...]
    supplied: Supplied | None = None
    batch: str = ""


@dataclass(frozen=True, slots=True)
class BatchFacts:
    """How a batch went: grams made (None where a piece has no net mass) and lost."""

    code: str
    stage: str
    made: Decimal | None
    steam: Decimal = Decimal(0)
    other_losses: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Contents:
    """What a lot holds. ``finished`` is None where ``missing`` says why.

    ``added`` is grams by source lot, ``strengths`` what a lot of alkali held of them as
    it was weighed in; ``superfat`` is worked back from what was used;
    ``short_of_water`` is how much more boiled off than there was water.
    """

    added: Mapping[str, Decimal]
    finished: Composition | None
    missing: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    superfat: Decimal | None = None
    short_of_water: Decimal | None = None
    strengths: Mapping[str, Composition] = field(default_factory=dict)


@dataclass(slots=True)
class _Pot:
    """What was poured into a batch so far."""

    added: dict[str, Decimal] = field(default_factory=dict)
    strengths: dict[str, Composition] = field(default_factory=dict)
    finished: Composition = field(default_factory=lambda: NOTHING)
    missing: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def contents(
    lots: Iterable[LotFacts], batches: Iterable[BatchFacts]
) -> dict[str, Contents]:
    """Work out every lot, each after all that went into it.

    Raises graphlib.CycleError where lots go in a circle.
    """
    known = {lot.code: lot for lot in lots}
    facts = {batch.code: batch for batch in batches}
    pots = {code: _Pot() for code in facts}
    makers = {lot.batch: lot.code for lot in known.values() if lot.batch}
    edges = [
        Edge(lot.code, makers[flow.batch], -flow.amount)
        for lot in known.values()
        for flow in lot.flows
        if flow.kind == "used" and flow.batch in makers
    ]
    order = topological(edges)
    order += [code for code in known if code not in set(order)]
    found: dict[str, Contents] = {}
    with localcontext(EXACT):
        for code in order:
            lot = known[code]
            if not lot.batch:
                found[code] = _bought(lot, pots)
            else:
                start = _boiled(pots[lot.batch], facts[lot.batch])
                found[code] = _followed(lot, start, pots)
    return found


def _bought(lot: LotFacts, pots: Mapping[str, _Pot]) -> Contents:
    """A bought lot pours what it is on the day it is used."""
    for flow in lot.flows:
        if flow.kind == "used" and flow.batch in pots:
            _pour(pots[flow.batch], _as_supplied(lot, -flow.amount, flow.on))
    latest = max((flow.on for flow in lot.flows), default=date.max)
    return _as_supplied(lot, lot.started, latest)


def _as_supplied(lot: LotFacts, grams: Decimal, on: date) -> Contents:
    supplied = lot.supplied
    if supplied is None or supplied.role == "packaging" or grams <= 0:
        return Contents({}, NOTHING)
    added = {lot.code: grams}
    try:
        held, notes = _material(lot.code, supplied, grams, on)
    except Refused as fault:
        return Contents(added, None, (str(fault),))
    strengths = {lot.code: held} if supplied.role == "alkali" else {}
    return Contents(added, held, (), notes, strengths=strengths)


def _material(
    code: str, supplied: Supplied, grams: Decimal, on: date
) -> tuple[Composition, tuple[str, ...]]:
    def read(what: str) -> Decimal | None:
        return supplied.reading(what, on)

    match supplied.role:
        case "oil":
            sv = read("saponification value")
            sv = supplied.sv if sv is None else sv
            if sv is None:
                raise Refused(
                    f"{code} ({supplied.item}) has no saponification value: type the "
                    "certificate's, or link the item to a published oil."
                )
            return (
                of_oil(
                    code,
                    grams,
                    sv,
                    read("acid value"),
                    read("unsaponifiable") or Decimal(0),
                    supplied.oil_kind,
                ),
                (),
            )
        case "alkali":
            purity, carbonate = read("purity"), read("carbonate")
            if purity is None:
                raise Refused(
                    f"The purity of {code} ({supplied.item}) is not in the book: type "
                    "what the tub or its certificate says. There is no usual value."
                )
            if not supplied.alkali:
                raise Refused(f"Say of {supplied.item} whether it is KOH or NaOH.")
            notes = (
                ()
                if carbonate is not None
                else (f"The carbonate of {code} is not stated; it is taken as none.",)
            )
            held = of_alkali(supplied.alkali, grams, purity, carbonate or Decimal(0))
            return held, notes
        case "acid":
            purity = read("purity")
            if purity is None or not supplied.acid:
                raise Refused(
                    f"Say which acid {code} ({supplied.item}) is, and its purity."
                )
            return of_acid(supplied.acid, grams, purity), ()
        case "water":
            return of_water(grams), ()
        case "":
            raise Refused(
                f"Say of {supplied.item} what it is (an oil, an alkali, water …): the "
                "book has only its name."
            )
    return of_material(code, grams), ()


def _pour(pot: _Pot, held: Contents) -> None:
    for code, amount in held.added.items():
        pot.added[code] = pot.added.get(code, Decimal(0)) + amount
    for code, alkali in held.strengths.items():
        pot.strengths[code] = merge(pot.strengths.get(code, NOTHING), alkali)
    pot.missing += [why for why in held.missing if why not in pot.missing]
    pot.notes += [note for note in held.notes if note not in pot.notes]
    if held.finished is not None:
        pot.finished = merge(pot.finished, held.finished)


def _boiled(pot: _Pot, batch: BatchFacts) -> Contents:
    """What came out: reacted, steam gone, every other loss taking all alike."""
    notes = tuple(pot.notes)
    start = Contents(
        pot.added, None, tuple(pot.missing), notes, strengths=pot.strengths
    )
    if pot.missing:
        return start
    short = None
    try:
        held = settle(pot.finished).composition
        short = max(_steam(held, batch) - held.of_kind("water"), Decimal(0))
        held = _less_steam(held, batch)
    except Refused as fault:
        why = (f"{batch.code}: {fault}",)
        return replace(start, missing=why, short_of_water=short)
    if batch.made is not None and held.total > 0:
        held = _times(held, batch.made / held.total)
    return replace(start, finished=held, superfat=superfat(held))


def _less_steam(held: Composition, batch: BatchFacts) -> Composition:
    steam = _steam(held, batch)
    return evaporate(held, steam) if steam >= MILLIGRAM else held


def _steam(held: Composition, batch: BatchFacts) -> Decimal:
    """What boiled off: as weighed, and in a cook what no name accounts for.

    Less than the book can write is a rest of the sum, and no steam.
    """
    steam = batch.steam
    if batch.stage == COOK and batch.made is not None:
        steam += max(
            Decimal(0), held.total - batch.made - batch.steam - batch.other_losses
        )
    return steam


def _followed(lot: LotFacts, start: Contents, pots: Mapping[str, _Pot]) -> Contents:
    """Walk a made lot: what goes and comes leaves its composition as it is; only
    weighing it again changes it."""
    held, amount = start, lot.started
    left = lot.started
    for flow in lot.flows:
        before, left = left, left + flow.amount
        if flow.kind == "reweighed":
            held, amount = _weighed_again(_share(held, before, amount), left), left
        elif flow.kind == "used" and flow.batch in pots:
            _pour(pots[flow.batch], _share(held, -flow.amount, amount))
    return start


def _share(held: Contents, part: Decimal, whole: Decimal) -> Contents:
    """So much of a lot; ``part`` may be the larger where goods came back."""
    factor = part / whole if whole else Decimal(0)
    finished = held.finished
    return Contents(
        {code: grams * factor for code, grams in held.added.items()},
        None if finished is None else _times(finished, factor),
        held.missing,
        held.notes,
        held.superfat,
        strengths={
            code: _times(alkali, factor) for code, alkali in held.strengths.items()
        },
    )


def _times(held: Composition, factor: Decimal) -> Composition:
    return Composition({substance: grams * factor for substance, grams in held.items()})


def _weighed_again(held: Contents, left: Decimal) -> Contents:
    """The same goods at their new weight: the difference is water.

    A lot whose contents weigh something else than the book (a piece without its net
    mass) cannot be weighed again, so grams and contents are one here.
    """
    if held.finished is None or held.finished.total <= 0:
        return held
    try:
        return replace(held, finished=concentrate(held.finished, left))
    except Refused as fault:
        return replace(held, finished=None, missing=(*held.missing, str(fault)))
