"""What still waits for a passed check, for the tests of checks."""

from datetime import date

from production.fitness.reads.rows import load


def still_open(lot, on=date.max):
    """Whether alkali is in it that no passed check has cleared by that day."""
    return bool(load([lot]).family(on).open_points(lot.code))


def last_verdict(lot):
    """What the check that decides says: True, False, "waits", or None without one."""
    family = load([lot]).family(date.max)
    last = family.last_check(family.nodes[lot.code])
    if last is None:
        return None
    return "waits" if last.passed is None else last.passed
