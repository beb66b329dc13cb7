"""A long ledger of like families, written in bulk: for measuring, not for judging.

A family is one lot of oil and what became of it: a paste, diluted soaps, bottles. All
of them share one lot of water, as a workshop does, and every bottle was sold.
"""

from datetime import date, timedelta
from decimal import Decimal
from itertools import count

from django.contrib.auth import get_user_model
from django.db import connection

from costing.actions.keeping import remake_values
from production.models import (
    Batch,
    Customer,
    Deed,
    Item,
    LinePrice,
    Lot,
    Movement,
    Place,
    Purchase,
    PurchaseLine,
    Sale,
    SaleLine,
    Status,
    Supplier,
    Work,
)
from production.stock.actions.stock_rows import remake_stock

DAY = date(2026, 1, 5)
SOAPS = 5
LOTS = 2 + 2 * SOAPS  # oil, paste, and a soap and its bottles for each dilution
_key = count()


class Ledger:
    """Rows that are gathered first and written in as few statements as there are
    tables. ``on`` is the day of what comes next; ``sold_out`` leaves nothing over."""

    def __init__(self, on=DAY, sold_out=False):
        self.on, self.sold_out = on, sold_out
        self.by = get_user_model().objects.get_or_create(username="bench")[0]
        self.deeds = []
        self.deed = self._deed()
        self.place = Place.objects.get_or_create(name="workshop")[0]
        self.customer = Customer.objects.get_or_create(name="Ada")[0]
        self.items = {name: self._item(name) for name in ("oil", "water", "soap")}
        self.bottle = self._item("bottle", unit="piece", kind="made")
        self.supplier = Supplier.objects.get_or_create(name="Northmere Oils")[0]
        self.lots, self.movements, self.lines, self.sold = [], [], [], []
        self.batches, self.work, self.sales, self.purchases = [], [], [], []

    def _deed(self):
        key = f"bench:{next(_key)}"
        self.deeds.append(Deed(key=key, verb="bench", on=self.on, by=self.by))
        return self.deeds[-1]

    def _item(self, name, **facts):
        return Item.objects.get_or_create(name=name, defaults=facts)[0]

    def write(self, families, days=1):
        """Add so many families, one day after another, and say their oils' codes."""
        amount = families * (1500 + 1800 * SOAPS) if self.sold_out else 10**9
        water, first = self._bought("water", Decimal(amount)), self.on
        oils = []
        for number in range(families):
            self.on = first + timedelta(days=number % days)
            oils.append(self._family(water))
        for model, rows in (
            (Deed, self.deeds),
            (Purchase, self.purchases),
            (PurchaseLine, self.lines),
            (Batch, self.batches),
            (Lot, self.lots),
            (Sale, self.sales),
            (SaleLine, self.sold),
            (LinePrice, [self._price(line) for line in self.lines]),
            (Status, [self._released(lot) for lot in self.lots]),
            (Work, self.work),
            (Movement, self.movements),
        ):
            model.objects.bulk_create(rows, batch_size=500)
        remake_stock()
        remake_values("a benchmark")
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        return [oil.code for oil in oils]

    def _family(self, water):
        self.deed = self._deed()
        oil = self._bought("oil", Decimal(5000))
        paste = self._made("cook", "soap", Decimal(6000), [(oil, 5000), (water, 1500)])
        for _ in range(SOAPS):
            uses = [(paste, 1200), (water, 1800)]
            soap = self._made("dilution", "soap", Decimal(3000), uses)
            into, gone = (3000, 12) if self.sold_out else (2900, 9)
            filled = self._made("filling", "bottle", Decimal(12), [(soap, into)])
            self._sell(filled, Decimal(gone))
        return oil

    def _lot(self, item, **origin):
        code = f"B{next(_key)}"
        theirs = "" if "batch" in origin else f"S-{code}"
        lot = Lot(code=code, item=item, deed=self.deed, supplier_lot=theirs, **origin)
        self.lots.append(lot)
        return lot

    def _move(self, lot, kind, amount, **of):
        self.movements.append(
            Movement(
                deed=self.deed,
                lot=lot,
                place=self.place,
                kind=kind,
                amount=amount,
                on=self.on,
                **of,
            )
        )

    def _bought(self, name, amount):
        purchase = Purchase(
            deed=self.deed,
            number=f"P{next(_key)}",
            supplier=self.supplier,
            arrived=self.on,
        )
        self.purchases.append(purchase)
        line = PurchaseLine(
            deed=self.deed,
            purchase=purchase,
            position=1,
            item=self.items[name],
            amount=amount,
        )
        self.lines.append(line)
        lot = self._lot(self.items[name], line=line)
        self._move(lot, "received", amount)
        return lot

    def _made(self, stage, name, amount, uses):
        batch = Batch(
            code=f"N{next(_key)}", deed=self.deed, stage=stage, started=self.on
        )
        self.batches.append(batch)
        hours = {"kind": "labour", "hours": Decimal("0.5"), "rate": Decimal(18)}
        self.work.append(Work(deed=self.deed, batch=batch, on=self.on, **hours))
        for lot, used in uses:
            self._move(lot, "used", Decimal(-used), batch=batch)
        item = self.bottle if name == "bottle" else self.items[name]
        lot = self._lot(item, batch=batch)
        self._move(lot, "made", amount, batch=batch)
        return lot

    def _sell(self, lot, amount):
        number = f"S{next(_key)}"
        sale = Sale(deed=self.deed, number=number, on=self.on, customer=self.customer)
        self.sales.append(sale)
        line = SaleLine(
            deed=self.deed,
            sale=sale,
            position=1,
            lot=lot,
            amount=amount,
        )
        self.sold.append(line)
        self._move(lot, "sold", -amount, sale_line=line)

    def _price(self, line):
        return LinePrice(deed=line.deed, line=line, price=Decimal("21.50"))

    def _released(self, lot):
        return Status(deed=lot.deed, lot=lot, status="released", on=lot.deed.on)


def fill(families):
    """A ledger of so many families; the codes of their oils."""
    return Ledger().write(families)
