"""What the batches of a recipe lost so far."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from production.recipes.models.formulas import Formula
from production.stock.models.batches import Batch
from production.stock.models.lots import Movement
from production.yields.domain.losses import LATEST, Experience, Loss, experience
from production.yields.reads import outturns


def median_losses(formulas: Iterable[Formula | int]) -> dict[int, Experience | None]:
    """By the key of the formula, what its latest batches lost, any version of it.

    A share of the grams that went in, pieces by their net mass. None where no batch
    can be judged. Trials, and batches that have not made their lot or were taken back,
    do not count, and neither does what was spilt or burnt. Five queries at most,
    however many formulas.
    """
    wanted = [one if isinstance(one, int) else one.pk for one in formulas]
    batches = _latest(wanted)
    found = outturns(batches)
    shares: dict[int, list[Decimal]] = defaultdict(list)
    for batch in batches:
        one = found[batch.pk]
        held = one.balance
        if held is not None and held.used > 0:
            lost = (held.used - held.made - one.spoilt) / held.used
            shares[batch.version.formula_id].append(lost)
    return {formula: experience(shares[formula]) for formula in wanted}


def learnt_by(name: str) -> Loss | None:
    """What the batches of the recipe of this name lost; None where none is known."""
    formula = Formula.objects.filter(name=name.strip()).first() if name else None
    found = median_losses([formula])[formula.pk] if formula else None
    return found.loss if found else None


def _latest(formulas: list[int]) -> list[Batch]:
    """The latest batches of each formula whose lot was made and stands."""
    made = Movement.objects.made().values("batch")
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
