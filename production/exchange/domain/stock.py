"""The stock book's own entries."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from production.exchange.domain.shared import Dated, Goods, OfLot
from production.record.domain.keys import Part, told


@dataclass(frozen=True, kw_only=True)
class Opening(OfLot, type="opening"):
    item: str
    kind: str = told("material", shown=True)
    amount: Decimal
    unit: str
    category: str = ""
    value: Decimal | None = told(None, shown=True, says="null: unknown")
    goods: Goods = told(among=True)
    place: str | None = None


@dataclass(frozen=True, kw_only=True)
class Tap(OfLot, type="tap"):
    item: str
    amount: Decimal
    value: Decimal


@dataclass(frozen=True, kw_only=True)
class FragranceDocument(OfLot, type="fragrance_document"):
    edition: str
    dated: date | None = None
    flash_point: Decimal | None = None
    vanillin: Decimal | None = None
    most: Decimal | None = None
    constituents: Mapping[str, Decimal] = told(factory=dict)
    no_allergens: bool = told(False, says="it says that none is to be named")


@dataclass(frozen=True, kw_only=True)
class Status(OfLot, type="status"):
    status: str = told(says="quarantine, released, held, rejected")


@dataclass(frozen=True, kw_only=True)
class OpenPack(OfLot, type="open_pack"):
    """The lot stands open at the bench."""


@dataclass(frozen=True, kw_only=True)
class AtPlace(OfLot):
    place: str | None = told(None, last=True)


@dataclass(frozen=True, kw_only=True)
class Reweigh(AtPlace, type="reweigh"):
    difference: Decimal = told(says="signed")
    found: Decimal | None = told(None, says="what was there")


@dataclass(frozen=True, kw_only=True)
class Count(Reweigh, type="count"):
    batch: str | None = told(None, says="which may have got what is missing")


@dataclass(frozen=True, kw_only=True)
class Given(AtPlace, type="given"):
    amount: Decimal
    why: str = told(says="sample, tester, gift, own use, retained")
    recipient: str = ""


@dataclass(frozen=True, kw_only=True)
class Loss(AtPlace, type="loss"):
    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class Move(OfLot, type="move"):
    amount: Decimal
    place: str | None = told(None, key="from")
    to: str


@dataclass(frozen=True, kw_only=True)
class Closing(Dated, type="closing"):
    through: date
    statement: str = told("", last=True, says="the text that was kept with it")


@dataclass(frozen=True)
class Series(Part):
    name: str
    last: int


@dataclass(frozen=True, kw_only=True)
class Answered(Part):
    """What happened since the backup; without it the book asks here, too."""

    on: date = told(key="date")
    codes: str = told("", says="one a line")
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Restored(Dated, type="restored"):
    """The book stood as of a backup."""

    taken_at: datetime
    restored_at: datetime
    series: tuple[Series, ...] = ()
    answered: Answered | None = told(None, says="unanswered it asks here, too")
