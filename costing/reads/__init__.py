"""The book as the cost domain wants it, in a fixed number of queries."""

from costing.reads.book import book_behind, whole_book
from costing.reads.kept import InWork, in_work, unit_costs
from costing.reads.planned import Planned, plan_costs

__all__ = [
    "InWork",
    "Planned",
    "book_behind",
    "in_work",
    "plan_costs",
    "unit_costs",
    "whole_book",
]
