"""What comes in: purchases with late prices and bills, and opening stock."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    open_stock,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import ensure_supplier
from production.models import PurchaseLine
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.production.clumsy_machine.bench import DAYS, PICK, SHARE
from tests.production.clumsy_machine.model import Bill, BillLine, Thing

WEIGHED = {"glycerin": "additive", "lavender": "fragrance", "salt": "salt"}
COUNTED = ("bottle", "box")
SUPPLIERS = ("Northmere Oils", "Bo")
GOODS = st.lists(st.sampled_from((*WEIGHED, *COUNTED)), min_size=1, max_size=3)
CENTS = st.integers(100, 9000)
BASES = st.sampled_from(("weight", "value", "quantity"))


def cents(number):
    return Decimal(number) / 100


class Buying:
    def begin(self):
        """A shelf to start with: goods, a base, some bottles of it."""
        self.buy(["glycerin", "bottle", "box"], [900, 4000, 2500], None, 0, 0)
        self.buy(["lavender"], [3100], 1300, 1, 0, by="value")
        one, other, bottle = (self.model.things[code] for code in ("L1", "L4", "L2"))
        self.run_it("preparation", "base", [(one, 9000), (other, 6000)], 15000, 0)
        base = self.model.things["M1"]
        self.run_it("filling", "bath oil", [(base, 4800), (bottle, 20)], 20, 0)

    @rule(
        goods=GOODS,
        prices=st.lists(st.none() | CENTS, min_size=3, max_size=3),
        freight=st.none() | CENTS,
        supplier=PICK,
        by=BASES,
        weighed=st.booleans(),
        days=DAYS,
    )
    @precondition(lambda self: self.seldom("buy", 6))
    def a_purchase(self, goods, prices, freight, supplier, by, weighed, days):
        """Some prices come with the invoice; so does the freight, or later."""
        self.buy(goods, prices, freight, supplier, days, by=by, weighed=weighed)

    def buy(self, goods, prices, freight, supplier, days, *, by="", weighed=False):
        supplier = SUPPLIERS[supplier % len(SUPPLIERS)]
        number, lines = self.serial("IN"), []
        for name, price in zip(goods, prices, strict=False):
            pieces = name in COUNTED
            amount = 200 if pieces else 20000
            shipped = 4000 if pieces and weighed else None
            lines.append((self.serial("L"), name, amount, price, shipped))
        if by == "weight" and len(lines) == 1:
            # Alone on its bill it carries the whole, whatever it weighs.
            by = "value"
        self.enter_bill(supplier, number, lines, freight, by, days)

    def enter_bill(self, supplier, number, lines, freight, by, days):
        act = self.when(days)
        extras = [NewExtra("freight", cents(freight), by)] if freight else []
        facts = {
            "supplier": ensure_supplier(supplier),
            "number": number,
            "lines": [self.new_line(*line) for line in lines],
            "extra_costs": extras,
            **act,
        }

        def effect(_):
            deed = self.model.act(says, (supplier, number))
            bill = Bill(deed, number, supplier)
            self.model.bills.append(bill)
            if freight:
                bill.extras.append((deed, Fraction(freight, 100), by))
            for code, name, amount, price, shipped in lines:
                self.arrive(deed, bill, code, name, amount, price, shipped, act["on"])
            return deed

        says = f"buys {number} of {supplier}: " + ", ".join(
            f"{code} {name} {amount} for {price}c"
            for code, name, amount, price, _ in lines
        )
        says += f", freight {freight}c by {by}" if freight else ""
        again = [supplier, number, lines, freight, by]
        self.attempt(
            "buy",
            says,
            record_purchase,
            facts,
            self.may_come_again(effect, lambda days: self.enter_bill(*again, days)),
            must=True,
            other=lambda facts: {**facts, "lines": _more(facts["lines"])},
        )

    def new_line(self, code, name, amount, price, shipped):
        new = NewLot(Decimal(amount), code=code)
        return NewLine(
            self.card(name),
            [new],
            price=None if price is None else cents(price),
            shipping_weight=None if shipped is None else Decimal(shipped),
        )

    def card(self, name):
        if name in COUNTED:
            return make.item(name, kind="packaging", unit="piece")
        return make.item(name, category=WEIGHED[name])

    def arrive(self, deed, bill, code, name, amount, price, shipped, on):
        pieces = name in COUNTED
        self.model.things[code] = Thing(code, name, pieces, packaging=pieces)
        line = BillLine(bill, code, None if shipped is None else Fraction(shipped))
        if price is not None:
            line.prices.append((deed, Fraction(price, 100)))
        bill.lines.append(line)
        self.entry(deed, code, amount, "received", on, line=line)

    # -- what is said later

    def standing_bills(self):
        return [bill for bill in self.model.bills if bill.act.stands]

    @rule(n=PICK, m=PICK, price=CENTS, days=DAYS)
    @precondition(lambda self: self.seldom("price", 5))
    def a_price(self, n, m, price, days):
        """The invoice comes, or the first price was mistyped."""
        bill = self.pick(n, self.standing_bills())
        line = self.pick(m, bill.lines if bill else ())
        if line is None or not self.model.started(line.lot):
            return

        def effect(_):
            deed = self.model.act(says, line)
            line.prices.append((deed, Fraction(price, 100)))
            return deed

        says = f"prices {line.lot} at {price}c"
        row = PurchaseLine.objects.filter(lots__code=line.lot).last()
        self.attempt(
            "price",
            says,
            price_line,
            {"line": row, "price": cents(price), **self.when(days)},
            effect,
            must=True,
            other=lambda facts: {**facts, "price": facts["price"] + 1},
        )

    @rule(n=PICK, amount=CENTS, by=BASES, days=DAYS)
    @precondition(lambda self: self.seldom("freight late", 4))
    def freight_comes_late(self, n, amount, by, days):
        bill = self.pick(n, self.standing_bills())
        if bill is None or not any(map(self.model.started, self.codes(bill))):
            return
        if by == "weight" and not self.splits_by_weight(bill):
            by = "value"

        def effect(_):
            deed = self.model.act(says, bill)
            bill.extras.append((deed, Fraction(amount, 100), by))
            return deed

        says = f"freight of {amount}c on {bill.number}, by {by}"
        facts = {
            "purchase": self.paper(bill),
            "kind": "freight",
            "amount": cents(amount),
            "by_basis": by,
            **self.when(days),
        }
        self.attempt(
            "freight late",
            says,
            add_extra_cost,
            facts,
            effect,
            must=True,
            other=lambda facts: {**facts, "amount": facts["amount"] * 10},
        )

    def codes(self, bill):
        return [line.lot for line in bill.lines]

    def paper(self, bill):
        lots = PurchaseLine.objects.filter(lots__code=bill.lines[0].lot)
        return lots.last().purchase

    def splits_by_weight(self, bill):
        return len(bill.lines) > 1

    @rule(name=st.sampled_from(sorted(WEIGHED)), value=CENTS, known=SHARE, days=DAYS)
    @precondition(lambda self: self.seldom("open stock", 2))
    def opening_stock(self, name, value, known, days):
        code, act = self.serial("O"), self.when(days)
        worth = cents(value) if known != 7 else None

        def effect(_):
            deed = self.model.act(says)
            self.model.things[code] = Thing(code, name)
            worth = Fraction(value, 100) if known != 7 else None
            self.entry(deed, code, 3000, "opening", act["on"], value=worth)
            return deed

        says = f"takes in {code}, 3000 of {name} worth {worth}"
        lot = NewLot(Decimal(3000), code=code)
        self.attempt(
            "open stock",
            says,
            open_stock,
            {"item": self.card(name), "lot": lot, "value": worth, **act},
            effect,
            must=True,
            other=lambda facts: {
                **facts,
                "lot": replace(facts["lot"], amount=Decimal(300)),
            },
        )

    @rule(n=PICK, days=DAYS)
    @precondition(lambda self: self.gone)
    def entered_again(self, n, days):
        """A paper that was taken back comes again, with its number and its codes."""
        again = self.gone.pop(n % len(self.gone))
        again(days)

    def may_come_again(self, effect, again):
        """Remember how a deed is entered again once it was taken back."""

        def with_it(result):
            act = effect(result)
            act.again = again
            return act

        return with_it


def _more(lines):
    """The same lines with another amount of the first."""
    first = lines[0]
    lot = replace(first.lots[0], amount=first.lots[0].amount + 100)
    return [replace(first, lots=[lot]), *lines[1:]]
