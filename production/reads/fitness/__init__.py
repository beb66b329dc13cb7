"""May this lot be used, sold, given or labelled? One loader, one question."""

from datetime import date

from production.domain.fitness import Fitness, Purpose, fit_for
from production.models import Lot
from production.reads.fitness.rows import Rows, load

__all__ = ["Rows", "fitness", "load"]


def fitness(lot: Lot, purpose: Purpose, on: date) -> Fitness:
    """May this lot be used, sold, given or labelled on that day?"""
    return fit_for(load([lot]).family(on), lot.code, purpose)
