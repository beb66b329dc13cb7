"""Writing down what an assessor said, and what the maker decided."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from labels.domain.kind import a_kind
from labels.models import (
    AssessedFragrance,
    AssessedRecipe,
    Assessment,
    KindDecision,
)
from labels.reads.assessments import is_scent
from labels.reads.rules import rule_set
from production.models import Formula, Item
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.record.reads.clock import today

# Nobody decided anything of goods in this book before; a mistyped year is not lost.
EARLIEST = date(2000, 1, 1)
FEWEST_LETTERS = 10


@dataclass(frozen=True, slots=True)
class Covered:
    """A recipe that was looked at, from which version to which; None is open."""

    formula: Formula
    first: int | None = None
    last: int | None = None


@deed("note an assessment", moves_nothing=True, gives=Assessment)
def note_assessment(
    deed: Deed,
    *,
    item: Item,
    rules: str,
    reference: str,
    assessor: str,
    assessed_on: date,
    holds_until: date | None = None,
    pack: Item | None = None,
    notification: str = "",
    notified_on: date | None = None,
    responsible: str = "",
    recipes: tuple[Covered, ...] = (),
    fragrances: Mapping[Item, Decimal] | None = None,
) -> Assessment:
    """Write down an assessment of a product; the latest by its own date counts.

    ``fragrances`` are highest shares of the finished product, as fractions. Refused for
    one that names nobody, and for dates, versions or shares that cannot be.
    """
    rule_set(rules)
    if not reference.strip() or not assessor.strip():
        raise Refused("Write the assessment's reference and its assessor's name.")
    _in_order(deed.on, assessed_on, holds_until, notified_on)
    if notified_on is not None and not notification.strip():
        raise Refused("Write the number of the notification, or leave its day open.")
    row = written(
        Assessment(
            deed=deed,
            item=item,
            rules=rules,
            reference=reference.strip(),
            assessor=assessor.strip(),
            assessed_on=assessed_on,
            holds_until=holds_until,
            pack=pack,
            notification=notification.strip(),
            notified_on=notified_on,
            responsible=responsible.strip(),
        )
    )
    _write_recipes(deed, row, recipes)
    for kind, most in (fragrances or {}).items():
        _a_fragrance(kind, most)
        written(AssessedFragrance(deed=deed, assessment=row, item=kind, most=most))
    return row


def _in_order(
    on: date, assessed_on: date, holds_until: date | None, notified_on: date | None
) -> None:
    _in_our_time(on, "note")
    for day, what in ((assessed_on, "assessment"), (notified_on, "notification")):
        if day is None:
            continue
        _in_our_time(day, what)
        if day > on:
            raise Refused(f"The {what} is dated {day}, after {on}. Read it again.")
    if holds_until is not None and holds_until < assessed_on:
        raise Refused(
            f"It would hold until {holds_until}, before it was written on "
            f"{assessed_on}. Read both days again."
        )


def _in_our_time(day: date, what: str) -> None:
    if not EARLIEST <= day <= today():
        raise Refused(
            f"The {what} is dated {day}: write a day from {EARLIEST.year} on, and not "
            "after today."
        )


def _write_recipes(deed: Deed, row: Assessment, recipes: tuple[Covered, ...]) -> None:
    seen = set()
    for one in recipes:
        if one.formula in seen:
            raise Refused(f"{one.formula} stands twice. Keep one row with its range.")
        seen.add(one.formula)
        if one.first is not None and one.last is not None and one.first > one.last:
            raise Refused(
                f"Of {one.formula} the first version, {one.first}, is above the last, "
                f"{one.last}. Exchange them."
            )
        written(
            AssessedRecipe(
                deed=deed,
                assessment=row,
                formula=one.formula,
                first_version=one.first,
                last_version=one.last,
            )
        )


def _a_fragrance(item: Item, most: Decimal) -> None:
    if not is_scent(item):
        raise Refused(f"{item} is no fragrance by its card: say there what it is.")
    if not 0 < most <= 1:
        raise Refused(
            f"{item} at {plain(most * 100)} % is not above 0 and up to 100 %: write "
            "its highest share of the finished product."
        )


@deed("decide the kind of product", moves_nothing=True, gives=KindDecision)
def decide_kind(
    deed: Deed,
    *,
    item: Item,
    rules: str,
    kind: str,
    ours: str,
    over: str = "",
    why: str = "",
) -> KindDecision:
    """Write down what the maker says a product is under one set of rules.

    ``ours`` is what this book reads and ``over`` what it leans on. Against that reading
    a decision is refused without what it leans on itself.
    """
    rule_set(rules)
    if not kind.strip():
        raise Refused("Choose what it is.")
    _in_our_time(deed.on, "decision")
    if kind != ours and sum(sign.isalpha() for sign in why) < FEWEST_LETTERS:
        raise Refused(
            f"We read it as {a_kind(ours)}. Write what your decision leans on: who "
            "licensed for such a question advised you, and when."
        )
    return written(
        KindDecision(
            deed=deed, item=item, rules=rules, kind=kind, why=why.strip(), over=over
        )
    )
