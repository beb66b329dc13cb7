"""The book as the cost domain wants it, in a fixed number of queries."""

from costing.reads.book import Book, book_behind, unit_costs, whole_book
from costing.reads.in_work import InWork, in_work
from costing.reads.planned import Missing, Planned, plan_costs

__all__ = [
    "Book",
    "InWork",
    "Missing",
    "Planned",
    "book_behind",
    "in_work",
    "plan_costs",
    "unit_costs",
    "whole_book",
]
