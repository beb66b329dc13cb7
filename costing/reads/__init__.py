"""The book as the cost domain wants it, in a fixed number of queries."""

from costing.reads.book import book_behind, unit_costs, whole_book
from costing.reads.in_work import InWork, in_work
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
