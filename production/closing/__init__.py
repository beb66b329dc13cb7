"""A month is closed, and what is still open in it."""
