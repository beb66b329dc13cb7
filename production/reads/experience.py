"""What the batches of a recipe lost so far."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from production.domain.scaling.losses import LATEST, Experience, experience
from production.models import Batch, Formula, Movement
from production.reads.batches import MADE, USED, balance_of


def median_losses(formulas: Iterable[Formula | int]) -> dict[int, Experience | None]:
    """By the key of the formula, what its latest batches lost, any version of it.

    A share of the grams that went in, pieces by their net mass. None where no batch
    can be judged. Trials, and batches that have not made their lot or were taken back,
    do not count. Two queries at most, however many formulas.
    """
    wanted = [getattr(formula, "pk", formula) for formula in formulas]
    batches = _latest(wanted)
    rows = _rows([batch.pk for batch in batches])
    shares: dict[int, list[Decimal]] = defaultdict(list)
    for batch in batches:
        found = balance_of(batch.stage, rows[batch.pk], [])
        if found is not None and found.used > 0:
            lost = (found.used - found.made) / found.used
            shares[batch.version.formula_id].append(lost)
    return {formula: experience(shares[formula]) for formula in wanted}


def _latest(formulas: list[int]) -> list[Batch]:
    """The latest batches of each formula whose lot was made and stands."""
    made = Movement.objects.standing().filter(kind=MADE).values("batch")
    place = Window(
        RowNumber(),
        partition_by=F("version__formula"),
        order_by=[F("started").desc(), F("id").desc()],
    )
    return list(
        Batch.objects.filter(version__formula__in=formulas, trial=False, pk__in=made)
        .annotate(place=place)
        .filter(place__lte=LATEST)
        .select_related("version")
    )


def _rows(batches: list[int]) -> dict[int, list[Movement]]:
    rows: dict[int, list[Movement]] = defaultdict(list)
    taken = Movement.objects.standing().filter(kind__in=[USED, MADE], batch__in=batches)
    for row in taken.select_related("lot__item"):
        rows[row.batch_id].append(row)
    return rows
