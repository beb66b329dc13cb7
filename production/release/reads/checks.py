"""What is under test, and which check of it counts."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q

from production.chemistry.domain.composition import moles_of_alkali
from production.chemistry.domain.constants import KOH
from production.contents.reads.contents import contents_of
from production.fitness.domain.family import Family
from production.fitness.reads.rows import load
from production.recipes.models.formulas import Version, VersionCheck
from production.record.reads.restated import as_now, by_day
from production.stock.domain.checks import (
    ALKALI,
    FREE_ALKALI,
    NEUTRALISED,
    OF_ALKALI,
    OTHER,
    PH,
    PH_FAILS_ABOVE,
    SOAP,
    VERDICTS,
    Subject,
)
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item

# No paste or soap holds so little alkali in all: only above it can a figure be more
# than the pot holds. Common practice, no source.
MUCH = Decimal("0.005")

# How the page of a titration once told the verdict, in a row of its own.
BY_TITRATION = "by titration: "

COUNTS = Q(what__in=VERDICTS, passed__isnull=False) | Q(
    what=PH, passed=False, value__gt=PH_FAILS_ABOVE
)


def subject_of(
    lot: Lot | None, batch: Batch | None, readings: Iterable[Any]
) -> Subject:
    """What binds such readings of a lot or a batch; no more is asked than they need."""
    made_by = batch or (lot.batch if lot is not None else None)
    readings = list(readings)
    read = {row.what for row in readings}
    much = any(row.what == FREE_ALKALI and (row.value or 0) > MUCH for row in readings)
    kind, known = OTHER, True
    if read.intersection(OF_ALKALI):
        family, code = _family(lot, batch)
        kind = _kind(family, code)
        known = all(node.made or node.role != SOAP for node in family.nodes.values())
    return Subject(
        name=str(lot or batch),
        kind=kind,
        made=made_by is not None,
        counted=lot is not None and lot.item.unit == Item.Unit.PIECE,
        limits=_limits(made_by.version_id if made_by is not None else None),
        holds=_holds(lot, batch) if known and much else None,
    )


def _limits(
    version: int | None,
) -> tuple[tuple[str, Decimal | None, Decimal | None], ...]:
    if version is None:
        return ()
    rows = VersionCheck.objects.filter(version=version)
    return tuple(rows.values_list("what", "low", "high"))


def free_alkali_limit(version: Version | None) -> Decimal:
    """The limit that binds what is made by a recipe, or by none."""
    limits = _limits(version.pk) if version is not None else ()
    return Subject(str(version), limits=limits).free_alkali_limit()


def is_limited(version: Version | None, what: str) -> bool:
    """Whether the recipe itself sets a limit to this reading."""
    limits = _limits(version.pk) if version is not None else ()
    return any((low, high) != (None, None) for of, low, high in limits if of == what)


def kind_of(lot: Lot | None, batch: Batch | None = None) -> str:
    """What it is by what is inside: alkali as such, soap, neither."""
    return _kind(*_family(lot, batch))


def _family(lot: Lot | None, batch: Batch | None) -> tuple[Family, str]:
    """What is behind it, asked where fitness is asked, and its code there."""
    rows = load([lot] if lot is not None else [], batch if lot is None else None)
    code = lot.code if lot is not None else rows.open_code
    return rows.family(date.max), code


def _kind(family: Family, code: str) -> str:
    if family.chemical(code):
        return ALKALI
    if family.preparation(code):
        return NEUTRALISED
    return SOAP if family.alkaline(code) else OTHER


def _holds(lot: Lot | None, batch: Batch | None) -> Decimal | None:
    """All the alkali in a lot as KOH, as a share of it; None where it is not known.

    What soap from outside holds, nobody here knows: it is not asked of that.
    """
    if lot is None and batch is not None:
        lot = Lot.objects.filter(batch=batch).first()
    if lot is None or not lot.batch_id:
        return None
    finished = contents_of(lot).finished
    if finished is None or finished.total <= 0:
        return None
    moles = sum(
        (
            part
            for kind in ("alkali", "soap", "acid salt")
            for part in moles_of_alkali(finished, kind).values()
        ),
        Decimal(0),
    )
    return moles * KOH / finished.total


def twins_of(check: Measurement) -> list[Measurement]:
    """The other half of a titration that one deed wrote in two rows."""
    pair = Measurement.objects.filter(
        deed=check.deed_id,
        lot=check.lot_id,
        batch=check.batch_id,
        what__in=VERDICTS,
        passed=check.passed,
        taken_back__isnull=True,
    )
    rows = list(pair.order_by("pk"))
    if not any(row.note.startswith(BY_TITRATION) for row in rows):
        return []
    return [row for row in rows if row.pk != check.pk and check.what in VERDICTS]


def shown_readings(of: Lot | Batch) -> list[Measurement]:
    """The readings of a page, with who noted them and who took them back."""
    rows = of.measurements.select_related(
        "deed__by", "taken_back__deed__by", "taken_back__belongs_to"
    )
    return by_day(as_now(rows.order_by("id")))


def days_of_use(batch: Batch | None) -> set[date]:
    """The days on which something went into the soap; packs that went on are none."""
    if batch is None:
        return set()
    used = batch.movements.used()
    used = used.exclude(lot__item__kind=Item.Kind.PACKAGING)
    return set(used.values_list("on", flat=True))
