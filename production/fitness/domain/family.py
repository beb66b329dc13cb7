"""A lot and all that is behind it: what is alkaline, what was tested, what stands open.

Moments are pairs (business date, number of the deed): which check is the later one.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property

from production.fitness.domain import words

ALKALI, ACID, SOAP, FAT, UNKNOWN = "alkali", "acid", "soap", "oil", ""
RELEASED = "released"

ALKALINE = frozenset({ALKALI, SOAP, UNKNOWN})

Moment = tuple[date, int]
NEVER: Moment = (date.min, 0)


@dataclass(frozen=True, slots=True)
class Pour:
    """One standing use; ``first`` is the deed that typed its line."""

    lot: str
    on: date
    first: int


@dataclass(frozen=True, slots=True)
class Shift:
    """A superfat by what was typed until a check, and by what is typed now.

    ``deed`` is the last one that changed it; ``band`` how far it may fall.
    """

    then: Decimal | None
    now: Decimal | None
    deed: int
    band: Decimal

    @property
    def voids(self) -> bool:
        """Where a figure is missing, nobody can say that the pass still holds."""
        if self.then is None or self.now is None:
            return True
        fall = self.then - self.now
        return fall > 0 and (self.now < 0 or fall > self.band)


@dataclass(frozen=True, slots=True)
class Check:
    """A verdict on a lot or its batch. ``passed`` None: a failed one, taken back.

    ``of_lot`` tells a check of the lot from one of its open batch; ``before``, that the
    sample was taken before something of the same day went in.
    """

    passed: bool | None
    on: date
    deed: int
    of_lot: bool = True
    before: bool = False
    shift: Shift | None = None

    @property
    def moment(self) -> Moment:
        return self.on, self.deed


@dataclass(frozen=True, slots=True)
class Stop:
    """A person's hold: its cause, its day, and the deed that wrote it."""

    cause: str
    on: date
    deed: int


@dataclass(frozen=True, slots=True)
class Node:
    """A lot, or a batch that has made none yet, with what its guards stand on.

    ``role`` is what it came in as: "" where nobody has said, and of what was made here.
    ``cooked``: a pot that is meant to make soap, whatever was typed of its alkali;
    ``soapy``: what is called soap, wherever the soap in it is not in the book.
    ``neutral`` is a latest pH inside the band of its recipe; ``trial`` is one that
    nobody has accepted.
    """

    code: str
    item: str = ""
    role: str = ""
    made: bool = False
    made_on: date | None = None
    pours: tuple[Pour, ...] = ()
    checks: tuple[Check, ...] = ()
    stops: tuple[Stop, ...] = ()
    cooked: bool = False
    soapy: bool = False
    declared: bool = False
    trial: bool = False
    neutral: bool = False
    status: str = RELEASED
    expires: date | None = None


@dataclass(frozen=True, slots=True)
class Point:
    """Something open: ``lot`` was never tested, was not passed, or passed too early."""

    lot: str
    moment: Moment
    says: str
    tested: bool = True
    by_deed: bool = False
    failed: bool = False

    def outlasts(self, check: Check) -> bool:
        """Whether a pass of what was made from it is older than this."""
        if not self.tested:
            return False
        if self.by_deed:
            return self.moment[1] > check.deed
        return self.moment > check.moment


def _without_fat(roles: frozenset[str]) -> bool:
    """An alkali that finds nothing to saponify: a lye, or one that met an acid."""
    return ALKALI in roles and not roles & {FAT, SOAP, UNKNOWN}


def _is_lye(roles: frozenset[str]) -> bool:
    return ALKALI in roles and not roles & {FAT, SOAP, ACID, UNKNOWN}


