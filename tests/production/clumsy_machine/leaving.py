"""What leaves, comes back, stands elsewhere, or is found to be more or less."""

from decimal import Decimal

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.counting.actions import count_lot
from production.lots.actions import lot_deeds as stock_deeds
from production.lots.actions.lot_deeds import move_lot, reweigh_lot
from production.models import SaleLine
from production.selling.actions import sales as sales_deeds
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, take_back
from tests.production.clumsy_machine import book
from tests.production.clumsy_machine.bench import DAYS, PICK, PLACES, SHARE
from tests.production.clumsy_machine.model import Sale

FOR_SALE = ("base", "bath oil", "gift set")
PLACE = st.sampled_from(PLACES)
WHO = st.sampled_from(("Ada", "Bo", "The Tin Lantern"))


class Leaving:
    @rule(n=PICK, share=SHARE, place=PLACE, who=WHO, days=DAYS)
    def sell(self, n, share, place, who, days):
        thing = self.pick(n, self.here(*FOR_SALE, place=place))
        if thing is not None:
            amount = self.part(thing, share, place)
            self.sell_it(thing, amount, place, who, days, self.serial("R"))

    def sell_it(self, thing, amount, place, who, days, number):
        act, came_back = self.when(days), self.came_back(thing)
        where = self.places[place]

        def effect(_):
            deed = self.model.act(says)
            sale = Sale(deed, number, who)
            self.model.sales.append(sale)
            self.entry(deed, thing, -amount, "sold", act["on"], place=place, sale=sale)
            return deed

        def facts(amount):
            line = NewSaleLine(
                book.lot(thing.code), Decimal(amount), Decimal("9.00"), where
            )
            return {
                "lines": [line],
                "customer": ensure_customer(who),
                "number": number,
                **act,
            }

        says = f"sells {amount} of {thing.code} from the {place} to {who}, {number}"
        again = [thing, amount, place, who]
        self.attempt(
            "sell",
            says,
            sales_deeds.sell,
            facts(amount),
            self.may_come_again(
                effect, lambda days: self.sell_it(*again, days, number)
            ),
            must=self.enough((thing, amount), place=place) and not came_back,
            other=lambda sent: {**sent, "lines": facts(amount + 1)["lines"]},
        )

    def came_back(self, thing):
        return any(entry.lot == thing.code for entry in self.model.each("returned"))

    @rule(n=PICK, destroyed=st.booleans(), days=DAYS)
    def come_back(self, n, destroyed, days):
        """A customer brings one back."""
        sold = self.pick(n, self.model.each("sold"))
        if sold is None or self.kept(sold) < 1:
            return
        act = self.when(days)
        then = "destroy" if destroyed else "restock"

        def effect(_):
            deed = self.model.act(says, sold.sale)
            facts = {"place": "workshop", "sale": sold.sale}
            self.entry(deed, sold.lot, 1, "returned", act["on"], **facts)
            if destroyed:
                self.entry(deed, sold.lot, -1, "discarded", act["on"], **facts)
            return deed

        says = f"1 of {sold.lot} comes back from {sold.sale.who}, to {then}"
        line = SaleLine.objects.filter(
            sale__number=sold.sale.number, lot__code=sold.lot
        ).last()
        self.attempt(
            "come back",
            says,
            take_back,
            {
                "line": line,
                "amount": Decimal(1),
                "then": then,
                "place": self.places["workshop"],
                **act,
            },
            effect,
            must=True,
        )

    def kept(self, sold):
        rows = self.model.each("returned")
        back = [e.now for e in rows if e.sale is sold.sale and e.lot == sold.lot]
        return -sold.now - sum(back)

    @rule(n=PICK, place=PLACE, who=WHO, days=DAYS)
    def give(self, n, place, who, days):
        thing = self.pick(n, self.here(*FOR_SALE, place=place))
        if thing is None:
            return
        act, says = self.when(days), f"gives 1 of {thing.code} to {who}"

        def effect(_):
            deed = self.model.act(says)
            self.entry(deed, thing, -1, "given", act["on"], place=place, who=who)
            return deed

        self.goods(
            "give",
            says,
            stock_deeds.give,
            thing,
            act,
            effect,
            place,
            amount=Decimal(1),
            why="gift",
            recipient=who,
        )

    @rule(n=PICK, share=SHARE, place=PLACE, days=DAYS)
    def discard(self, n, share, place, days):
        thing = self.pick(n, self.here(place=place))
        if thing is None:
            return
        amount, act = self.part(thing, 1, place), self.when(days)
        says = f"throws away {amount} of {thing.code}"

        def effect(_):
            deed = self.model.act(says)
            self.entry(deed, thing, -amount, "discarded", act["on"], place=place)
            return deed

        self.goods(
            "discard",
            says,
            stock_deeds.discard,
            thing,
            act,
            effect,
            place,
            amount=Decimal(amount),
        )

    @rule(n=PICK, share=SHARE, place=PLACE, days=DAYS)
    def carry(self, n, share, place, days):
        thing = self.pick(n, self.here(place=place))
        if thing is None:
            return
        [to] = set(PLACES) - {place}
        amount, act = self.part(thing, share, place), self.when(days)
        says = f"carries {amount} of {thing.code} from the {place} to the {to}"

        def effect(_):
            deed = self.model.act(says)
            self.entry(deed, thing, -amount, "moved", act["on"], place=place)
            self.entry(deed, thing, amount, "moved", act["on"], place=to)
            return deed

        self.goods(
            "carry",
            says,
            move_lot,
            thing,
            act,
            effect,
            place,
            amount=Decimal(amount),
            to=self.places[to],
        )

    def goods(self, rule, says, call, thing, act, effect, place, **facts):
        """A deed on some of one lot at one place."""
        facts |= {"lot": book.lot(thing.code), "place": self.places[place], **act}
        self.attempt(
            rule,
            says,
            call,
            facts,
            effect,
            must=not self.came_back(thing),
            other=lambda sent: {**sent, "amount": sent["amount"] + 1},
        )

    @rule(n=PICK, off=st.integers(-9, 5), place=PLACE, days=DAYS)
    @precondition(lambda self: self.model.here())
    def count(self, n, off, place, days):
        """Some are missing, or there are more than the book says."""
        self.found(count_lot, "counted", n, off, place, days)

    @rule(n=PICK, off=st.integers(-9, 5), days=DAYS)
    @precondition(lambda self: self.here("base", "glycerin"))
    def weigh_again(self, n, off, days):
        """It dried out, or took up damp."""
        names = ("base", "glycerin")
        self.found(reweigh_lot, "reweighed", n, off, "workshop", days, names)

    def found(self, call, kind, n, off, place, days, names=()):
        thing = self.pick(n, self.here(*names, place=place, least=20))
        if thing is None or not off:
            return
        act = self.when(days)
        rows = [e for e in self.model.course(thing.code) if e.place == place]
        booked = sum(e.now for e in rows if e.on <= act["on"])
        if booked + off <= 0:
            return

        def effect(_):
            deed = self.model.act(says)
            self.entry(deed, thing, off, kind, act["on"], place=place)
            return deed

        says = f"{kind} {thing.code} at the {place}: {booked + off} of {booked}"
        facts = {
            "lot": book.lot(thing.code),
            "found": Decimal(int(booked + off)),
            "place": self.places[place],
            **act,
        }
        self.attempt(
            kind,
            says,
            call,
            facts,
            effect,
            other=lambda sent: {**sent, "found": sent["found"] + 1},
        )
