"""Which languages a label must speak where it is sold, and the rules' own words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Country:
    """Where a label is sold: its law, and the languages that a shopper there reads.

    ``union``: a member state of the European Union.
    """

    code: str
    name: str
    rules: str
    languages: tuple[str, ...]
    union: bool = False

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Words:
    """What a label says around its facts, in one language."""

    language: str
    called: str
    ingredients: str
    batch: str
    best_before: str
    contact: str
    responsible: str
    made_in: str
    distributed_by: str
    made_for: str
    imported_by: str
    imported_for: str


def countries_of(rows: Iterable[Mapping[str, str]]) -> tuple[Country, ...]:
    return tuple(
        Country(
            row["code"],
            row["name"],
            row["rules"],
            tuple(row["languages"].split()),
            row["union"] == "yes",
        )
        for row in rows
    )


def words_of(rows: Iterable[Mapping[str, str]]) -> dict[str, Words]:
    """By language."""
    names = [field.name for field in fields(Words)]
    return {row["language"]: Words(*(row[name] for name in names)) for row in rows}


def together(words: Iterable[Words], name: str) -> str:
    """One word in each language, each once: ``Ingredients / Ingrédients``."""
    found = dict.fromkeys(getattr(one, name) for one in words)
    return " / ".join(word for word in found if word)
