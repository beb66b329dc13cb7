"""What a supplier's papers allow of a fragrance."""
