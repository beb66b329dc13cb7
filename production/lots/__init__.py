"""The pages of what is there, and what is done with one lot in hand."""
