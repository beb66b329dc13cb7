"""How long something takes."""

import statistics
from time import perf_counter


def seconds(act, times):
    """The middle of several runs, after one that warms up."""
    act()
    found = []
    for _ in range(times):
        start = perf_counter()
        act()
        found.append(perf_counter() - start)
    return statistics.median(found)
