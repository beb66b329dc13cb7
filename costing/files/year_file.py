"""The accountant's file of a period: every figure with its rows, and live sums."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from openpyxl import Workbook

from costing.domain.accounts import LOST
from costing.files.tables import Formula, Plain, Table, Value, bytes_of, money_of
from costing.files.year_deposits import deposits
from costing.reads.year_file import Bought, YearFile, by_loss, nano_of
from production.quantities.domain.numbers import ZERO

METHODS = {
    "lots": "by the lots that were really taken (IAS 2.23)",
    "fifo": "first in, first out (IAS 2.27)",
    "average": "moving average (IAS 2.27)",
    "card": "each kind of item by its own formula (IAS 2.25)",
}
ADVISER = "How any of this is taxed, a licensed adviser decides."
SHEETS = (
    ("Summary", "both sides of the books, with their check"),
    ("Purchases", "invoice lines that came in, with taxes and extra costs"),
    ("Sent back", "what suppliers got back, and what they credit"),
    ("Sales", "net of sales tax, with what was sold at its cost"),
    ("Stock", "what was held at the end, lot by lot"),
    ("Losses", "entries that left without a sale, and what making lost"),
    ("Drawings", "own use of a sole trader, at its cost"),
    ("Making cost", "work on batches"),
    ("Late bills", "what was learnt of closed months since"),
    ("Taxes", "sales tax, and tax to come back"),
    ("Paid", "by the day of the payment"),
    ("Unpaid", "what was open at the end"),
    ("Deposits", "owed for bottles until they come back: no revenue"),
)
NOT_IN_IT = (
    "Rent, insurance, interest, machines and what else never touched the stock.",
    "Wages that were not written as work on a batch.",
    "Money that was not noted as paid for a purchase or a sale.",
    "Shipping and fees of sales: they are costs of selling (IAS 2.16(d)).",
    "Any lower value of stock (IAS 2.28): it is proposed on its page, not booked.",
)
LATER = "earlier entries at what is known of them now"


def year_file_xlsx(found: YearFile) -> bytes:
    """The whole file. What is not known stays empty, and the first sheet names it."""
    return bytes_of(_Book(found).book)


class _Book:
    def __init__(self, found: YearFile) -> None:
        self.found, self.figures = found, found.books.figures
        self.book = Workbook()
        self.book.remove(self.book.worksheets[0])
        self.book.properties.creator = "Kettlebook"
        self.cover()
        self.summary = Table(self.book, *SHEETS[0])
        self.at: dict[str, str] = {}
        self.purchases()
        self.sent_back()
        self.sales()
        self.stock()
        self.losses()
        self.drawings()
        self.making_cost()
        self.late_bills()
        self.taxes()
        self.payments()
        self.unpaid()
        deposits(Table(self.book, *SHEETS[12]), self.found)
        self.sum_up()

    def point(self, name: str, table: Table, letter: str, row: int) -> None:
        """Where a sum stands, for the formulas of other sheets."""
        self.at[name] = f"'{table.title}'!{letter}{row}"

    def cover(self) -> None:
        found, books = self.found, self.found.books
        sheet = Table(self.book, "About", found.workshop)
        first = str(found.start) if found.start else "the beginning of the book"
        for words, said in (
            ("Period", f"from {first} through {books.through}"),
            ("Currency", books.currency),
            ("Stock is valued", METHODS[books.method]),
            (
                "Closed through",
                str(found.closed) if found.closed else "no month is closed",
            ),
            ("Taxes", ADVISER),
        ):
            sheet.write(words, said)
        sheet.write()
        sheet.write("What is in it", bold=True)
        for title, says in SHEETS:
            sheet.write(title, says)
        sheet.write()
        sheet.write("What is not in it", bold=True)
        for says in NOT_IN_IT:
            sheet.write("", says)
        sheet.write()
        sheet.write("How it is counted", bold=True)
        sheet.write(
            "",
            "Figures are exact in their cells and shown to the cent. A closed month "
            "counts as it was closed; what was learnt of it since stands under late "
            "bills. Sales tax and payments are as known now.",
        )
        asks = [*books.asks, *(f"Nobody priced {line}." for line in books.unpriced)]
        if asks:
            sheet.write()
            sheet.write("What is not known", bold=True)
            for says in asks:
                sheet.write("", f"{says} The sums hold only what is known.")
        sheet.wrap("B", 90)
        sheet.sheet.column_dimensions["A"].width = 22

    def table(self, number: int, *headings: str) -> Table:
        table = Table(self.book, *SHEETS[number])
        table.headings(*headings)
        return table

    def purchases(self) -> None:
        table = self.table(
            1,
            *("arrived", "invoiced", "number", "supplier", "what", "amount", "unit"),
            *("price", "tax that stays", "extra costs", "into stock", "not stocked"),
            "tax to come back",
        )
        known = 0
        for one in self.found.bought:
            row = table.row + 1
            cost = Formula(f"=H{row}+I{row}+J{row}")
            whole = None not in (one.price, one.tax, one.extra)
            known += _delivered(one) if one.stocked and whole else 0
            table.write(
                *(one.arrived, one.invoiced, one.number, one.supplier, one.what),
                *(_plain(one.amount), one.unit, one.price, one.tax, one.extra),
                cost if one.stocked and whole else None,
                None if one.stocked or not whole else cost,
                one.recoverable_tax,
            )
        sent = sum(one.nano for one in self.found.sent)
        rest = self.figures.purchases - known + sent
        if rest:
            table.write(*("",) * 4, LATER, *(None,) * 5, money_of(rest))
        row = table.foot("KLM")
        self.point("purchases", table, "K", row)

    def sent_back(self) -> None:
        table = self.table(
            2,
            *("on", "lot", "item", "supplier", "amount", "unit", "at its cost"),
            *("credit note", "credited", "tax on it", "credit less cost"),
        )
        for one in self.found.sent:
            row = table.row + 1
            credit = one.credit.row if one.credit else None
            table.write(
                *(one.on, one.lot, one.item, one.supplier, Plain(one.amount)),
                *(one.unit, money_of(one.nano), credit.note if credit else "to come"),
                credit.credit if credit else None,
                credit.recoverable_tax if credit else None,
                Formula(f"=I{row}-G{row}") if credit else None,
            )
        row = table.foot("GIJK")
        self.point("sent_back", table, "G", row)

    def sales(self) -> None:
        table = self.table(
            3,
            *("on", "number", "to whom", "channel", "lot", "item", "amount", "unit"),
            *("paid", "sales tax", "net", "cost", "margin"),
        )
        for one in self.found.sold:
            row, sold = table.row + 1, one.row
            priced = sold.gross is not None
            table.write(
                *(sold.on, sold.number, sold.customer, sold.channel, sold.lot),
                *(sold.item, Plain(sold.amount), sold.unit, sold.gross, sold.tax),
                Formula(f"=I{row}-J{row}") if priced else None,
                money_of(one.cost),
                Formula(f"=K{row}-L{row}") if priced and one.cost is not None else None,
            )
        cost = sum(one.cost or 0 for one in self.found.sold)
        rest = self.figures.cost_of_goods_sold - cost
        brought = sum(nano_of(one.row.net) for one in self.found.sold)
        later = self.figures.revenue - brought
        if rest or later:
            row = table.row + 1
            table.write(
                *("",) * 5,
                LATER,
                *(None,) * 4,
                money_of(later) or None,
                money_of(rest),
                Formula(f"=K{row}-L{row}"),
            )
        row = table.foot("IJKLM")
        self.point("revenue", table, "K", row)
        self.point("cost_of_goods_sold", table, "L", row)

    def stock(self) -> None:
        table = self.table(
            4, "lot", "item", "kind", "amount", "unit", "value", "one of it"
        )
        known = 0
        for one in self.found.books.stock:
            row = table.row + 1
            known += one.value or 0
            table.write(
                *(one.lot, one.item, one.kind, Plain(one.amount), one.unit),
                money_of(one.value),
                Formula(f"=F{row}/D{row}")
                if one.value is not None and one.amount
                else None,
            )
        if rest := self.figures.stock - known:
            table.write(
                "", "the known part of what is not known", *("",) * 3, money_of(rest)
            )
        row = table.foot("F")
        self.point("stock", table, "F", row)

    def losses(self) -> None:
        rows = tuple(row for row in self.found.lost if row.loss != "drawings")
        table = self.table(
            5, "on", "loss", "why", "lot", "item", "amount", "unit", "at its cost"
        )
        for one in sorted(rows, key=lambda one: one.on):
            table.write(
                *(one.on, LOST.get(one.loss, one.loss), one.why, one.lot, one.item),
                *(_plain(one.amount), one.unit, money_of(one.nano)),
            )
        there = by_loss(rows)
        for name, nano in self.figures.losses.items():
            if rest := nano - there.get(name, 0):
                said = (
                    "trials: what they hold and took"
                    if name == "development"
                    else LATER
                )
                words = ("", LOST.get(name, name), "", "", said, None, None)
                table.write(*words, money_of(rest))
        row = table.foot("H")
        self.point("losses", table, "H", row)

    def drawings(self) -> None:
        rows = tuple(row for row in self.found.lost if row.loss == "drawings")
        table = self.table(6, "on", "lot", "item", "amount", "unit", "at its cost")
        for one in rows:
            words = (one.on, one.lot, one.item, _plain(one.amount), one.unit)
            table.write(*words, money_of(one.nano))
        if rest := self.figures.drawings - sum(row.nano for row in rows):
            table.write("", "", LATER, None, None, money_of(rest))
        row = table.foot("F")
        self.point("drawings", table, "F", row)

    def making_cost(self) -> None:
        table = self.table(7, "on", "batch", "kind", "hours", "rate", "cost")
        known = 0
        for one in self.found.work:
            row = table.row + 1
            known += nano_of(one.hours * one.rate)
            cost = Formula(f"=D{row}*E{row}")
            table.write(
                *(one.on, one.batch.code, str(one.get_kind_display())),
                *(Plain(one.hours), one.rate, cost),
            )
        if rest := self.figures.making_cost - known:
            table.write("", "", LATER, None, None, money_of(rest))
        row = table.foot("F")
        self.point("making_cost", table, "F", row)

    def late_bills(self) -> None:
        table = self.table(8, "what", "where it was on the last closed day")
        late = self.figures.late
        held = "in stock or open batches on that day, inside the figures"
        table.write(held, money_of(late.stock))
        for name, nano in (("sold", late.sold), ("lost", late.lost)):
            row = table.write(f"{name} by then", money_of(nano))
            self.point(f"late_{name}", table, "B", row)
        table.foot("B")

    def taxes(self) -> None:
        table = self.table(9, "on", "number", "supplier", "what", "tax to come back")
        for one in self.found.taxes:
            table.write(one.on, one.number, one.supplier, one.what, one.amount)
        table.foot("E")
        table.write()
        table.headings("month", "sales net of it", "", "", "sales tax")
        for month, net, tax in _by_month(self.found):
            table.write(month, net, "", "", tax)
        table.foot("BE")

    def payments(self) -> None:
        table = self.table(10, "on", "number", "what", "paid out", "paid in")
        for paid in self.found.paid:
            paper = paid.purchase
            words = (paid.deed.on, paper.number, str(paper.supplier))
            table.write(*words, paid.amount)
        for came in self.found.received:
            who = str(came.sale.customer or came.sale.channel)
            table.write(came.deed.on, came.sale.number, who, None, came.amount)
        for one in (move for move in self.found.deposits if move.empty):
            table.write(one.on, one.paper, f"deposit of {one.who}", one.money)
        table.foot("DE")

    def unpaid(self) -> None:
        table = self.table(
            11, "on", "number", "what", "comes to", "paid", "owed", "to come"
        )
        for bill in self.found.owed:
            paper = bill.purchase
            words = (paper.arrived, paper.number, str(paper.supplier))
            table.write(*words, bill.owed, bill.paid, bill.left)
        for sale in self.found.to_come:
            who = str(sale.sale.customer or sale.sale.channel)
            words = (sale.sale.on, sale.sale.number, who)
            table.write(*words, sale.owed, sale.paid, None, sale.left)
        table.foot("FG")

    def sum_up(self) -> None:
        """Both sides from the sheets, and the books' own figures beside them."""
        figures, sheet = self.figures, self.summary
        sheet.headings("what", "from the sheets", "in the books", "0 where they agree")
        held = self.found.books.held_before

        def line(words: str, formula: str, nano: int, *, bold: bool = False) -> int:
            row = sheet.row + 1
            check = Formula(f"=ROUND(B{row}-C{row},2)")
            return sheet.write(
                words, Formula(formula), money_of(nano), check, bold=bold
            )

        def plain(words: str, nano: int) -> int:
            return line(words, f"=C{sheet.row + 1}", nano)

        at = self.at
        first = plain("held at the start", held)
        plain("opening stock that was entered", figures.opening - held)
        bought = f"={at['purchases']}-{at['sent_back']}"
        line("purchases, less what was sent back", bought, figures.purchases)
        last = line("making cost", f"={at['making_cost']}", figures.making_cost)
        came = figures.opening + figures.purchases + figures.making_cost
        in_all = line("came in all", f"=SUM(B{first}:B{last})", came, bold=True)
        sheet.write()
        start = line("stock at the end", f"={at['stock']}", figures.stock)
        plain("work in progress at the end", figures.work_in_progress)
        line("losses", f"={at['losses']}", sum(figures.losses.values()))
        line("drawings", f"={at['drawings']}", figures.drawings)
        line("late bills, of what was sold", f"={at['late_sold']}", figures.late.sold)
        end = line(
            "late bills, of what was lost", f"={at['late_lost']}", figures.late.lost
        )
        sold = line(
            "cost of goods sold: the rest",
            f"=B{in_all}-SUM(B{start}:B{end})",
            figures.cost_of_goods_sold,
            bold=True,
        )
        line(
            "the same, sale by sale",
            f"={at['cost_of_goods_sold']}",
            figures.cost_of_goods_sold,
        )
        sheet.write()
        net = line("sales, net of sales tax", f"={at['revenue']}", figures.revenue)
        line("margin", f"=B{net}-B{sold}", figures.margin, bold=True)
        sheet.write()
        row = sheet.row + 1
        sheet.write(
            "check: all of it agrees, to the cent",
            Formula(f"=SUMPRODUCT(ABS(D{first}:D{row - 2}))"),
            bold=True,
        )
        sheet.sheet.column_dimensions["A"].width = 42
        for letter in "BCD":
            sheet.sheet.column_dimensions[letter].width = 20


def _delivered(one: Bought) -> int:
    return nano_of((one.price or ZERO) + (one.tax or ZERO) + (one.extra or ZERO))


def _plain(amount: Decimal | None) -> Plain | None:
    return None if amount is None else Plain(amount)


def _by_month(found: YearFile) -> Iterable[tuple[Value, Decimal, Decimal]]:
    """Sales and their tax by the first of their month."""
    months: dict[date, list[Decimal]] = {}
    for one in found.sold:
        net, tax = one.row.net, one.row.tax
        if net is not None and tax is not None:
            sums = months.setdefault(one.row.on.replace(day=1), [ZERO, ZERO])
            sums[0] += net
            sums[1] += tax
    return [(month, *months[month]) for month in sorted(months)]  # type: ignore[misc]
