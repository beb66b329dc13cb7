"""What costing keeps, for Django and for whoever stands above."""

from costing.models.ideas import IdeaMaterial, ProductIdea
from costing.models.statements import Statement

__all__ = ["IdeaMaterial", "ProductIdea", "Statement"]
