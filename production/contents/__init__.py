"""What is in a lot, from all that went into it."""
