"""A batch as it is written, before it is posted: what goes in, and what came out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.recipes.models.formulas import Version
from production.stock.actions.opening_lots import Reading
from production.stock.models.lots import Lot
from production.workshop.models.items import Item
from production.workshop.models.places import Place
from production.yields.domain.hours_and_losses import NewLoss, NewWork


@dataclass(frozen=True, slots=True)
class Use:
    """What goes in. Give a lot, or an item that is on tap.

    ``surplus`` is what the lot turned out to hold above the book: it is counted in
    and used in the same deed.
    """

    amount: Decimal
    lot: Lot | None = None
    item: Item | None = None
    place: Place | None = None
    surplus: Decimal = Decimal(0)
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Output:
    """What a batch made; the item may be left to the formula.

    ``sure``: an expiry that cannot well be so was read again.
    """

    amount: Decimal
    item: Item | None = None
    code: str = ""
    net_mass: Decimal | None = None
    expires: date | None = None
    status: str = ""
    place: Place | None = None
    typed: str = ""
    labelled: date | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class NewBatch:
    """A whole batch: what went in, what was done and read, and what came out.

    ``taken`` of the lot that a craft day made before goes in; None is all of it.
    ``loss`` is the share that was planned with, where it is not the recipe's own.
    ``lost_as`` is what the maker calls the grams that are missing, ``mark`` the name of
    that question on the form.
    """

    stage: str
    output: Output
    uses: Sequence[Use] = ()
    taken: Decimal | None = None
    code: str = ""
    version: Version | None = None
    expected: Decimal | None = None
    follows: bool = True
    loss: Decimal | None = None
    trial: bool = False
    losses: Sequence[NewLoss] = ()
    work: Sequence[NewWork] = ()
    steps: Sequence[str] = ()
    readings: Sequence[Reading] = ()
    lost_as: str = ""
    mark: str = ""
