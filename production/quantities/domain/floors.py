"""A share as a drum says it: 85 %, or "min. 85 %", of which only a floor is known."""

import re

# In the languages that drums are printed in; those but English and German: from memory.
_BEFORE = re.compile(
    r"(?:min(?:imum|imal|imo|d|dest(?:ens)?)?\b\.?|at least|not less than|no less than"
    r"|nlt\b|>=|=>|>|\N{GREATER-THAN OR EQUAL TO}|au moins|al menos|almeno|ten minste"
    r"|minst|pelo menos|co najmniej)\s*:?\s*",
    re.IGNORECASE,
)
_AFTER = re.compile(
    r"\s*(?:min(?:imum)?\b\.?|or more|or above|and above|\+)\s*$", re.IGNORECASE
)


def without_floor(text: str) -> tuple[str, bool]:
    """The figure alone, and whether it was called a floor."""
    bare = text.strip()
    if found := _BEFORE.match(bare):
        return bare[found.end() :].strip(), True
    if found := _AFTER.search(bare):
        return bare[: found.start()].strip(), True
    return bare, False
