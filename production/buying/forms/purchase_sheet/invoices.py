"""The rows of a sheet gathered into invoices, or every fault by its cell."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from production.buying.actions.purchase_sheet import Arrival
from production.buying.actions.purchases import NewLine
from production.buying.domain.bills import rate_of_bill, rate_of_invoice
from production.buying.domain.purchase_sheet import WORDS
from production.buying.forms.purchase_sheet.lookup import SheetLookup, same
from production.buying.forms.purchase_sheet.rows import INVOICE, LINE, PurchaseRowForm
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.domain.odd_dates import odd_expiry, odd_papers
from production.record.reads.any_case import same_number
from production.record.reads.clock import today
from production.stock.actions.opening_lots import NewLot

NEEDED = {"on": "the day on which it arrived", "supplier": "who sent it"}


@dataclass(frozen=True, slots=True)
class ShownLine:
    invoice: str
    name: str
    lots: Sequence[NewLot] = ()
    amount: Decimal | None = None
    unit: str = ""
    price: Decimal | None = None
    currency: str = ""


class PurchaseSheet:
    """A whole sheet: ``faults`` by cell, or ``arrivals`` that are ready to be written.

    ``new_items`` and ``new_suppliers`` are added on the way.
    """

    def __init__(self, sheet):
        self.sheet, self.lookup, self.today = sheet, SheetLookup(sheet), today()
        self.faults, self.codes = list(sheet.faults), {}
        rows = [PurchaseRowForm(row, self.lookup) for row in sheet.rows]
        for row in rows:
            self._judge(row)
        invoices: dict[str, list[PurchaseRowForm]] = {}
        for row in rows:
            if number := row.cleaned_data.get("number"):
                invoices.setdefault(same_number(number), []).append(row)
        found = [
            self._arrival(rows[0].cleaned_data["number"], rows)
            for rows in invoices.values()
        ]
        self.arrivals = [arrival for arrival in found if arrival is not None]
        self.new_items = self.lookup.new_items
        self.new_suppliers = self.lookup.new_suppliers
        self.faults.sort(key=lambda fault: (fault.row, fault.column or 0))

    @cached_property
    def lines(self):
        """Every line and extra cost, as a person checks it before it is written."""
        return [shown for arrival in self.arrivals for shown in self._shown(arrival)]

    def _shown(self, arrival):
        for name, line in zip(arrival.items, arrival.lines, strict=True):
            yield ShownLine(
                invoice=arrival.number,
                name=name or line.text,
                lots=line.lots,
                amount=sum((lot.amount for lot in line.lots), Decimal(0)) or None,
                unit=self.lookup.cards[same(name)].unit if name else "",
                price=line.price,
                currency=arrival.currency,
            )
        for extra in arrival.extra_costs:
            name = f"{extra.kind}, shared by {extra.by}"
            yield ShownLine(
                arrival.number,
                name,
                price=extra.amount,
                currency=extra.currency or arrival.currency,
            )

    def _fault(self, row, field, says):
        self.faults.append(self.sheet.fault(row.row.number, field, says))

    def _judge(self, row):
        for field, texts in row.errors.items():
            for text in texts:
                self._fault(row, None if field == "__all__" else field, text)
        code = row.cleaned_data.get("code")
        if not code:
            return
        same_code = code.casefold()
        if same_code in self.lookup.codes:
            stands = self.lookup.codes[same_code]
            self._fault(row, "code", f"The code {stands} is taken. Choose another.")
        elif same_code in self.codes:
            says = f"The code {code} stands in row {self.codes[same_code]} already."
            self._fault(row, "code", says)
        self.codes.setdefault(same_code, row.row.number)

    def _arrival(self, number, rows):
        before = len(self.faults)
        facts = {name: self._agreed(name, rows) for name in sorted(INVOICE)}
        self._check_invoice(number, rows, facts["on"], facts["supplier"])
        self._check_rates(rows, facts)
        lines = [self._line(lots) for lots in self._lines(rows)]
        if not lines:
            self._fault(rows[0], None, f"Invoice {number} has no line to carry this.")
        if len(self.faults) > before or not all(row.fit for row in rows):
            return None
        items, new_lines = zip(*lines, strict=True)
        arrival = Arrival(
            number=number,
            supplier=facts["supplier"],
            on=facts["on"],
            items=items,
            lines=new_lines,
            extra_costs=[row.new_extra() for row in rows if row.sort == "extra"],
            facts={
                name: facts[name]
                for name in ("ordered", "invoiced", "currency", "rate", "place")
                if facts[name] is not None
            }
            | {"sure": True},
        )
        self._add_up(arrival, rows, facts["total"])
        return arrival

    def _agreed(self, name, rows):
        """What the rows of one invoice say about it, each for itself or none."""
        stated = [row for row in rows if row.cleaned_data.get(name) not in (None, "")]
        if not stated:
            if name in NEEDED and not any(name in row.row.words for row in rows):
                self._fault(rows[0], name, f"Write {NEEDED[name]}.")
            return None
        first = stated[0]
        for row in stated[1:]:
            if row.cleaned_data[name] != first.cleaned_data[name]:
                says = (
                    f"Row {first.row.number} of the same invoice says "
                    f"{first.row.words[name]}. Another invoice has its own number"
                    f"{', or stands in a sheet of its own' * (name == 'supplier')}."
                )
                self._fault(row, name, says)
        return first.cleaned_data[name]

    def _check_invoice(self, number, rows, on, supplier):
        if arrived := self.lookup.numbers.get(
            (same(supplier or ""), same_number(number))
        ):
            says = f"{number} is in the book already, arrived {arrived}."
            self._fault(rows[0], "number", says)
        if on is None:
            return
        row = next(row for row in rows if row.cleaned_data.get("on") == on)
        if on > self.today:
            says = f"{on} is still to come. The book holds what has happened."
            self._fault(row, "on", says)
        for row in rows:
            self._ask_dates(row, on)
        if self.lookup.closed and on <= self.lookup.closed:
            says = f"The book is closed through {self.lookup.closed}."
            self._fault(row, "on", f"{says} Date it in an open month.")

    def _ask_dates(self, row, on):
        """A date that cannot well be so is written with "yes" beside it."""
        facts = row.cleaned_data
        if facts.get("confirmed"):
            return
        papers = (facts.get("ordered"), facts.get("invoiced"))
        odd = [*odd_papers(on, self.today, *papers)]
        odd.append(("expires", odd_expiry(facts.get("expires"), on)))
        for name, says in odd:
            if says:
                mend = f"Is the year right? Or write yes under {WORDS['confirmed']}."
                self._fault(row, name, f"{says} {mend}")

    def _check_rates(self, rows, facts):
        """What another currency is worth stands beside it, of the invoice and apart."""
        invoice, own = facts["currency"] or "", self.lookup.currency
        try:
            rate_of_invoice(invoice, facts["rate"], own)
        except Refused as fault:
            self._fault(rows[0], "rate", str(fault))
        for row in rows:
            if row.sort != "extra" or not row.fit:
                continue
            extra = row.new_extra()
            what = extra.kind.capitalize()
            try:
                rate_of_bill(what, extra.currency, extra.rate, invoice, own)
            except Refused as fault:
                self._fault(row, "extra_rate", str(fault))

    def _lines(self, rows):
        """The rows of each line: those with one mark, else each row for itself."""
        lines: dict[Any, list[PurchaseRowForm]] = {}
        for row in rows:
            if row.sort in ("item", "text"):
                mark = row.cleaned_data.get("line") or row.row.number
                lines.setdefault((type(mark), mark), []).append(row)
        return lines.values()

    def _line(self, lots):
        """Its item's name, "" where nothing is stocked, and the line itself."""
        first = lots[0]
        for row in lots[1:]:
            if row.sort != "item" or row.card is not first.card:
                says = f"Row {first.row.number} has the same mark for another item."
                self._fault(row, "line", says)
        facts = {name: self._once(name, lots) for name in LINE}
        if facts["price"] is None and not any("price" in r.row.words for r in lots):
            for row in lots:
                for name in ("tax", "recoverable_tax"):
                    if row.cleaned_data.get(name):
                        self._fault(row, name, "Write the price of the line, too.")
        if not all(row.fit for row in lots):
            return "", NewLine(item=None)
        stocked = first.sort == "item"
        weight = facts["shipping_weight"]
        line = NewLine(
            item=None,
            lots=[row.new_lot() for row in lots] if stocked else [],
            price=facts["price"],
            tax=facts["tax"] or Decimal(0),
            recoverable_tax=facts["recoverable_tax"] or Decimal(0),
            shipping_weight=weight.grams_or_pieces if weight else None,
            text=first.cleaned_data["text"],
        )
        return first.card.name if stocked else "", line

    def _once(self, name, lots):
        """A fact of the whole line stands on one of its rows."""
        stated = [r for r in lots if r.cleaned_data.get(name) not in (None, "")]
        for row in stated[1:]:
            says = (
                f"{WORDS[name]} of this line stands in row {stated[0].row.number}: it "
                "is that of the whole line, so leave this one empty."
            )
            self._fault(row, name, says)
        return stated[0].cleaned_data[name] if stated else None

    def _add_up(self, arrival, rows, printed):
        if printed is None:
            return
        row = next(row for row in rows if row.cleaned_data.get("total") is not None)
        if arrival.billed is None:
            says = "A price is still open: fill it in, or leave the total empty."
            self._fault(row, "total", says)
        elif (left := printed - arrival.billed) != 0:
            which = "missing" if left > 0 else "too much"
            says = (
                f"The rows add up to {plain(arrival.billed)}, the invoice says "
                f"{plain(printed)}: {plain(abs(left))} is {which}. Mend a price, or "
                "add what is missing as Not stocked or as an extra cost."
            )
            self._fault(row, "total", says)
