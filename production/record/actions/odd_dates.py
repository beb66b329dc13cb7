"""A date that cannot well be so is asked about before it is written."""

from collections.abc import Iterable
from datetime import date

from production.quantities.domain.refusal import Doubted
from production.record.domain.odd_dates import ASKS, odd_expiry, odd_papers
from production.record.domain.text import PAST
from production.record.models.ink import Deed
from production.record.reads.clock import today


def ask_expiry(
    deed: Deed, expires: Iterable[date | None], *, sure: bool, came: str = "came"
) -> None:
    """Best before its making, or more than ten years on."""
    _ask(deed, (odd_expiry(day, deed.on, came) for day in expires), sure)


def ask_papers(
    deed: Deed, *, on: date, ordered: date | None, invoiced: date | None, sure: bool
) -> None:
    """Ordered after it came, billed tomorrow, or either of them years before."""
    if ordered is None and invoiced is None:
        return
    _ask(deed, (says for _, says in odd_papers(on, today(), ordered, invoiced)), sure)


def _ask(deed: Deed, doubts: Iterable[str], sure: bool) -> None:
    """``sure``: whoever typed it has read it again. A past was judged by its hand."""
    if sure or deed.key.startswith(PAST):
        return
    if says := [doubt for doubt in doubts if doubt]:
        raise Doubted(f"{' '.join(says)} {ASKS}")
