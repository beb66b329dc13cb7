"""Cards of customers."""

from typing import Any

from django.db import transaction

from production.record.actions.cards import change_card, ensure_card, save_card
from production.selling.models import Customer


@transaction.atomic
def add_customer(*, name: str, **facts: Any) -> Customer:
    return save_card(Customer(name=name, **facts))


@transaction.atomic
def change_customer(*, customer: Customer, **facts: Any) -> Customer:
    return change_card(customer, facts)


def ensure_customer(name: str) -> Customer:
    return ensure_card(Customer, name)
