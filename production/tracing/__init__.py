"""Where a lot came from, where it went, and who has it."""
