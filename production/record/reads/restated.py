"""What was said anew: who, when and why; and each figure as it is from then on.

A figure that was put right keeps its row: a header follows the latest restatement that
stands, a row in ink is read through ``as_now``.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

from django.apps import apps
from django.db import models
from django.db.models import F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from production.quantities.domain.numbers import plain
from production.record.models.ink import Deed, Restated
from production.record.reads.clock import told_at

OF = Restated.Of
Row = TypeVar("Row", bound=models.Model)

# How a field is called on a page, where its own name is no word of the trade.
WORDS: Mapping[str, str] = {
    "needs_check": "wait for a check on arrival",
    "own_inci": "own label name",
    "own_potassium_soap": "own name of its potassium soap",
    "own_sodium_soap": "own name of its sodium soap",
    "name_on_label": "label name",
    "group": "part",
    "active": "may sign in",
    "tries": "wrong passwords",
    "low": "from",
    "high": "to below",
    "silent": "says nothing",
    "recipe": "measured on",
    "supplier_lot": "supplier's lot",
    "net_mass": "net mass of one, g",
    "shipping_weight": "weight as shipped, g",
    "unit_price": "price of one",
    "by": "shared by",
    "on": "day",
    "expected": "expected, g or pieces",
    "retest": "tested again",
    "recoverable_tax": "tax given back",
    "power": "draws, kW",
    "deposit": "deposit on one",
    "tax_rate": "sales tax, as a share",
    "tax_is": "the sales tax is",
}


@dataclass(frozen=True, slots=True)
class Thing:
    """What can be put right of one table; a ``header`` holds the figure that counts.

    A table is named, not imported: what is said anew lies below what it is said of.
    """

    name: str
    figures: tuple[str, ...]
    header: bool = False

    @property
    def model(self) -> type[models.Model]:
        return apps.get_model("production", self.name)


THINGS: Mapping[str, Thing] = {
    OF.PURCHASE: Thing(
        "Purchase",
        ("number", "supplier", "ordered", "arrived", "invoiced", "currency", "rate"),
        header=True,
    ),
    OF.LINE: Thing("PurchaseLine", ("shipping_weight", "item")),
    OF.EXTRA_COST: Thing(
        "ExtraCost",
        (
            "kind",
            "amount",
            "recoverable_tax",
            "by",
            "invoiced",
            "currency",
            "rate",
        ),
    ),
    OF.LOT: Thing(
        "Lot", ("code", "item", "supplier_lot", "net_mass", "expires"), header=True
    ),
    OF.BATCH: Thing("Batch", ("code", "started", "expected"), header=True),
    OF.SALE: Thing(
        "Sale",
        ("number", "on", "customer", "channel", "tax_rate", "tax_is"),
        header=True,
    ),
    OF.SALE_LINE: Thing("SaleLine", ("unit_price", "tax", "deposit")),
    OF.ENTRY: Thing("Movement", ("value",)),
    OF.GIVEN: Thing("Given", ("recipient",)),
    OF.READING: Thing("Measurement", ("value", "on")),
    OF.WORK: Thing(
        "Work", ("kind", "hours", "rate", "on", "person", "equipment", "power")
    ),
    OF.LOSS: Thing("Loss", ("amount", "on")),
}
NEVER = 2**62
FIRST = Coalesce("rank", F("id"), output_field=models.BigIntegerField())
_OF = {thing.name: of for of, thing in THINGS.items()}


def of_model(model: type[models.Model]) -> str:
    """The word by which a restatement says which table it is of."""
    return _OF[model.__name__]


# -- a figure as text, both ways


def in_text(value: Any) -> str:
    """A figure as a restatement keeps it; nothing is ""."""
    if value is None:
        return ""
    if isinstance(value, models.Model):
        return str(value.pk)
    if isinstance(value, Decimal):
        return plain(value)
    return value.isoformat() if isinstance(value, date) else str(value)


def from_text(model: type[models.Model], name: str, text: str) -> Any:
    """The figure that a restatement keeps; of what points at a row, its key."""
    column = model._meta.get_field(name)
    if text == "":
        return None if column.null else ""
    return int(text) if column.is_relation else column.to_python(text)


# -- rows in ink, as they are from now on


def told(of: str, name: str, row: str = "pk") -> Subquery:
    """The text of the latest restatement that stands, or NULL."""
    rows = Restated.objects.standing().filter(of=of, row=OuterRef(row), field=name)
    return Subquery(rows.order_by("-id").values("value")[:1])


def recipient() -> Coalesce:
    """Who has what was given, of an entry; it hangs on the first one of its line."""
    hangs = ("given", "root__given")
    anew = [told(OF.GIVEN, "recipient", f"{given}__pk") for given in hangs]
    return Coalesce(*anew, *(F(f"{given}__recipient") for given in hangs))


def first_key(row: models.Model) -> int:
    """The key that a restatement keeps: an entry that was entered again has its
    first one's."""
    return getattr(row, "rank", None) or row.pk


def with_told(rows: QuerySet[Row]) -> QuerySet[Row]:
    """Bring along what was said anew of each row; ``settle`` then writes it on them."""
    of, key = of_model(rows.model), "pk"
    if of == OF.ENTRY:
        rows, key = rows.annotate(of_line=FIRST), "of_line"
    names = THINGS[of].figures
    return rows.annotate(**{f"told_{name}": told(of, name, key) for name in names})


