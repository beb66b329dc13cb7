"""What a maker would say of a lot if she remembered everything: is it fit to leave?

A small model of meaning, kept beside the steps of the machine. It reads no table and
imports nothing of the house. It was written from the words of the rules:

- alkaline is what has an alkali, or soap from outside, inside at any remove;
- it needs a passed check of itself, or of what its alkali came through, typed after all
  the alkali and not dated before it; oil, water, acid, fragrance leave a pass standing;
- a last check that failed, was taken back or was voided binds all that was made from
  it, except what has a later pass of its own;
- a correction voids a pass when the superfat falls below zero or by more than the band;
- held is what has a cause standing, and what was made from a held lot since.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

ALKALI, OIL, ACID, SOAP, NAMELESS = "alkali", "oil", "acid", "soap", "nameless"
BURNS = {ALKALI, SOAP, NAMELESS}
BAND = Fraction(5, 1000)
FOREVER = 10**9


@dataclass(eq=False)
class Entry:
    """So many grams, on a day, as the book said from one turn to another."""

    grams: Fraction
    on: date
    since: int
    until: int = FOREVER

    def stands(self, turn: int) -> bool:
        return self.since <= turn < self.until


@dataclass(eq=False)
class Pour:
    """A use of a thing; ``first`` is the turn at which it was typed."""

    source: "Thing"
    first: int
    entries: list[Entry]

    def at(self, turn: int) -> Entry | None:
        return next((one for one in self.entries if one.stands(turn)), None)


@dataclass(eq=False)
class Check:
    passed: bool
    on: date
    turn: int
    of_lot: bool = True
    before: bool = False
    taken_back: bool = False

    @property
    def moment(self) -> tuple[date, int]:
        return self.on, self.turn


@dataclass(eq=False)
class Hold:
    on: date
    turn: int
    lifted: bool = False


@dataclass(eq=False)
class Thing:
    """A lot from outside, or a batch with the lot that it made or will make."""

    code: str
    role: str = ""
    stage: str = ""
    pieces: bool = False
    trial: bool = False
    accepted: date | None = None
    rejected: date | None = None
    pours: list[Pour] = field(default_factory=list)
    made: list[Entry] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    words: list[tuple[date, int, str]] = field(default_factory=list)
    values: list[tuple[date, int, Fraction]] = field(default_factory=list)
    left: Fraction = Fraction(0)
    murk: str = ""

    @property
    def outside(self) -> bool:
        return not self.stage

    def making(self, turn: int) -> Entry | None:
        return next((one for one in self.made if one.stands(turn)), None)

    def word(self, on: date) -> str:
        said = [word for word in self.words if word[0] <= on]
        return max(said, key=lambda word: word[:2])[2] if said else ""

    def value(self, turn: int) -> Fraction:
        """Its saponification value or purity: what was typed last, whatever its day."""
        known = [row for row in self.values if row[1] <= turn]
        return max(known, key=lambda row: row[1])[2]


@dataclass(frozen=True)
class Threat:
    """Why something is not fit, where, and since when."""

    where: Thing
    says: str
    turn: int
    moment: tuple[date, int] | None = None
    pour: Pour | None = None

    def older_than(self, check: Check) -> bool:
        if self.moment is not None:
            return check.moment > self.moment
        return check.turn > self.turn


@dataclass
class Model:
    turn: int = 0
    things: list[Thing] = field(default_factory=list)

    # -- what is inside

    def poured(self, thing: Thing) -> Iterator[tuple[Pour, Entry]]:
        for pour in thing.pours:
            if entry := pour.at(self.turn):
                yield pour, entry

    def behind(self, thing: Thing) -> list[Thing]:
        """The thing and all that is inside, each once."""
        found, waiting = {thing: None}, [thing]
        while waiting:
            for pour, _ in self.poured(waiting.pop()):
                if pour.source not in found:
                    found[pour.source] = None
                    waiting.append(pour.source)
        return list(found)

    def roles(self, thing: Thing) -> set[str]:
        return {one.role for one in self.behind(thing) if one.outside}

    def alkaline(self, thing: Thing) -> bool:
        return bool(self.roles(thing) & BURNS)

    def chemical(self, thing: Thing) -> bool:
        """Alkali as such: nothing in it was saponified or neutralised."""
        roles = self.roles(thing)
        return ALKALI in roles and not roles & {OIL, SOAP, ACID, NAMELESS}

    def preparation(self, thing: Thing) -> bool:
        roles = self.roles(thing)
        return {ALKALI, ACID} <= roles and not roles & {OIL, SOAP, NAMELESS}

    # -- checks

    def last_check(self, thing: Thing, on: date) -> Check | None:
        making = thing.making(self.turn)
        speaks = [
            check
            for check in thing.checks
            if not (check.passed and check.taken_back)
            and (not check.passed or self._speaks(check, on, making))
        ]
        return max(speaks, key=lambda check: check.moment, default=None)

    @staticmethod
    def _speaks(check: Check, on: date, making: Entry | None) -> bool:
        early = check.of_lot and making is not None and check.on < making.on
        return check.on <= on and not early

    def good_pass(self, thing: Thing, on: date) -> Check | None:
        last = self.last_check(thing, on)
        if last is None or not last.passed or self.voided(thing, last):
            return None
        return last

    def voided(self, thing: Thing, check: Check) -> int:
        """The turn of the correction that voided a pass, 0 where none did."""
        touched = self._touched(thing, check.turn)
        if not touched:
            return 0
        then, now = self.superfat(thing, check.turn), self.superfat(thing, self.turn)
        if then is None or now is None:
            return 0
        fall = then - now
        return touched if fall > 0 and (now < 0 or fall > BAND) else 0

    def unclear(self, thing: Thing, check: Check) -> bool:
        """Something behind a pass was corrected, and no superfat says how it stands."""
        if not self._touched(thing, check.turn):
            return False
        turns = (check.turn, self.turn)
        return any(self.superfat(thing, turn) is None for turn in turns)

    def _ever_behind(self, thing: Thing) -> list[Thing]:
        found, waiting = {thing: None}, [thing]
        while waiting:
            for pour in waiting.pop().pours:
                if pour.source not in found:
                    found[pour.source] = None
                    waiting.append(pour.source)
        return list(found)

    def _touched(self, thing: Thing, since: int) -> int:
        """The last turn after this one at which something behind it was corrected."""
        turns = [0]
        for one in self._ever_behind(thing):
            turns += [row[1] for row in one.values]
            for pour in one.pours:
                for entry in pour.entries:
                    turns.append(entry.until if entry.until < FOREVER else 0)
        last = max(turns)
        return last if last > since else 0

    def superfat(self, thing: Thing, turn: int) -> Fraction | None:
        """Of all that went in; None where soap of others or an acid is inside."""
        oil, alkali = Fraction(0), Fraction(0)
        for source, grams, _ in self._grams(thing, Fraction(1), turn):
            if source.role in {SOAP, ACID, NAMELESS}:
                return None
            if source.role == OIL:
                oil += grams * source.value(turn) / 1000
            elif source.role == ALKALI:
                alkali += grams * source.value(turn)
        return 1 - alkali / oil if oil else None

    def _grams(
        self, thing: Thing, share: Fraction, turn: int
    ) -> Iterator[tuple[Thing, Fraction, date]]:
        for pour in thing.pours:
            entry = pour.at(turn)
            if entry is None:
                continue
            source, grams = pour.source, entry.grams * share
            if source.outside:
                yield source, grams, entry.on
                continue
            making = source.making(turn)
            if making is not None and making.grams:
                yield from self._grams(source, grams / making.grams, turn)

    # -- why it is not fit

    def threats(self, thing: Thing, on: date) -> list[Threat]:
        """Everything inside that nobody has cleared on the way to this thing."""
        if not self.alkaline(thing) or self.chemical(thing):
            return []
        found = []
        for one in self.behind(thing):
            if not self.alkaline(one) or self.chemical(one):
                continue
            for threat in self._of(one, on):
                if self._reaches(threat, thing, on):
                    found.append(threat)
        return found

    def _of(self, one: Thing, on: date) -> Iterator[Threat]:
        if one.outside:
            if self.good_pass(one, on) is None:
                yield Threat(one, f"{one.code} is soap that nobody tested", 0)
        elif self.preparation(one):
            yield Threat(one, f"{one.code} is alkali with acid", 0)
            return
        for pour, entry in self.poured(one):
            if self.chemical(pour.source):
                says = f"{pour.source.code} went into {one.code} on {entry.on}"
                yield Threat(one, f"{says}, no check since", pour.first, pour=pour)
        last = self.last_check(one, on)
        if last is not None and not last.passed:
            what = "taken back" if last.taken_back else "failed"
            says = f"the check of {one.code} of {last.on} {what}"
            yield Threat(one, says, last.turn, moment=last.moment)
        elif last is not None and (turn := self.voided(one, last)):
            yield Threat(one, f"{one.code} was corrected after its pass", turn)

    def _reaches(self, threat: Threat, thing: Thing, on: date) -> bool:
        """Whether some way from there to here has no pass that speaks for it."""
        if threat.where is thing:
            own = self.good_pass(thing, on)
            return threat.pour is None or not self._covers(own, threat, threat.pour)
        check = self.good_pass(thing, on)
        for pour, _ in self.poured(thing):
            if self._covers(check, threat, pour):
                continue
            inside = threat.where in self.behind(pour.source)
            if inside and self._reaches(threat, pour.source, on):
                return True
        return False

    def _covers(self, check: Check | None, threat: Threat, pour: Pour) -> bool:
        """A pass of a thing speaks for what came into it by this pour."""
        if check is None or not threat.older_than(check):
            return False
        entry = pour.at(self.turn)
        late = entry.on > check.on or (check.before and entry.on == check.on)
        return pour.first <= check.turn and not late

    def held(self, thing: Thing, on: date, since: int = FOREVER) -> list[Hold]:
        """Causes that stand: its own, and of what it was made from while held."""
        found = [
            hold
            for hold in thing.holds
            if not hold.lifted and hold.on <= on and hold.turn < since
        ]
        for pour, _ in self.poured(thing):
            found += self.held(pour.source, on, min(since, pour.first))
        return found

    def trials(self, thing: Thing, on: date) -> list[Thing]:
        return [
            one
            for one in self.behind(thing)
            if one.trial and (one.accepted is None or one.accepted > on)
        ]

    def unfit(self, thing: Thing, purpose: str, on: date, act: bool = False) -> list:
        """Why it must not go; ``act`` is an owner's explicit act with a reason."""
        why = []
        if NAMELESS in self.roles(thing) and thing.outside:
            why.append(f"nobody has said what {thing.code} is")
        if purpose == "mend":
            return why
        why += [threat.says for threat in self.threats(thing, on)]
        if self.chemical(thing):
            if purpose in {"fill", "count"}:
                why.append(f"{thing.code} is an alkali as such")
            if purpose in {"sale", "gift", "move"} and not act:
                why.append(f"{thing.code} is an alkali, and no owner said why")
        if purpose == "count":
            return why
        if thing.rejected is not None and thing.rejected <= on:
            why.append(f"{thing.code} is rejected")
        why += [
            f"{thing.code} is held since {hold.on}" for hold in self.held(thing, on)
        ]
        if thing.word(on) == "quarantine":
            why.append(f"{thing.code} is in quarantine on {on}")
        if purpose in {"sale", "move", "fill"}:
            why += [f"{one.code} is a trial" for one in self.trials(thing, on)]
        return why

    def murky(self, thing: Thing, on: date) -> bool:
        """Whether the rules leave open what is right: no deed is called too strict."""
        for one in self.behind(thing):
            last = self.last_check(one, on)
            if one.murk or (last and last.passed and self.unclear(one, last)):
                return True
        return not thing.word(on)
