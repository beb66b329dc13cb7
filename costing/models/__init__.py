"""What costing keeps, for Django and for whoever stands above."""

from costing.models.prices import Channel, Price, Target
from costing.models.statements import Statement

__all__ = ["Channel", "Price", "Statement", "Target"]
