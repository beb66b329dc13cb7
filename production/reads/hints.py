"""The rules of what to expect of fats: as published, and as the workshop has them."""

from production.domain.chemistry.hints import Rule
from production.models import Hint, ReferenceHint


def rules_in_force() -> list[Rule]:
    """Every rule that speaks: the workshop's own stand before those they replace."""
    own = list(Hint.objects.all())
    replaced = {row.instead_of_id for row in own}
    published = [row for row in ReferenceHint.objects.all() if row.pk not in replaced]
    return [
        *(_rule(row.key, row) for row in published),
        *(_rule(f"own-{row.pk}", row) for row in own if not row.silent),
    ]


def _rule(key: str, row: Hint | ReferenceHint) -> Rule:
    return Rule(
        key=key,
        topic=row.topic,
        figure=row.figure,
        low=row.low,
        high=row.high,
        says=row.says,
        basis=row.source,
    )
