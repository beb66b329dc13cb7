"""What costing keeps, for Django and for whoever stands above."""

from costing.models.kept import KeptBatch, KeptFlow, KeptLot, KeptMonth
from costing.models.statements import Statement

__all__ = ["KeptBatch", "KeptFlow", "KeptLot", "KeptMonth", "Statement"]
