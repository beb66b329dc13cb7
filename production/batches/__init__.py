"""Running a batch, the craft day, trials, and what was really weighed."""
