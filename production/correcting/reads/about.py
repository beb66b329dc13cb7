"""What each act was about: the lots, batches, papers, cards and people it names."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass

from django.contrib.auth import get_user_model
from django.db.models import (
    BigIntegerField,
    Case,
    CharField,
    F,
    IntegerField,
    Model,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Cast, Concat, TruncDate

from production.attachments.models import Attachment
from production.buying.models import (
    BillPaid,
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
    SentBack,
    SupplierCredit,
)
from production.recipes.models.formulas import Version
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.record.models.ink import Closing, Deed, Restated
from production.selling.models import (
    EmptyBack,
    Looked,
    Return,
    Sale,
    SaleLine,
    SalePaid,
)
from production.stock.models.batches import (
    Batch,
    Loss,
    LostBatch,
    Promotion,
    Step,
    Work,
)
from production.stock.models.counts import Count
from production.stock.models.holds import Answered, Hold, HoldLifted
from production.stock.models.lots import Given, Lot, Movement, OpenPack, Status
from production.stock.models.readings import (
    CheckTakenBack,
    Constituent,
    FragranceDocument,
    Measurement,
)
from production.stock.models.restored import Restored, SinceBackup
from production.workshop.models.items import Item
from production.workshop.models.rates import HourRate, Overhead, OverheadPaid, Tariff

# From a row that a deed wrote to what it names: "" is the row itself.
PURCHASES = {
    Purchase: [""],
    PurchaseLine: ["purchase"],
    LinePrice: ["line__purchase"],
    ExtraCost: ["purchase"],
    BillPaid: ["purchase"],
    Attachment: ["purchase"],
}
SALES = {
    Sale: [""],
    SaleLine: ["sale"],
    SalePaid: ["sale"],
    Return: ["line__sale"],
    Looked: ["back__line__sale"],
    Movement: ["sale_line__sale"],
}
BATCHES = {
    Batch: [""],
    Movement: ["batch"],
    Step: ["batch"],
    Loss: ["batch"],
    LostBatch: ["batch"],
    Work: ["batch"],
    Count: ["batch"],
    Promotion: ["batch"],
    Hold: ["batch"],
    HoldLifted: ["hold__batch"],
    Measurement: ["batch"],
    CheckTakenBack: ["measurement__batch"],
    Attachment: ["batch"],
}
LOTS = {
    Lot: [""],
    Movement: ["lot"],
    Given: ["movement__lot"],
    SentBack: ["movement__lot"],
    SupplierCredit: ["sent__movement__lot"],
    Looked: ["back__line__lot"],
    EmptyBack: ["movement__lot"],
    Status: ["lot"],
    Hold: ["lot"],
    HoldLifted: ["hold__lot"],
    Answered: ["movement__lot"],
    Measurement: ["lot"],
    CheckTakenBack: ["measurement__lot", "belongs_to"],
    OpenPack: ["lot"],
    FragranceDocument: ["lot"],
    Constituent: ["lot"],
    Count: ["lot"],
    Attachment: ["lot"],
}
# What an hour, power and a year cost: the kind of thing, and what it is called by.
RATES: dict[type[Model], tuple[str, str]] = {
    HourRate: ("an hour of", "person"),
    Tariff: ("power from", "since"),
    Overhead: ("overhead of", "year"),
    OverheadPaid: ("overhead of", "year"),
}


@dataclass(frozen=True, slots=True)
class Named:
    """One thing that an act was about; ``key`` finds its page, "" where it has none."""

    kind: str
    key: str
    name: str


# Acts of whoever stands above tell themselves what they name; config/apps.py says who.
TOLD_ABOVE: list[Callable[[Collection[int]], Iterable[tuple[int, Named]]]] = []


def named_in(deeds: Iterable[Deed]) -> dict[int, list[Named]]:
    """What each of these acts names, papers first; one query for all of them, and one
    for each of those above.

    An act that takes another back names what that one was about.
    """
    of = {deed.pk: {deed.pk, deed.undoes_id} - {None} for deed in deeds}
    wanted = set().union(*of.values())
    if not wanted:
        return {}
    first, *others = _leads(wanted)
    rows = first.union(*others, all=True)
    found: dict[int, dict[Named, None]] = defaultdict(dict)
    for deed, _, _, *named in sorted(rows):
        found[deed][Named(*named)] = None
    for tell in TOLD_ABOVE:
        for deed, one in tell(wanted):
            found[deed][one] = None
    return {
        deed: list(dict.fromkeys(one for each in sorted(pks) for one in found[each]))
        for deed, pks in of.items()
    }


def _leads(deeds: set[int]) -> Iterator[QuerySet]:
    """Every way from a deed to what it names, in the order of naming."""
    for model, paths in PURCHASES.items():
        for path in paths:
            yield _lead(deeds, 1, "purchase", model, path, "pk", "number")
    yield _lead(deeds, 2, "supplier", Purchase, "supplier", "pk", "name")
    for model, paths in SALES.items():
        for path in paths:
            yield _lead(deeds, 3, "sale", model, path, "pk", "number")
    for paper in (Sale, EmptyBack):
        yield _lead(deeds, 4, "customer", paper, "customer", "pk", "name")
    yield _version(deeds)
    for model, paths in BATCHES.items():
        for path in paths:
            trial = When(**{_to(path, "trial"): True}, then=Value("trial"))
            kind = Case(trial, default=Value("batch"), output_field=CharField())
            yield _lead(deeds, 6, kind, model, path, "code", "code")
    for model, paths in LOTS.items():
        for path in paths:
            yield _lead(deeds, 7, "lot", model, path, "code", "code")
    moved = Q(kind=Movement.Kind.MOVED)
    yield _lead(deeds, 8, "place", Movement, "place", "pk", "name", moved)
    yield from _cards(deeds)
    yield _lead(deeds, 10, "through", Closing, "", "", "through")
    for rate, (kind, name) in RATES.items():
        yield _lead(deeds, 12, kind, rate, "", "", name)
    yield _backup(deeds, Restored, "taken_at")
    yield _backup(deeds, SinceBackup, "restored__taken_at")


def _lead(
    deeds: set[int],
    rank: int,
    kind: Case | str,
    model: type[Model],
    path: str,
    key: str,
    name: str,
    only: Q | None = None,
) -> QuerySet:
    rows = model._base_manager.filter(only or Q(), deed__in=deeds)
    if path:
        rows = rows.filter(**{f"{path}__isnull": False})
    finds = Cast(_to(path, key), CharField()) if key else Value("")
    return _told(rows, rank, kind, finds, Cast(_to(path, name), CharField()))


def _to(path: str, field: str) -> str:
    return f"{path}__{field}" if path else field


def _told(
    rows: QuerySet, rank: int, kind: Case | str, key: object, name: object
) -> QuerySet:
    # Ordered by nothing: a part of a union may not be.
    return (
        rows.order_by()
        .annotate(
            told_deed=F("deed_id"),
            told_rank=Value(rank, IntegerField()),
            told_row=Cast("pk", BigIntegerField()),
            told_kind=Value(kind, CharField()) if isinstance(kind, str) else kind,
            told_key=key,
            told_name=name,
        )
        .values_list(
            "told_deed", "told_rank", "told_row", "told_kind", "told_key", "told_name"
        )
    )


def _version(deeds: set[int]) -> QuerySet:
    rows = Version._base_manager.filter(deed__in=deeds)
    number = Cast("number", CharField())
    name = Concat("formula__name", Value(" "), number, output_field=CharField())
    return _told(rows, 5, "version", Cast("pk", CharField()), name)


def _backup(deeds: set[int], model: type[Model], taken: str) -> QuerySet:
    rows = model._base_manager.filter(deed__in=deeds)
    day = Cast(TruncDate(taken), CharField())
    return _told(rows, 11, "backup of", Value(""), day)


def _cards(deeds: set[int]) -> Iterator[QuerySet]:
    """Cards that a deed said something of: an item, a rule, a person."""
    people = get_user_model()
    names = {
        Restated.Of.ITEM: Item.objects.values("name"),
        Restated.Of.RULE: RuleOfThumb.objects.values("topic"),
        Restated.Of.PERSON: people.objects.values(people.USERNAME_FIELD),
    }
    for of, cards in names.items():
        rows = Restated._base_manager.filter(deed__in=deeds, of=of)
        name = Subquery(cards.filter(pk=OuterRef("row"))[:1], CharField())
        yield _told(rows, 9, of.value, Cast("row", CharField()), name)
