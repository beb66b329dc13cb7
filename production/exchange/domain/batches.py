"""Batches: whole ones of a day, and those that stay open."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.exchange.domain.shared import Dated, OfBatch
from production.record.domain.keys import UNSAID, Part, Unsaid, told
from production.yields.domain.hours_and_losses import NewLoss, NewWork


@dataclass(frozen=True, kw_only=True)
class Use(Part):
    lot: str
    amount: Decimal
    place: str | None = None


@dataclass(frozen=True, kw_only=True)
class Output(Part):
    lot: str
    item: str
    unit: str
    amount: Decimal
    net_mass: Decimal | None = None
    kind: str = "made"
    category: str = ""
    status: str | Unsaid = told(UNSAID, says="left out: released")
    expires: date | None = None
    labelled: date | None = None
    place: str | None = None


@dataclass(frozen=True)
class VersionNamed(Part):
    name: str
    version: int


@dataclass(frozen=True, kw_only=True)
class Batch(Dated, type="batch"):
    code: str
    stage: str
    uses: tuple[Use, ...] = told((), shown=True)
    makes: Output | None = told(None, shown=True, says="null opens a batch")
    expected: Decimal | None = told(None, shown=True, says="null: not judged")
    follows: bool = told(
        False, says="expected is what went in, less the loss of the formula"
    )
    loss: Decimal | None = told(
        None, says="share that it was planned with, where it is not the formula's"
    )
    work: tuple[NewWork, ...] = told((), shown=True)
    losses: tuple[NewLoss, ...] = told((), says="kinds stand below")
    override: bool = False
    formula: VersionNamed | None = None
    trial: bool = False


@dataclass(frozen=True, kw_only=True)
class BatchUse(OfBatch, type="use"):
    uses: tuple[Use, ...]
    override: bool = False


@dataclass(frozen=True, kw_only=True)
class BatchWork(OfBatch, type="work"):
    work: tuple[NewWork, ...]


@dataclass(frozen=True, kw_only=True)
class BatchLoss(OfBatch, type="batch_loss"):
    losses: tuple[NewLoss, ...]


@dataclass(frozen=True, kw_only=True)
class Make(OfBatch, type="make"):
    makes: Output


@dataclass(frozen=True, kw_only=True)
class Step(OfBatch, type="step"):
    text: str
    look: str = told("", says="minutes, day, week")


@dataclass(frozen=True, kw_only=True)
class Hold(OfBatch, type="hold"):
    """The batch is held before it has made its lot."""

    reason: str = told("", shown=True, last=True)


@dataclass(frozen=True, kw_only=True)
class Promotion(OfBatch, type="promotion"):
    reason: str = told("", shown=True, last=True)


@dataclass(frozen=True, kw_only=True)
class LossRenamed(OfBatch, type="loss_renamed"):
    loss: NewLoss
    kind: str = told(says="what it was")


@dataclass(frozen=True, kw_only=True)
class BatchLost(OfBatch, type="batch_lost"):
    """All of an open batch is gone."""

    kind: str


@dataclass(frozen=True, kw_only=True)
class Measured(Dated):
    """Of a lot or of a batch."""

    lot: str | None = None
    batch: str | None = told(None, says="lot or batch")


@dataclass(frozen=True, kw_only=True)
class Measurement(Measured, type="measurement"):
    what: str
    basis: str = told("measured", shown=True)
    value: Decimal | None = told(None, shown=True)
    passed: bool | None = told(
        None,
        shown=True,
        says="left out of free alkali, or of a pH above 11.5, it is worked out",
    )
    note: str = ""
    method: str = told(
        "", says="drop test, titration, laboratory, supplier; before: of pieces"
    )
    where: str = told("", says="spots of the pot, or the paper")
    sampled: str = told("", says="after, before: something went in later that day")


@dataclass(frozen=True, kw_only=True)
class CheckTakenBack(Measured, type="check_taken_back"):
    what: str
    checked: date = told(says="its date")
    value: Decimal | None = told(None, shown=True)
    passed: bool | None = told(says="as its measurement says")
    nth: int = told(1, says="which of several equal ones")
    belongs_to: str | None = told(
        None, says="the lot whose failure it was, with a measurement of its own"
    )
