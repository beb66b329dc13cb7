"""What comes in late, what leaves, and what is mended in the book."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.buying.actions import purchases as buying_deeds
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.lots.actions import lot_deeds as stock_deeds
from production.lots.actions.lot_deeds import move_lot
from production.models import Deed, Movement
from production.selling.actions import sales as sales_deeds
from production.selling.actions.sales import NewSaleLine
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.production.caustic_machine.bench import ACTORS, DAYS, PICK, YES_OR_NO
from tests.production.caustic_machine.model import Entry, Thing
from tests.production.history_cases import file_of

WHYS = st.sampled_from(
    ("gift", "tester", "own use", "sample", "laboratory", "retained")
)
PAPERS = st.sampled_from((None, None, True, False))


class Coming:
    @rule(days=st.sampled_from((0, 1, 1, 2)))
    def time_goes_on(self, days):
        self.today = self.when(days)["on"]

    @rule(role=st.sampled_from(("soap", "soap", "nameless", "alkali", "oil")))
    @precondition(lambda self: self.seldom("buy"))
    def buy(self, role):
        code = self.bring(role, 5000).code
        self.often["buy"] += 1
        self.told.append(f"{len(self.told) + 1}. bought {role} as {code}")

    @rule(paper=PAPERS, pieces=YES_OR_NO, days=DAYS, who=ACTORS)
    @precondition(lambda self: self.seldom("open stock"))
    def open_stock(self, paper, pieces, days, who):
        """Soap that was there before the book, with a word of its check or none."""
        act, code = self.when(days, who), self.next_code("S")
        name, unit = ("old bottle", "piece") if pieces else ("old soap", "g")
        item = make.item(name, kind="made", unit=unit)
        readings = () if paper is None else (make.check(paper),)
        amount = 20 if pieces else 3000
        new = NewLot(Decimal(amount), code=code, readings=readings)

        def effect(_):
            thing = Thing(code, role="soap", pieces=pieces, left=Fraction(amount))
            thing.words.append((act["on"], self.model.turn, "released"))
            self.model.things.append(thing)
            if paper is not None:
                self.remember_check(thing, paper, act["on"], True, False)

        self.attempt(
            "open stock",
            f"{code} ({name}) was there before, checked: {paper}",
            lambda: buying_deeds.open_stock(item=item, lot=new, **act),
            act,
            effect=effect,
        )

    @rule(paper=PAPERS, sold=YES_OR_NO)
    @precondition(lambda self: self.seldom("move in"))
    def move_in(self, paper, sold):
        """A small past from a file: filled goods, their check, and a sale after it."""
        code, on = self.next_code("H"), self.today.isoformat()
        events = [
            {"type": "opening", "date": on, "lot": code, "item": "old bottle"}
            | {"unit": "piece", "kind": "made", "amount": "20"}
        ]
        if paper is not None:
            events.append(
                {"type": "measurement", "date": on, "lot": code, "what": "neutrality"}
                | {"passed": paper, "value": None}
            )
        if sold:
            line = {"lot": code, "amount": "1", "unit_price": "9"}
            events.append(
                {"type": "sale", "date": on, "number": f"S-{code}", "lines": [line]}
                | {"channel": "stall", "customer": None}
            )
        text, act = file_of(events), self.when(0)

        def effect(_):
            self.past_failed |= paper is False and sold
            thing = Thing(code, role="soap", pieces=True, left=Fraction(20 - sold))
            thing.words.append((act["on"], self.model.turn, "released"))
            self.model.things.append(thing)
            if paper is not None:
                self.remember_check(thing, paper, act["on"], True, False)

        self.attempt(
            "move in",
            f"a file with {code}, checked: {paper}{', one sold' if sold else ''}",
            lambda: import_history(text=text),
            act,
            effect=effect,
        )


class Leaving:
    def goods(self, n):
        """Mostly soap; now and then the tub beside it."""
        made = [one for one in self.here() if one.role not in {"packaging", "water"}]
        soap = [one for one in made if self.soapy(one)]
        return self.pick(n, soap if soap and n % 7 else made)

    def leaves(self, rule, says, thing, purpose, call, act, own=False):
        def effect(_):
            thing.left -= 1
            self.can_undo(lambda: self.comes_back(thing))

        exits = [(thing, purpose, own)]
        self.attempt(rule, says, call, act, exits, effect, honest=thing.left >= 1)

    def comes_back(self, thing):
        thing.left += 1

    def owners_act(self, who, override):
        return who == "owner" and override

    @rule(n=PICK, days=DAYS, who=ACTORS, override=YES_OR_NO)
    def sell(self, n, days, who, override):
        thing, act = self.goods(n), self.when(days, who)
        own = self.owners_act(who, override)

        def call():
            line = NewSaleLine(self.lot(thing), Decimal(1), Decimal(9))
            sales_deeds.sell(lines=[line], channel="stall", override=override, **act)

        says = f"sell {thing.code}{', override' if override else ''}"
        self.leaves("sell", says, thing, "sale", call, act, own)

    @rule(n=PICK, why=WHYS, to=YES_OR_NO, days=DAYS, who=ACTORS, override=YES_OR_NO)
    def give(self, n, why, to, days, who, override):
        thing, act = self.goods(n), self.when(days, who)
        recipient = "Cy" if to else ""
        bench = why in {"laboratory", "retained"} or (why == "sample" and not to)

        def call():
            stock_deeds.give(
                lot=self.lot(thing),
                amount=Decimal(1),
                why=why,
                recipient=recipient,
                override=override,
                **act,
            )

        says = f"give {thing.code} as {why} to {recipient or 'nobody'}"
        purpose = "mend" if bench else "gift"
        own = self.owners_act(who, override)
        self.leaves("give", says, thing, purpose, call, act, own)

    @rule(n=PICK, days=DAYS, who=ACTORS)
    def carry_to_a_shop(self, n, days, who):
        thing, act = self.goods(n), self.when(days, who)

        def call():
            move_lot(lot=self.lot(thing), amount=Decimal(1), to=self.shop, **act)

        self.leaves(
            "carry to a shop",
            f"carry {thing.code} to the corner shop",
            thing,
            "move",
            call,
            act,
        )


class Mending:
    @rule(
        n=PICK,
        m=PICK,
        by=st.sampled_from(("0.5", "0.99", "1.002", "1.04", "1.5", "1")),
        days=DAYS,
        moved=st.one_of(st.none(), DAYS),
        who=ACTORS,
    )
    @precondition(lambda self: self.fed_things())
    def correct_what_went_in(self, n, m, by, days, moved, who):
        thing = self.pick(n, self.fed_things())
        pour, entry = self.pick(m, list(self.model.poured(thing)))
        act = self.when(days, who)
        to = None if moved is None else self.when(moved)["on"]
        grams = int(entry.grams * Fraction(by)) or 1
        movement = self.movement(thing, pour)

        def call():
            correct_movement(
                movement=movement, amount=Decimal(grams), moved_to=to, **act
            )

        def effect(_):
            entry.until = self.model.turn
            again = Entry(Fraction(grams), to or entry.on, self.model.turn)
            pour.entries.append(again)
            self.latest = max(self.latest, again.on)
            pour.source.left += entry.grams - again.grams

        says = f"{pour.source.code} in {thing.code} was {grams}, not {entry.grams}"
        says += f", on {to}" if to else ""
        self.attempt("correct", says, call, act, effect=effect)

    @rule(n=PICK, m=PICK, days=DAYS, who=ACTORS)
    @precondition(lambda self: self.fed_things())
    def take_back_what_went_in(self, n, m, days, who):
        thing = self.pick(n, self.fed_things())
        pour, entry = self.pick(m, list(self.model.poured(thing)))
        act, movement = self.when(days, who), self.movement(thing, pour)

        def effect(_):
            entry.until = self.model.turn
            pour.source.left += entry.grams

        self.attempt(
            "take back a use",
            f"{pour.source.code} never went into {thing.code}",
            lambda: reverse_movement(movement=movement, **act),
            act,
            effect=effect,
        )

    @rule(n=PICK, days=DAYS, who=ACTORS)
    def unmake(self, n, days, who):
        made = [one for one in self.model.things if one.making(self.model.turn)]
        thing = self.pick(n, made)
        if thing is None:
            return
        act = self.when(days, who)
        rows = Movement.objects.standing().filter(kind="made", lot__code=thing.code)
        movement = rows.get()
        self.attempt(
            "unmake",
            f"{thing.code} was not made yet",
            lambda: reverse_movement(movement=movement, **act),
            act,
            effect=lambda _: self.unmade(thing, all_of_it=False),
        )

    @rule(n=PICK, moved=DAYS, days=DAYS)
    def move_a_making(self, n, moved, days):
        made = [one for one in self.model.things if one.making(self.model.turn)]
        thing = self.pick(n, made)
        if thing is None:
            return
        act, to = self.when(days), self.when(moved)["on"]
        making = thing.making(self.model.turn)
        rows = Movement.objects.standing().filter(kind="made", lot__code=thing.code)
        movement = rows.get()

        def effect(_):
            making.until = self.model.turn
            self.latest = max(self.latest, to)
            thing.made.append(Entry(making.grams, to, self.model.turn))
            if to < making.on:
                thing.murk = "made earlier than said"

        self.attempt(
            "move a making",
            f"{thing.code} was made on {to}",
            lambda: correct_movement(
                movement=movement, amount=Decimal(int(making.grams)), moved_to=to, **act
            ),
            act,
            effect=effect,
        )

    @rule(n=PICK, days=DAYS, who=ACTORS)
    @precondition(lambda self: self.undoable)
    def undo(self, n, days, who):
        deed, back = self.undoable[-1 - n % len(self.undoable)]
        act = self.when(days, who)

        def effect(_):
            back()
            self.undoable.remove((deed, back))

        self.attempt(
            "undo",
            f"undo {deed.verb} of {deed.on}",
            lambda: undo_deed(undone=deed, **act),
            act,
            effect=effect,
        )

    def fed_things(self):
        return [one for one in self.model.things if any(self.model.poured(one))]

    def deed(self):
        return Deed.objects.latest("pk")

    def movement(self, thing, pour):
        batch, lot = self.batch(thing), self.lot(pour.source)
        rows = Movement.objects.standing().filter(kind="used", batch=batch, lot=lot)
        rows = list(rows.order_by("pk"))
        standing = [
            one
            for one in thing.pours
            if one.source is pour.source and one.at(self.model.turn)
        ]
        by_first = {row.rank or row.pk: row for row in rows}
        return by_first[sorted(by_first)[standing.index(pour)]]
