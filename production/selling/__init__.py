"""Customers, sales and returns."""
