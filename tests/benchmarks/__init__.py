"""How fast it is: ``python -m tests.benchmarks`` prints a table."""
