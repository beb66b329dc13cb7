"""How the books are kept: a plain card, changed freely by an owner."""

from typing import Any

from django.db import transaction

from costing.models import BooksTerms
from costing.reads.figures import terms
from production.record.actions.deeds import ensure_valid
from production.record.actions.people import owner_only


@transaction.atomic
def change_terms(*, by: Any, **facts: Any) -> BooksTerms:
    """Closed months stay as they were frozen; a change stands in the open ones."""
    owner_only(by, "say how the books are kept")
    row = terms()
    for name, value in facts.items():
        setattr(row, name, value)
    row.pk = 1
    ensure_valid(row)
    row.save()
    return row
