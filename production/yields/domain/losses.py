"""What a stage loses: stated, or learnt from the batches before."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from statistics import median

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.validation import share
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

FINENESS = Decimal("0.0001")  # a loss is planned to 0.01 %
LATEST = 5  # batches that count: common practice, no source


@dataclass(frozen=True, slots=True)
class Loss:
    """A share of what goes in, and where the figure comes from, for people.

    Refused below 0, and at 1 or above: nothing would come out.
    """

    share: Decimal
    source: str

    def __post_init__(self) -> None:
        if share(self.share, "the loss") == 1:
            raise Refused("State the loss as less than the whole of what goes in.")

    def after(self, together: Decimal) -> Decimal:
        """What comes out of an amount that was mixed together."""
        with localcontext(EXACT):
            return together * (ONE - self.share)

    def before(self, out: Decimal) -> Decimal:
        """What has to be mixed together for an amount to come out."""
        with localcontext(EXACT):
            return out / (ONE - self.share)


@dataclass(frozen=True, slots=True)
class Experience:
    """Losses of the latest batches, shares of what went in.

    The median and the ends can be below zero: more came out than was written down.
    """

    median: Decimal
    batches: int
    lowest: Decimal
    highest: Decimal

    @property
    def spread(self) -> Decimal:
        """How far the batches lie apart."""
        return self.highest - self.lowest

    @property
    def loss(self) -> Loss:
        """To plan with, to 0.01 %; a gain on the scale is not planned with."""
        what = "the last batch"
        if self.batches > 1:
            what = f"median of the last {plain(Decimal(self.batches))} batches"
        planned = max(self.median, ZERO).quantize(FINENESS, ROUND_HALF_UP)
        return Loss(planned, what)


def experience(shares: Sequence[Decimal]) -> Experience | None:
    """What the losses of some batches say together; None of no batch."""
    if not shares:
        return None
    with localcontext(EXACT):
        return Experience(median(shares), len(shares), min(shares), max(shares))
