"""Where a rule stands in the law, and how well it was read.

Not legal advice: a clause that is not ``verified`` is to be read again in the
official text before a label leans on it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, cast, get_args

Standing = Literal["verified", "secondary", "recalled", "reading"]


_STANDINGS: Mapping[Standing, str] = {
    "verified": "",
    "secondary": ", read in a summary",
    "recalled": ", source not checked again",
    "reading": ", our reading of it",
}


@dataclass(frozen=True, slots=True)
class Clause:
    """What one rule says, its source, and the day on which it was compared last.

    ``verified``: read in the law or an official copy; ``secondary``: read in a
    summary by an authority or publisher; ``recalled``: from memory; ``reading``: the
    text was read, its application to soap is ours.
    """

    element: str
    says: str
    source: str
    standing: Standing
    read_on: date | None = None

    @property
    def cited(self) -> str:
        """The source, and how well it was read where that is less than in full."""
        return self.source + _STANDINGS[self.standing]


def clauses_of(rows: Iterable[Mapping[str, str]]) -> dict[str, Clause]:
    """By element. Rows have element, says, source, standing and read_on.

    Raises ValueError for an element that stands twice and for an unknown standing.
    """
    found: dict[str, Clause] = {}
    for row in rows:
        if row["element"] in found:
            raise ValueError(f"{row['element']} has two clauses")
        if row["standing"] not in get_args(Standing):
            raise ValueError(f"{row['element']}: no standing {row['standing']!r}")
        found[row["element"]] = Clause(
            row["element"],
            row["says"],
            row["source"],
            cast(Standing, row["standing"]),
            date.fromisoformat(row["read_on"]),
        )
    return found