def settle(rows: Iterable[Row]) -> list[Row]:
    """Rows loaded ``with_told``, each with its figures as they are from now on."""
    rows, pointed = list(rows), defaultdict(list)
    for row in rows:
        for name in THINGS[of_model(type(row))].figures:
            text = getattr(row, f"told_{name}")
            if text is None:
                continue
            column = row._meta.get_field(name)
            value = from_text(type(row), name, text)
            setattr(row, column.attname, value)
            if column.is_relation and value is not None:
                pointed[column].append(row)
    for column, some in pointed.items():
        keys = {getattr(row, column.attname) for row in some}
        found = column.related_model._default_manager.in_bulk(keys)
        for row in some:
            setattr(row, column.name, found[getattr(row, column.attname)])
    return rows


def as_now(rows: QuerySet[Row]) -> list[Row]:
    """Rows in ink with what was put right of them; no query more than without."""
    return settle(with_told(rows))


def by_day(rows: Iterable[Row]) -> list[Row]:
    """In the order of their days as they are now, those of one day as they came."""
    return sorted(rows, key=lambda row: row.on)


# -- as it was known by a deed


@dataclass(frozen=True, slots=True)
class _Saying:
    deed: int
    taken: int
    before: str
    value: str


@dataclass
class KnownFigures:
    """What was said anew of some rows, and by which deeds it was known."""

    said: dict[tuple[str, int, str], list[_Saying]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def at(self, row: models.Model, name: str, known_by: int, now: Any) -> Any:
        """The figure as it stood by that deed; ``now`` where nobody said it anew."""
        said = self.said.get((of_model(type(row)), row.pk, name), ())
        if not said:
            return now
        known = [one for one in said if one.deed <= known_by < one.taken]
        text = known[-1].value if known else said[0].before
        return from_text(type(row), name, text)

    def pointed(self, of: str, name: str) -> set[int]:
        """The keys that such a figure ever pointed at."""
        texts = {
            text
            for (kind, _, field), said in self.said.items()
            if (kind, field) == (of, name)
            for one in said
            for text in (one.before, one.value)
        }
        return {int(text) for text in texts if text}

    def deeds(self, row: models.Model, names: Sequence[str]) -> list[int]:
        """The deeds that said it anew, or took that back."""
        of = of_model(type(row))
        said = [one for name in names for one in self.said.get((of, row.pk, name), ())]
        taken = [one.taken for one in said if one.taken < NEVER]
        return [*(one.deed for one in said), *taken]


def known_figures(rows: Mapping[str, Iterable[int]]) -> KnownFigures:
    """What was said anew of these rows, by what they are; one query."""
    asked = Q(pk__in=[])
    for of, keys in rows.items():
        asked |= Q(of=of, row__in=list(keys))
    back = Deed.objects.filter(undoes=OuterRef("deed")).values("pk")[:1]
    found = Restated.objects.filter(asked).annotate(taken=Subquery(back))
    known = KnownFigures()
    for one in found.order_by("id"):
        saying = _Saying(one.deed_id, one.taken or NEVER, one.before, one.value)
        known.said[one.of, one.row, one.field].append(saying)
    return known


# -- the history of a card or a figure


@dataclass(frozen=True, slots=True)
class ToldAnew:
    """One fact that a deed wrote: what it was before, what it is from then on."""

    deed: Deed
    row: int
    field: str
    before: str
    value: str
    about: str = ""
    taken_back: bool = False

    @property
    def says(self) -> str:
        now = self.value or "nothing"
        was = f" (before: {self.before})" if self.before else ""
        back = ", taken back" if self.taken_back else ""
        return f"{WORDS.get(self.field, self.field)}: {now}{was}{back}"


def history_of(of: str, row: int | None = None) -> list[ToldAnew]:
    """The facts of one card that deeds wrote, or of all cards of a kind."""
    found = Restated.objects.filter(of=of).select_related("deed__by")
    if row is not None:
        found = found.filter(row=row)
    return _in_words(found.order_by("-deed_id", "id"))


def written_by(deed: Deed) -> list[ToldAnew]:
    """The facts that one deed wrote, each with what it is of."""
    return _in_words(Restated.objects.filter(deed=deed), about=True)


def who_told(rows: Iterable[Any], of: str, row: int) -> list[Any]:
    """The same facts with who wrote them and when, where a deed did."""
    told = {one.field: one for one in reversed(history_of(of, row))}
    return [
        replace(
            one,
            who=str(told[one.name].deed.by),
            when=told_at(told[one.name].deed.at),
        )
        if one.name in told
        else one
        for one in rows
    ]


def _in_words(rows: Iterable[Restated], about: bool = False) -> list[ToldAnew]:
    rows = list(rows)
    deeds = {row.deed_id for row in rows}
    back = set(Deed.objects.filter(undoes__in=deeds).values_list("undoes", flat=True))
    return [
        ToldAnew(
            row.deed,
            row.row,
            row.field,
            shown(row.of, row.field, row.before),
            shown(row.of, row.field, row.value),
            about=_about(row) if about else "",
            taken_back=row.deed_id in back,
        )
        for row in rows
    ]


def shown(of: str, name: str, text: str) -> str:
    """The text of a figure as a page shows it: a name instead of a key."""
    if of not in THINGS or not text or name not in THINGS[of].figures:
        return text
    column = THINGS[of].model._meta.get_field(name)
    if not column.is_relation:
        return str(dict(column.flatchoices).get(text, text))
    row = column.related_model._default_manager.filter(pk=int(text)).first()
    return str(row) if row is not None else text


def _about(row: Restated) -> str:
    if row.of not in THINGS:
        return ""
    thing = THINGS[row.of].model._default_manager.filter(pk=row.row).first()
    return name_of(thing) if thing is not None else ""


def name_of(thing: models.Model) -> str:
    """What a thing is called, without the figures that may be put right."""
    return getattr(thing, "known_as", None) or str(thing)
