"""What was found when somebody looked."""
