"""What comes into a random workshop."""

from decimal import Decimal

from production.buying.actions import purchases as deeds
from production.buying.actions.purchases import (
    NewExtra,
    NewLine,
    add_extra_cost,
    price_line,
    record_purchase,
)
from production.models import Item, Purchase, PurchaseLine
from production.stock.actions.opening_lots import NewLot
from tests.production.random_workshop.dice import rounded


class Buying:
    def buy(self, dice):
        lines = [self.line(dice) for _ in range(1 + dice.roll(3))]
        if dice.chance(4):
            lines.append(NewLine(None, price=Decimal(3), text="a calendar"))
        record_purchase(
            supplier=self.supplier,
            lines=lines,
            extra_costs=[extra(dice) for _ in range(dice.roll(3))],
            rate=Decimal("1.0837") if dice.chance(5) else Decimal(1),
            place=self.place(dice),
            **self.when(dice),
        )

    def line(self, dice):
        item = dice.one(Item.objects.exclude(kind="made").filter(on_tap=False))
        lots = []
        for _ in range(1 if dice.roll(3) else 2):
            amount = rounded(item, 500 + dice.roll(5000) + dice.cents(100))
            papers = {}
            if item.category == "fragrance" and dice.chance(2):
                papers = {"Linalool": Decimal(1 + dice.roll(60)) / 100}
            lots.append(
                NewLot(amount, supplier_lot=f"S{dice.roll(9)}", constituents=papers)
            )
        known = not dice.chance(4)
        return NewLine(
            item,
            lots,
            price=dice.cents(9000) if known else None,
            tax=dice.cents(100) if known else Decimal(0),
            recoverable_tax=dice.cents(100) if known else Decimal(0),
            shipping_weight=None if dice.chance(3) else Decimal(dice.roll(5000)),
        )

    def price_later(self, dice):
        line = dice.one(PurchaseLine.objects.order_by("pk"))
        tax = dice.cents(100)
        price_line(line=line, price=dice.cents(9000), tax=tax, **self.when(dice))

    def late_extra(self, dice):
        new = extra(dice)
        add_extra_cost(
            purchase=dice.one(Purchase.objects.order_by("pk")),
            kind=new.kind,
            amount=new.amount,
            by_basis=new.by,
            **self.when(dice),
        )

    def open_stock(self, dice):
        item = dice.one(Item.objects.filter(on_tap=False))
        new = NewLot(
            rounded(item, 500 + dice.roll(5000)),
            net_mass=Decimal(250) if item.unit == "piece" and dice.roll(2) else None,
        )
        value = None if dice.chance(4) else dice.cents(9000)
        deeds.open_stock(
            item=item, lot=new, value=value, place=self.place(dice), **self.when(dice)
        )


def extra(dice):
    kind = dice.one(("freight", "duty", "surcharge", "credit"))
    amount = dice.cents(900) + Decimal("0.01")
    by = dice.one(("value", "weight", "quantity"))
    return NewExtra(kind, -amount if kind == "credit" else amount, by)
