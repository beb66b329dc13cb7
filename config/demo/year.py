"""The whole invented year, January to November 2026, in the order of its days."""

from config.demo import buying, cooking, finishing, keeping, selling
from config.demo.diary import Diary, day
from config.demo.labels import write_labels
from config.demo.recipes import write_recipes
from config.demo.workshop import set_up

# The order of one day's entries: what arrives can be used, what is filled be sold.
NOUNS = (buying, keeping, cooking, finishing, selling)


def fill(password: str) -> None:
    """Fill an empty, migrated database; the three people sign in with ``password``."""
    people = set_up(password)
    diary = Diary()
    diary.on(day(1, 5), lambda on: write_recipes(people, on))
    for noun in NOUNS:
        noun.plan(diary, people)
    diary.write()
    write_labels()
