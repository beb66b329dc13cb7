"""A source, and how well it was read, for tables that hold no clause of a label."""

from typing import cast

from labels.domain.clauses import Clause, Standing


def cited(source: str, standing: str) -> str:
    """As a clause is cited: the source alone where it was read in full."""
    return Clause("", "", source, cast(Standing, standing)).cited
