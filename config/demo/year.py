"""The whole invented year, January to November 2026, in the order of its days."""

from config.demo import (
    buying,
    cooking,
    finishing,
    keeping,
    recipes,
    scents,
    selling,
    trying,
)
from config.demo.diary import Diary, day
from config.demo.labels import write_labels
from config.demo.trying import write_own_rule
from config.demo.workshop import set_up
from production.models import Deed
from production.reads.clock import told_by

# The order of one day's entries: what arrives can be used, what is filled be sold.
NOUNS = (recipes, buying, scents, keeping, cooking, finishing, trying, selling)


def fill(password: str) -> None:
    """Fill an empty, migrated database; the three people sign in with ``password``."""
    with told_by(day(11, 30)):
        _fill(password)


def _fill(password: str) -> None:
    people = set_up(password)
    diary = Diary()
    for noun in NOUNS:
        noun.plan(diary, people)
    diary.write()
    write_labels()
    write_own_rule(people, Deed.objects.latest("on").on)
