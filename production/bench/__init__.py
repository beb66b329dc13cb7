"""Sums at the bench that write nothing."""
