"""What a maker means: the deeds that stand, and what follows from them.

Nothing of the book is read or imported here. A mistake that was mended is a deed that
does not stand; every figure is worked out from those that do, as if the others had
never been.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

WHOLE = Fraction(1)
BEGINS = ("received", "opening", "made")
NOWHERE = Fraction(0)


@dataclass(eq=False)
class Act:
    """One deed; it does not stand while a deed that took it back does."""

    number: int
    says: str
    lots: set[str] = field(default_factory=set)
    about: set[object] = field(default_factory=set)
    taken_back: list["Act"] = field(default_factory=list)

    @property
    def stands(self) -> bool:
        return not any(act.stands for act in self.taken_back)


@dataclass(eq=False)
class Entry:
    """Goods that came or went; ``fixes`` are what it was corrected to, by which act."""

    act: Act
    lot: str
    place: str
    amount: Fraction
    kind: str
    on: date
    order: int
    batch: str = ""
    sale: "Sale | None" = None
    line: "BillLine | None" = None
    value: Fraction | None = None
    who: str = ""
    fixes: list[tuple[Act, Fraction]] = field(default_factory=list)
    struck: list[Act] = field(default_factory=list)

    @property
    def stands(self) -> bool:
        return self.act.stands and not any(act.stands for act in self.struck)

    @property
    def now(self) -> Fraction:
        """Signed, as last corrected."""
        standing = [amount for act, amount in self.fixes if act.stands]
        return standing[-1] if standing else self.amount


@dataclass(eq=False)
class Thing:
    """A lot. ``grams`` is the contents of one piece."""

    code: str
    name: str
    pieces: bool = False
    packaging: bool = False
    grams: Fraction | None = None
    pot: str = ""


@dataclass(eq=False)
class BillLine:
    bill: "Bill"
    lot: str
    shipped: Fraction | None
    prices: list[tuple[Act, Fraction]] = field(default_factory=list)

    @property
    def price(self) -> Fraction | None:
        standing = [price for act, price in self.prices if act.stands]
        return standing[-1] if standing else None


@dataclass(eq=False)
class Bill:
    """An invoice: its lines, and the freight that came with it or later."""

    act: Act
    number: str
    supplier: str
    lines: list[BillLine] = field(default_factory=list)
    extras: list[tuple[Act, Fraction, str]] = field(default_factory=list)


@dataclass(eq=False)
class Pot:
    """A batch. ``loss`` and ``each`` are its recipe's; ``typed`` what she expected."""

    act: Act
    code: str
    stage: str
    loss: Fraction | None = None
    each: Fraction = WHOLE
    typed: Fraction | None = None
    lot: str = ""
    losses: list[tuple[Act, str, Fraction]] = field(default_factory=list)
    given_up: list[Act] = field(default_factory=list)


@dataclass(eq=False)
class Sale:
    act: Act
    number: str
    who: str


