"""Facts of a card that count: each change is a row in ink."""

from collections.abc import Mapping
from typing import Any

from production.actions.deeds import ensure_valid
from production.models import Deed, Restated


def restate(
    deed: Deed, of: str, row: int, changed: Mapping[str, tuple[Any, Any]]
) -> None:
    """Write what each field was and what it is from now on."""
    longest = Restated._meta.get_field("value").max_length
    for field, (before, value) in changed.items():
        fact = Restated(
            deed=deed,
            of=of,
            row=row,
            field=field,
            before=in_words(before)[:longest],
            value=in_words(value)[:longest],
        )
        ensure_valid(fact)
        fact.save()


def in_words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)
