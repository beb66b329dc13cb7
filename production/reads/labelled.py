"""Which published label name fits an item's own name."""

from production.models import InciName

ALKALI_OF = {"Potassium Hydroxide": "KOH", "Sodium Hydroxide": "NaOH"}


def proposed_label_name(name: str) -> InciName | None:
    """The published row of that very name, its note in brackets left aside.

    Longer names are not guessed at ("Salt Marsh fragrance" is no salt), but for the
    two alkalis: "Potassium hydroxide flakes" says what it is.
    """
    for alkali in ALKALI_OF:
        if alkali.lower() in name.lower():
            return InciName.objects.filter(inci=alkali).first()
    for match in (
        {"material__iexact": name},
        {"material__istartswith": f"{name} ("},
        {"inci__iexact": name},
    ):
        rows = list(InciName.objects.filter(**match)[:2])
        if len(rows) == 1:
            return rows[0]
    return None
