"""How much of everything for what is wanted, and its batch sheets."""
