"""Cards of suppliers."""

from typing import Any

from django.db import transaction

from production.buying.models import Supplier
from production.record.actions.cards import change_card, ensure_card, save_card


@transaction.atomic
def add_supplier(*, name: str, **facts: Any) -> Supplier:
    return save_card(Supplier(name=name, **facts))


@transaction.atomic
def change_supplier(*, supplier: Supplier, **facts: Any) -> Supplier:
    return change_card(supplier, facts)


def ensure_supplier(name: str) -> Supplier:
    return ensure_card(Supplier, name)