class Model:
    def __init__(self) -> None:
        self.acts: list[Act] = []
        self.entries: list[Entry] = []
        self.things: dict[str, Thing] = {}
        self.pots: dict[str, Pot] = {}
        self.bills: list[Bill] = []
        self.sales: list[Sale] = []

    # -- what is written

    def act(self, says: str, *about: object) -> Act:
        new = Act(len(self.acts), says, about=set(about))
        self.acts.append(new)
        return new

    def enter(self, act: Act, lot: str, amount: Fraction, kind: str, **facts) -> Entry:
        facts = {"place": "workshop", **facts}
        new = Entry(act, lot, facts.pop("place"), Fraction(amount), kind, **facts)
        act.lots.add(lot)
        act.about |= {one for one in (new.batch, new.sale) if one}
        self.entries.append(new)
        return new

    # -- what stands

    def course(self, lot: str = "") -> list[Entry]:
        """Standing entries as they happened: by day, then as they were first typed."""
        rows = [e for e in self.entries if e.stands and (not lot or e.lot == lot)]
        return sorted(rows, key=lambda entry: (entry.on, entry.order))

    def amounts(self) -> dict[tuple[str, str], Fraction]:
        """What stands of each lot at each place."""
        found: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        for entry in self.course():
            found[entry.lot, entry.place] += entry.now
        return {key: amount for key, amount in found.items() if amount}

    def left(self, lot: str, place: str = "workshop") -> Fraction:
        return self.amounts().get((lot, place), NOWHERE)

    def here(self) -> list[Thing]:
        """Things of which something is left, the newest first."""
        lots = {lot for lot, _ in self.amounts()}
        return [one for one in reversed(self.things.values()) if one.code in lots]

    def started(self, lot: str) -> Fraction:
        rows = [e for e in self.course(lot) if e.kind in BEGINS]
        return sum((entry.now for entry in rows), NOWHERE)

    def inside(self, pot: Pot) -> list[Entry]:
        rows = [e for e in self.course() if e.kind == "used"]
        return [entry for entry in rows if entry.batch == pot.code]

    def making(self, pot: Pot) -> Entry | None:
        rows = [e for e in self.course() if e.kind == "made"]
        return next((entry for entry in rows if entry.batch == pot.code), None)

    def is_open(self, pot: Pot) -> bool:
        gone = any(act.stands for act in pot.given_up)
        return pot.act.stands and not gone and self.making(pot) is None

    def open_pots(self) -> list[Pot]:
        return [pot for pot in self.pots.values() if self.is_open(pot)]

    # -- whether it can be so

    def unsound(self) -> str:
        """Why it cannot have happened like this, or nothing."""
        held: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        begun: set[str] = set()
        for entry in self.course():
            if entry.kind in BEGINS:
                begun.add(entry.lot)
            elif entry.lot not in begun:
                return f"{entry.lot} was {entry.kind} before it was there"
            held[entry.lot, entry.place] += entry.now
            if held[entry.lot, entry.place] < 0:
                return f"{entry.lot} at {entry.place} falls below nothing"
        for pot in self.pots.values():
            if not pot.act.stands and (self.inside(pot) or self.making(pot)):
                return f"{pot.code} is taken back, and something is inside"
            if self.making(pot) and not self.inside(pot):
                return f"{pot.code} made something of nothing"
        return ""

    def fits(self, pot: Pot) -> bool:
        """Whether what came out, with the named losses, is about what went in."""
        went, came = self.grams_in(pot), self.grams_out(pot)
        lost = sum(self.losses(pot).values(), NOWHERE)
        return came is None or went * Fraction(9, 10) <= came + lost <= went

    def grams_in(self, pot: Pot) -> Fraction:
        return sum((self.grams(e) or NOWHERE for e in self.inside(pot)), NOWHERE)

    def grams_out(self, pot: Pot) -> Fraction | None:
        made = self.making(pot)
        return None if made is None else self.grams(made)

    def grams(self, entry: Entry) -> Fraction | None:
        """Nothing of packaging; None of pieces whose contents nobody weighed."""
        thing = self.things[entry.lot]
        if thing.packaging:
            return NOWHERE
        if not thing.pieces:
            return abs(entry.now)
        return None if thing.grams is None else abs(entry.now) * thing.grams

    def resting_on(self, act: Act) -> list[Act]:
        """Later deeds that touched the same goods, batches or papers."""
        return [
            one
            for one in self.acts[act.number + 1 :]
            if one.stands
            and (one.lots & act.lots or one.about & act.about)
            and not self._only_mends(one, act)
        ]

    def _only_mends(self, one: Act, act: Act) -> bool:
        """A correction of its own entries goes with it."""
        own = [e for e in self.entries if any(by is one for by, _ in e.fixes)]
        return bool(own) and all(entry.act is act for entry in own)

    # -- what follows

    def edges(self) -> dict[tuple[str, str], Fraction]:
        """How much of which lot is in which lot."""
        found: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        for pot in self.pots.values():
            made = self.making(pot)
            for entry in self.inside(pot) if made else ():
                found[entry.lot, made.lot] -= entry.now
        return dict(found)

    def in_open_pots(self) -> dict[tuple[str, str], Fraction]:
        """How much of which lot is in which batch that has made nothing yet."""
        found: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        for pot in self.open_pots():
            for entry in self.inside(pot):
                found[entry.lot, pot.code] -= entry.now
        return dict(found)

    def ahead(self, lot: str) -> tuple[set[str], set[str]]:
        """The lots and the open batches that some of it is in, at any remove."""
        lots, waiting, pots = {lot}, [lot], set()
        while waiting:
            code = waiting.pop()
            for source, target in self.edges():
                if source == code and target not in lots:
                    lots.add(target)
                    waiting.append(target)
            pots |= {pot for source, pot in self.in_open_pots() if source == code}
        return lots - {lot}, pots

    def who_has(self) -> dict[tuple[str, str], Fraction]:
        """What each has of each lot; what came back is no longer theirs."""
        found: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        for entry in self.course():
            if entry.kind in ("sold", "given", "returned"):
                who = entry.sale.who if entry.sale else entry.who
                found[who, entry.lot] -= entry.now
        return {key: amount for key, amount in found.items() if amount}

    def losses(self, pot: Pot) -> dict[str, Fraction]:
        found: dict[str, Fraction] = defaultdict(Fraction)
        for act, kind, grams in pot.losses:
            if act.stands:
                found[kind] += grams
        return dict(found)

    def expected(self, pot: Pot) -> Fraction | None:
        """As she wrote it; else what went in, less what the recipe says is lost."""
        if pot.typed is not None or pot.loss is None:
            return pot.typed
        return self.grams_in(pot) * (1 - pot.loss) / pot.each

    def sale_numbers(self) -> list[str]:
        return sorted(sale.number for sale in self.sales if sale.act.stands)

    def bill_numbers(self) -> list[tuple[str, str]]:
        return sorted((b.supplier, b.number) for b in self.bills if b.act.stands)

    def each(self, *kinds: str) -> Iterator[Entry]:
        """Standing entries of some kinds, the latest first."""
        for entry in reversed(self.entries):
            if entry.stands and entry.kind in kinds:
                yield entry
