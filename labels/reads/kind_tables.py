"""The tables of claims and kinds of product, read from the repository once."""

from functools import cache

from labels.domain.assessment import Asked
from labels.domain.kind import Duty, KindBook, Line, Telling
from labels.domain.restricted import Limit
from labels.domain.wording import Pattern
from labels.reads.tables import rows_of


@cache
def claim_words() -> tuple[Pattern, ...]:
    """The words that make a claim, in every language that the table holds."""
    return tuple(Pattern.of(row) for row in rows_of("claim_words"))


@cache
def telling_names() -> tuple[Telling, ...]:
    """Ingredient names of synthetic detergents and actives."""
    return tuple(Telling(row["name"], row["tells"]) for row in rows_of("telling_names"))


@cache
def kind_table(code: str) -> tuple[Line, ...]:
    """What each finding makes of a product under the rules of that code."""
    return tuple(
        Line(
            tips=row["tips"],
            kind=row["kind"],
            prints=row["prints"] == "yes",
            says=row["says"],
            source=row["source"],
            standing=row["standing"],
        )
        for row in rows_of(f"kinds/{code}")
    )


@cache
def kind_duties(code: str) -> tuple[Duty, ...]:
    """What applies to each kind of product under the rules of that code."""
    return tuple(Duty(**row) for row in rows_of(f"kind_duties/{code}"))


@cache
def restricted(code: str) -> tuple[Limit, ...]:
    """The restricted and forbidden substances that we know of under these rules."""
    return tuple(Limit.of(row) for row in rows_of(f"restricted/{code}"))


@cache
def kind_book(code: str) -> KindBook:
    """All of the above for the rules of that code."""
    return KindBook(
        code, claim_words(), telling_names(), kind_table(code), kind_duties(code)
    )


@cache
def asked_before(code: str) -> tuple[Asked, ...]:
    """What these rules ask for before a product is placed on the market."""
    return tuple(Asked(**row) for row in rows_of(f"assessed/{code}"))
