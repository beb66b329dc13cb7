"""Deposits: money that was taken for a bottle and is owed until it comes back empty.

It is no revenue and stands in no price. A customer is owed theirs; where nobody gave a
name, the channel is.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, Q
from django.db.models.functions import Coalesce

from production.quantities.domain.numbers import ZERO
from production.record.models.ink import Restated
from production.record.reads.restated import OF, as_now
from production.selling.models import Customer, EmptyBack, Sale, SaleLine
from production.stock.models.lots import Lot, Movement, Status

KIND = Movement.Kind


@dataclass(slots=True)
class Party:
    """Who is owed deposits: money of the one currency, and pieces."""

    customer: Customer | None
    channel: str
    taken: Decimal = ZERO
    paid_back: Decimal = ZERO
    out: Decimal = ZERO
    back: Decimal = ZERO

    @property
    def owed(self) -> Decimal:
        """Below zero: more was paid back than the book knows of."""
        return self.taken - self.paid_back

    @property
    def with_them(self) -> Decimal:
        """Pieces that were sold on a deposit and have not come back."""
        return self.out - self.back

    @property
    def name(self) -> str:
        return self.customer.name if self.customer else self.channel


def _key(customer: int | None, channel: str) -> tuple[int | None, str]:
    return (customer, "" if customer else " ".join(channel.split()).casefold())


def deposits(until: date | None = None) -> list[Party]:
    """Every party with a deposit, who is owed most first; of a day, or as of now.

    Goods that came back in their bottles take their deposit with them. A fixed number
    of queries.
    """
    found: dict[tuple[int | None, str], Party] = {}

    def party(paper: Sale | EmptyBack) -> Party:
        key = _key(paper.customer_id, paper.channel)
        return found.setdefault(key, Party(paper.customer, paper.channel))

    lines = _lines()
    for line, _, amount in _moved(lines, until):
        one = party(line.sale)
        one.taken += amount * line.deposit
        one.out += amount
    for row, amount in empties_back(until):
        one = party(row)
        one.paid_back += amount * row.deposit
        one.back += amount
    return sorted(found.values(), key=lambda one: (-one.owed, one.name))


def owed_to(customer: Customer | None, channel: str) -> Decimal:
    """What one party is owed now."""
    asked = _key(customer.pk if customer else None, channel)
    return sum(
        (
            one.owed
            for one in deposits()
            if _key(one.customer.pk if one.customer else None, one.channel) == asked
        ),
        ZERO,
    )


@dataclass(frozen=True, slots=True)
class Deposit:
    """Taken with a sale on a day; below zero where its bottles came back full."""

    on: date
    money: Decimal


def deposits_on(sales: Iterable[int]) -> dict[int, list[Deposit]]:
    """The deposits of these sales by their keys; three queries."""
    wanted = set(sales)
    lines = {pk: row for pk, row in _lines().items() if row.sale_id in wanted}
    found: dict[int, list[Deposit]] = defaultdict(list)
    for line, on, amount in _moved(lines, None):
        found[line.sale_id].append(Deposit(on, amount * line.deposit))
    return found


@dataclass(frozen=True, slots=True)
class DepositMove:
    """A deposit taken with a sale, or back with a full bottle (``money`` below zero);
    ``empty``: paid out for an empty one, ``money`` is then what was paid."""

    on: date
    paper: str
    who: str
    money: Decimal
    empty: bool = False


def deposit_moves() -> list[DepositMove]:
    """Every deposit that was taken, came back full, or was paid back for an empty."""
    lines = _lines()
    found = [
        DepositMove(
            on,
            line.sale.number,
            str(line.sale.customer or line.sale.channel),
            amount * line.deposit,
        )
        for line, on, amount in _moved(lines, None)
    ]
    found += [
        DepositMove(
            row.movement.on,
            row.movement.lot.code,
            str(row.customer or row.channel),
            amount * row.deposit,
            empty=True,
        )
        for row, amount in empties_back()
        if row.deposit
    ]
    return found


def deposits_between(after: date | None, through: date) -> list[DepositMove]:
    """The same later than ``after``, up to ``through``, by their days."""
    found = [
        one
        for one in deposit_moves()
        if one.on <= through and (after is None or one.on > after)
    ]
    return sorted(found, key=lambda one: one.on)


def deposits_owed(until: date | None = None) -> Decimal:
    """What is owed in all: a debt of the workshop, no revenue."""
    return sum((one.owed for one in deposits(until)), ZERO)


def _lines() -> dict[int, SaleLine]:
    """Sale lines that bear a deposit, as they are now, by their keys."""
    said = Restated.objects.filter(of=OF.SALE_LINE).values("row")
    rows = SaleLine.objects.filter(Q(deposit__gt=0) | Q(pk__in=said))
    rows = rows.select_related("sale__customer")
    return {row.pk: row for row in as_now(rows) if row.deposit}


def _moved(
    lines: dict[int, SaleLine], until: date | None
) -> Iterable[tuple[SaleLine, date, Decimal]]:
    """Pieces of these lines that went out, and below zero those that came back full."""
    rows = Movement.objects.standing().filter(
        sale_line__in=list(lines), kind__in=[KIND.SOLD, KIND.RETURNED]
    )
    if until is not None:
        rows = rows.filter(on__lte=until)
    told = rows.order_by("pk").values_list("sale_line", "on", "amount")
    for pk, on, amount in told:
        yield lines[pk], on, -amount


def empties_back(until: date | None = None) -> list[tuple[EmptyBack, Decimal]]:
    """Empties that came back, with the pieces as the book has them now."""
    entries = Movement.objects.standing().filter(kind=KIND.RECEIVED)
    if until is not None:
        entries = entries.filter(on__lte=until)
    amounts: dict[int, Decimal] = defaultdict(Decimal)
    first = entries.annotate(first_of_line=Coalesce(F("root"), F("pk")))
    rows = list(EmptyBack.objects.select_related("customer", "movement__lot__item"))
    mine = first.filter(lot__in=[row.movement.lot_id for row in rows])
    for key, amount in mine.values_list("first_of_line", "amount"):
        amounts[key] += amount
    return [(row, amounts[row.movement_id]) for row in rows if amounts[row.movement_id]]


def empties_of(lots: Iterable[Lot]) -> dict[int, EmptyBack]:
    """Which of these lots are empties that came back, by the key of the lot."""
    rows = EmptyBack.objects.filter(movement__lot__in=[lot.pk for lot in lots])
    rows = rows.select_related("customer", "movement")
    return {row.movement.lot_id: row for row in rows}


def to_wash() -> list[Lot]:
    """Lots of empties that wait to be washed and looked at, the oldest first."""
    came = EmptyBack.objects.values("movement__lot")
    rows = Lot.objects.in_stock().filter(pk__in=came, status=Status.Word.QUARANTINE)
    return list(rows.select_related("item").order_by("pk"))
