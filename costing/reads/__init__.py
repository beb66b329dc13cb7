"""The book as the cost domain wants it, in a fixed number of queries."""

from costing.reads.book import Book, book_behind, unit_costs, whole_book
from costing.reads.planned import Missing, Planned, plan_costs

__all__ = [
    "Book",
    "Missing",
    "Planned",
    "book_behind",
    "plan_costs",
    "unit_costs",
    "whole_book",
]
