"""Grams, pieces, money, units, codes: how a figure is read, kept and printed."""
