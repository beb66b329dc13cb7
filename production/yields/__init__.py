"""What batches took, gave and lost, and what should have come out."""
