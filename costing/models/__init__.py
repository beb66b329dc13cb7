"""What costing keeps, for Django and for whoever stands above."""

from costing.models.kept import KeptBatch, KeptBy, KeptFlow, KeptLot, KeptMonth
from costing.models.statements import Statement

__all__ = ["KeptBatch", "KeptBy", "KeptFlow", "KeptLot", "KeptMonth", "Statement"]
