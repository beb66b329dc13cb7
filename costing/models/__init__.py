"""What costing keeps, for Django and for whoever stands above."""

from costing.models.accounts import AccountCode
from costing.models.books import BooksTerms
from costing.models.statements import Statement

__all__ = ["AccountCode", "BooksTerms", "Statement"]
