"""Which published label name fits an item's own name."""

from production.domain.chemistry.alkali_names import (
    POTASSIUM,
    SODIUM,
    StrongAlkali,
)
from production.models import InciName, Item

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
