"""Purchases and sales."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from production.exchange.domain.shared import Dated, Goods, OfLot
from production.exchange.domain.stock import AtPlace
from production.record.domain.keys import Part, told

ZERO = Decimal(0)


@dataclass(frozen=True, kw_only=True)
class Extra(Part):
    kind: str
    amount: Decimal
    by: str = told(says="weight, value, quantity")
    recoverable_tax: Decimal = ZERO
    currency: str = ""
    rate: Decimal | None = None


@dataclass(frozen=True, kw_only=True)
class Price(Part):
    price: Decimal | None = told(None, shown=True, says="null: later")
    tax: Decimal = told(ZERO, shown=True)
    recoverable_tax: Decimal = told(ZERO, shown=True)
    shipping_weight: Decimal | None = told(None, shown=True)


@dataclass(frozen=True, kw_only=True)
class LotOfLine(Part):
    lot: str
    amount: Decimal
    goods: Goods = told(among=True)


@dataclass(frozen=True, kw_only=True)
class NotStocked(Part):
    """A line that only makes the invoice add up."""

    item: None = told(None, shown=True, says="null: nothing is stocked")
    price: Price = told(among=True)
    text: str = ""

    @classmethod
    def fits(cls, facts: Mapping[str, Any]) -> bool:
        return facts.get("item") is None


@dataclass(frozen=True, kw_only=True)
class SeveralLots(Part):
    """A line that came as several lots."""

    lots: tuple[LotOfLine, ...]
    item: str
    kind: str = told("material", shown=True)
    unit: str
    category: str = ""
    price: Price = told(among=True)
    text: str = ""

    @classmethod
    def fits(cls, facts: Mapping[str, Any]) -> bool:
        return facts.get("item") is not None and "lots" in facts


@dataclass(frozen=True, kw_only=True)
class OneLot(Part):
    lot: str
    item: str
    kind: str = told("material", shown=True)
    amount: Decimal
    unit: str
    category: str = ""
    price: Price = told(among=True)
    goods: Goods = told(among=True)
    text: str = ""

    @classmethod
    def fits(cls, facts: Mapping[str, Any]) -> bool:
        return facts.get("item") is not None and "lots" not in facts


@dataclass(frozen=True, kw_only=True)
class Purchase(Dated, type="purchase"):
    number: str
    supplier: str
    extra_costs: tuple[Extra, ...] = told((), shown=True)
    lines: tuple[OneLot | SeveralLots | NotStocked, ...]
    ordered: date | None = None
    invoiced: date | None = None
    currency: str = ""
    rate: Decimal | None = None
    place: str | None = None


@dataclass(frozen=True, kw_only=True)
class LaterBill(Dated):
    """It names its purchase, and its supplier where two sent that number."""

    purchase: str
    supplier: str = told("", says="where two of them sent a purchase of that number")


@dataclass(frozen=True, kw_only=True)
class LatePrice(LaterBill, type="price"):
    line: int
    price: Decimal
    tax: Decimal = told(ZERO, shown=True)
    recoverable_tax: Decimal = told(ZERO, shown=True)


@dataclass(frozen=True, kw_only=True)
class ExtraCost(LaterBill, type="extra_cost"):
    extra: Extra = told(among=True)
    invoiced: date | None = None


@dataclass(frozen=True, kw_only=True)
class BillPaid(LaterBill, type="bill_paid"):
    """Money that left for a purchase, in the workshop's own."""

    amount: Decimal
    settles: bool = told(False, says="nothing more is owed")


@dataclass(frozen=True, kw_only=True)
class SentBack(AtPlace, type="sent_back"):
    """Goods that went back to their supplier."""

    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class Credit(OfLot, type="credit"):
    """What a supplier credits for goods of a lot that he got back."""

    sending: int = told(1, says="which of those of its lot, from 1")
    credit: Decimal
    recoverable_tax: Decimal = ZERO
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class SaleLine(Part):
    lot: str
    amount: Decimal
    unit_price: Decimal | None = told(None, shown=True)
    tax: Decimal | None = told(None, says="as its paper says")
    place: str | None = None
    deposit: Decimal | None = told(None, says="on one, beside the price")


@dataclass(frozen=True, kw_only=True)
class Sale(Dated, type="sale"):
    number: str
    channel: str = told("", shown=True)
    customer: str | None = told(None, shown=True)
    tax_rate: Decimal | None = told(None, says="a share: 0.0825")
    tax_is: str = told("on top", says="on top, inside: of the prices")
    lines: tuple[SaleLine, ...]


@dataclass(frozen=True, kw_only=True)
class SalePaid(Dated, type="sale_paid"):
    sale: str
    amount: Decimal
    settles: bool = told(False, says="nothing more is expected")


@dataclass(frozen=True, kw_only=True)
class Return(Dated, type="return"):
    number: str
    sale: str
    line: int
    lot: str
    amount: Decimal
    then: str = told(says="restock, destroy, apart")
    place: str | None = None


@dataclass(frozen=True, kw_only=True)
class Look(Dated, type="look"):
    """What was seen of goods that came back."""

    back: str = told(key="return", says="its number")
    seen: str
    amount: Decimal
    place: str | None = None


@dataclass(frozen=True, kw_only=True)
class EmptyBack(Dated, type="empty_back"):
    """Empties that came back, each with the deposit that was paid back."""

    lot: str
    item: str
    amount: Decimal
    deposit: Decimal
    customer: str | None = None
    channel: str = ""
    value: Decimal = told(ZERO, says="what they are worth in all")
    place: str | None = None
