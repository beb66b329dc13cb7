"""What is proposed to who writes an idea down: names, and what was said last."""

from typing import Any

from costing.models import ProductIdea
from production.models import Item, ReferenceOil, Version, Work

SAME = ("water_per_alkali", "rate", "minutes_batch", "minutes_piece", "energy")
LOSSES = ("loss_cook", "loss_dilution", "loss_finishing", "loss_filling")
# Of a list that a browser opens under a box.
MOST = 1000


def names_to_choose() -> dict[str, list[tuple[str, str]]]:
    """Names by the list that offers them, each with what it is; two queries."""
    found: dict[str, list[tuple[str, str]]] = {
        name: [] for name in ("oils", "materials", "packaging")
    }
    for item in Item.objects.order_by("name")[:MOST]:
        if item.kind == Item.Kind.PACKAGING:
            found["packaging"].append((item.name, "in the book"))
        elif item.category == Item.Category.OIL:
            found["oils"].append((item.name, "in the book"))
        elif not item.is_alkali and item.unit == Item.Unit.GRAM:
            found["materials"].append((item.name, "in the book"))
    known = {name for name, _ in found["oils"]}
    oils = ReferenceOil.objects.values_list("name", flat=True)
    found["oils"] += [(name, "published oil") for name in oils if name not in known]
    return found


def said_before() -> dict[str, Any]:
    """The figures of the idea written last; of the first one, those of the book."""
    last = ProductIdea.objects.order_by("-pk").first()
    if last is not None:
        return {name: getattr(last, name) for name in (*SAME, *LOSSES)}
    losses = dict(
        Version.objects.filter(loss__isnull=False)
        .order_by("pk")
        .values_list("formula__stage", "loss")
    )
    work = Work.objects.unreversed().filter(kind=Work.Kind.LABOUR)
    rate = work.order_by("-on", "-pk").values_list("rate", flat=True).first()
    found = {name: losses.get(name.removeprefix("loss_")) for name in LOSSES}
    return {**found, "rate": rate}