@dataclass
class Family:
    """Some lots with all that is behind them, as known on a day."""

    nodes: Mapping[str, Node]
    on: date
    # The moment of the backup that the book was restored from, while nobody has said
    # what was checked and held since then; "" where nothing is open.
    since: str = ""
    _roles: dict[str, frozenset[str]] = field(default_factory=dict)
    _open: dict[str, tuple[Point, ...]] = field(default_factory=dict)
    _stops: dict[str, tuple[tuple[str, Stop], ...]] = field(default_factory=dict)
    _waits: dict[tuple[str, Moment], bool] = field(default_factory=dict)

    @cached_property
    def order(self) -> list[str]:
        """Every code after all that went into it."""
        found: dict[str, None] = {}
        waiting = [(code, False) for code in self.nodes]
        while waiting:
            at, ready = waiting.pop()
            if at in found:
                continue
            if ready:
                found[at] = None
                continue
            waiting.append((at, True))
            waiting += [(pour.lot, False) for pour in self.nodes[at].pours]
        return list(found)

    def roles(self, code: str) -> frozenset[str]:
        """What came from outside and is in it, by role."""
        if not self._roles:
            for at in self.order:
                node = self.nodes[at]
                behind = frozenset[str]().union(
                    *(self._roles[pour.lot] for pour in node.pours)
                )
                # A pot without fat made no soap, whatever it is called.
                soap = node.cooked and not _without_fat(behind)
                soap = soap or (node.soapy and not behind & ALKALINE)
                own = {SOAP} if soap else set() if node.made else {node.role}
                self._roles[at] = behind | own
        return self._roles[code]

    def alkaline(self, code: str) -> bool:
        """An alkali took part, or may have: also what nobody has said what it is."""
        return bool(self.roles(code) & ALKALINE)

    def _hides_its_soap(self, node: Node) -> bool:
        """Called soap, and nothing that went in by the book makes it one."""
        return node.soapy and not any(self.alkaline(pour.lot) for pour in node.pours)

    def chemical(self, code: str) -> bool:
        """Alkali as such, dry or as a lye: nothing was saponified or neutralised."""
        return _is_lye(self.roles(code))

    def preparation(self, code: str) -> bool:
        """An alkali that met an acid, and no fat."""
        roles = self.roles(code)
        return {ALKALI, ACID} <= roles and not roles & {FAT, SOAP, UNKNOWN}

    def open_points(self, code: str) -> tuple[Point, ...]:
        """What still needs a passed check of this lot; none where it is cleared."""
        if not self._open:
            for at in self.order:
                self._open[at] = tuple(self._points(self.nodes[at]))
        return self._open[code]

    def _points(self, node: Node) -> Iterator[Point]:
        if not self.alkaline(node.code) or self.chemical(node.code):
            return
        if self.preparation(node.code):
            if not node.neutral:
                yield Point(node.code, NEVER, words.no_ph(node.code), tested=False)
            return
        behind = self._behind(node)
        last = self.last_check(node)
        if last is not None and last.passed and not self._void(node, last):
            yield from (point for point in behind if point.outlasts(last))
            return
        if last is not None:
            yield self._open_at(node, last)
        elif self._wants_its_own(node) or (
            not behind and any(map(self._waited_for, node.pours))
        ):
            yield Point(node.code, NEVER, self._untested(node), tested=False)
        yield from behind

    def _open_at(self, node: Node, last: Check) -> Point:
        """A last check that does not clear: taken back, not passed, or void."""
        if last.passed is None:
            return Point(node.code, last.moment, words.waits(node.code))
        if not last.passed:
            says = words.failed(node.code, last.on)
            return Point(node.code, last.moment, says, failed=True)
        void = self._void(node, last)
        assert void is not None
        return Point(node.code, *void, by_deed=True)

    def _behind(self, node: Node) -> list[Point]:
        """What is open in the soap that went in, each point once."""
        found: dict[Point, None] = {}
        for pour in node.pours:
            found |= dict.fromkeys(self._open[pour.lot])
        return list(found)

    def _wants_its_own(self, node: Node) -> bool:
        """Soap from outside, and soap that met an alkali here."""
        if not node.made:
            return node.role in {SOAP, UNKNOWN}
        if node.cooked or any(self._strong(pour) for pour in node.pours):
            return True
        return self._hides_its_soap(node)

    def _waited_for(self, pour: Pour) -> bool:
        """Taken to be mended while it stood open: no later pass is of it."""
        return self._waited(pour.lot, (pour.on, pour.first))

    def _waited(self, code: str, moment: Moment) -> bool:
        """Whether soap stood open at a moment: it was not tested, or had not passed."""
        key = code, moment
        if key not in self._waits:
            self._waits[key] = False  # no lot is behind itself
            self._waits[key] = self._waited_then(self.nodes[code], moment)
        return self._waits[key]

    def _waited_then(self, node: Node, moment: Moment) -> bool:
        if not self.alkaline(node.code) or self.chemical(node.code):
            return False
        if self.preparation(node.code):
            return not node.neutral
        before = [check for check in node.checks if check.moment <= moment]
        if before:
            return not max(before, key=lambda check: check.moment).passed
        if not node.made or node.cooked or self._hides_its_soap(node):
            return True
        return any(
            self._strong(pour) or self._waited(pour.lot, moment) for pour in node.pours
        )

    def _strong(self, pour: Pour) -> bool:
        return self.chemical(pour.lot) or self._nameless(pour)

    def _nameless(self, pour: Pour) -> bool:
        node = self.nodes[pour.lot]
        return not node.made and node.role == UNKNOWN

    def _untested(self, node: Node) -> str:
        """It may be enough to say what a material is, where nobody has."""
        strong = [pour for pour in node.pours if self._strong(pour)]
        if node.declared:
            return words.declared(node.code)
        if self._hides_its_soap(node):
            return words.no_soap(node.code)
        if strong and all(self._nameless(pour) for pour in strong):
            items = sorted({self.nodes[pour.lot].item for pour in strong})
            return words.may_hold(node.code, items)
        return words.untested(node.code)

    def last_check(self, node: Node) -> Check | None:
        """The check that decides, None where none speaks for it.

        One not passed counts whatever its date; a pass from its day on, and one of a
        lot from the day on which the lot was made.
        """
        speaks = [
            check
            for check in node.checks
            if not check.passed
            or (
                check.on <= self.on
                and not (check.of_lot and node.made_on and check.on < node.made_on)
            )
        ]
        return max(speaks, key=lambda check: check.moment, default=None)

    def _void(self, node: Node, check: Check) -> tuple[Moment, str] | None:
        """Why a pass does not speak for what is in the pot now, and since when."""
        same_day = [pour for pour in node.pours if pour.on == check.on]
        # A sample from before something went in: of that day, or of who knows what.
        early = (same_day or node.pours) if check.before else ()
        for pour in node.pours:
            late = check.on < pour.on or pour in early
            if not late and pour.first <= check.deed:
                continue
            if self._strong(pour) or self._open[pour.lot]:
                return (pour.on, pour.first), words.older(node.code, pour.lot, check.on)
        shift = check.shift
        if shift is not None and shift.voids:
            says = words.shifted(node.code, shift.then, shift.now)
            return (check.on, shift.deed), says
        return None

    def stops(self, code: str) -> tuple[tuple[str, Stop], ...]:
        """Holds of the lot itself, and of lots from which it was made after that."""
        if not self._stops:
            for at in self.order:
                node = self.nodes[at]
                own = (stop for stop in node.stops if stop.on <= self.on)
                found = {(at, stop): None for stop in own}
                for pour in node.pours:
                    for source, stop in self._stops[pour.lot]:
                        if pour.first > stop.deed:
                            found[source, stop] = None
                self._stops[at] = tuple(found)
        return self._stops[code]

    def stopped_since(self, code: str) -> tuple[tuple[str, Stop], ...]:
        """Holds, whatever their day, of what is in it, written after it was poured.

        They do not bind it by themselves: a person who held its source said whether
        it is held with it.
        """
        found: dict[tuple[str, Stop], None] = {}
        for pour in self.nodes[code].pours:
            for at in self._all_behind(pour.lot):
                for stop in self.nodes[at].stops:
                    if stop.deed > pour.first:
                        found[at, stop] = None
        return tuple(found)

    def trials(self, code: str) -> list[str]:
        """Trials in it that nobody has accepted, itself among them."""
        return sorted(at for at in self._all_behind(code) if self.nodes[at].trial)

    def _all_behind(self, code: str) -> set[str]:
        """A lot and all that went into it."""
        found, waiting = {code}, [code]
        while waiting:
            for pour in self.nodes[waiting.pop()].pours:
                if pour.lot not in found:
                    found.add(pour.lot)
                    waiting.append(pour.lot)
        return found
