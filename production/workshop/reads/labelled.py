"""Which published label name fits an item's own name."""

import re
from collections import defaultdict

from production.chemistry.domain.alkali_names import POTASSIUM, SODIUM, StrongAlkali
from production.chemistry.models import InciName
from production.workshop.models.items import Item

ALKALI_OF = {"Potassium Hydroxide": POTASSIUM, "Sodium Hydroxide": SODIUM}
INCI_OF = {alkali: inci for inci, alkali in ALKALI_OF.items()}


def proposed_label_name(item: Item) -> InciName | None:
    """The published row of its very name, its note in brackets left aside.

    Longer names are not guessed at ("Salt Marsh fragrance" is no salt), but for the
    strong alkalis, which are known by many.
    """
    said = item.named_alkali()
    if said is not None and said.sure:
        return InciName.objects.filter(inci=INCI_OF.get(said.which)).first()
    for match in (
        {"material__iexact": item.name},
        {"material__istartswith": f"{item.name} ("},
        {"inci__iexact": item.name},
    ):
        rows = list(InciName.objects.filter(**match)[:2])
        if len(rows) == 1:
            return rows[0]
    return None


def spoken_of(item: Item) -> StrongAlkali | None:
    """The strong alkali that any name on its card speaks of, or None."""
    published = item.name_on_label.inci if item.name_on_label else ""
    return item.named_alkali(item.own_inci, published)


def published_categories() -> dict[str, str]:
    """The category of each material of the published table, by its very names."""
    found: dict[str, set[str]] = defaultdict(set)
    for row in InciName.objects.exclude(role=""):
        bare = re.sub(r" \(.*\)$", "", row.material)
        category = "oil" if row.role == "fatty acid" else row.role
        for name in (row.material, bare, row.inci):
            found[name.casefold()].add(category)
    known = set(Item.Category.values)
    return {
        name: category
        for name, categories in found.items()
        if len(categories) == 1 and (category := next(iter(categories))) in known
    }
