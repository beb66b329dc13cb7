"""Lots, entries, statuses and readings: the book of what is there."""
