"""The first page: what waits for a hand today."""
