"""What soap is made of, by oleochemistry: pure sums and the published tables."""
