"""A plain card, written: no deed stands behind it."""

from typing import Any

from django.db import IntegrityError, transaction

from production.quantities.domain.invisible import refuse_name
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import ensure_valid


def ensure_card(model: Any, name: str) -> Any:
    row = model.objects.filter(name=name).first()
    return row or save_card(model(name=name))


def change_card(row: Any, facts: dict[str, Any]) -> Any:
    """Only what is given is written, so that two pages do not undo each other."""
    for name, value in facts.items():
        setattr(row, name, value.strip() if name == "name" else value)
    return save_card(row, list(facts))


def save_card(row: Any, fields: list[str] | None = None) -> Any:
    if row.plain_name and (fields is None or "name" in fields):
        refuse_name("name", row.name)
    ensure_valid(row)
    try:
        with transaction.atomic():
            row.save(update_fields=fields)
    except IntegrityError as fault:
        # Somebody else was quicker by a blink.
        if type(row).objects.filter(name=row.name).exclude(pk=row.pk).exists():
            raise Refused(f"{row} has a card already. Open that one.") from fault
        raise
    return row
