"""May this lot be used, sold, given or labelled? One loader, one question."""

from datetime import date

from production.fitness.domain.reasons import Fitness, Purpose, cleared, fit_for
from production.fitness.reads.rows import Rows, load
from production.stock.models.lots import Lot

__all__ = ["Rows", "cleared_without", "fitness", "load"]


def cleared_without(lot: Lot, checks: set[int]) -> bool:
    """Whether nothing in a lot would wait for a check, were these not in the book."""
    rows = load([lot])
    rows.readings = [row for row in rows.readings if row.pk not in checks]
    return not cleared(rows.family(date.max), lot.code)


def fitness(lot: Lot, purpose: Purpose, on: date) -> Fitness:
    """May this lot be used, sold, given or labelled on that day?"""
    return fit_for(load([lot]).family(on), lot.code, purpose)
