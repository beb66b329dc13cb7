"""Rows loaded as plain values, in a fixed number of queries."""
