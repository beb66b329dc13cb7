"""Checks and readings, release, hold, reject."""
