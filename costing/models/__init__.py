"""What costing keeps, for Django and for whoever stands above."""

from costing.models.accounts import AccountCode
from costing.models.books import BooksTerms
from costing.models.ideas import IdeaMaterial, ProductIdea
from costing.models.kept import KeptBatch, KeptBy, KeptFlow, KeptLot, KeptMonth
from costing.models.prices import Channel, Price, Target
from costing.models.statements import Statement

__all__ = [
    "AccountCode",
    "BooksTerms",
    "Channel",
    "IdeaMaterial",
    "KeptBatch",
    "KeptBy",
    "KeptFlow",
    "KeptLot",
    "KeptMonth",
    "Price",
    "ProductIdea",
    "Statement",
    "Target",
]
