"""What a safety assessor looked at, and whether a lot and its label are inside of it.

An assessment is a person's statement on one product; this only compares it with what
was made. It says nothing on whether the product is safe.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from labels.domain.citing import cited
from labels.domain.name_book import folded
from production.quantities.domain.numbers import plain


@dataclass(frozen=True, slots=True)
class Assessed:
    """One assessment. ``recipes``: name -> first and last version, None where open;
    ``fragrances``: name -> highest share of the finished product, as a fraction;
    ``pack`` is the container's name, "" where it was not named."""

    reference: str
    assessor: str
    on: date
    until: date | None = None
    recipes: Mapping[str, tuple[int | None, int | None]] = field(default_factory=dict)
    fragrances: Mapping[str, Decimal] = field(default_factory=dict)
    pack: str = ""
    notification: str = ""
    notified_on: date | None = None
    responsible: str = ""


@dataclass(frozen=True, slots=True)
class Made:
    """What stands in the book of a lot. ``versions``: recipe -> numbers it was made by,
    and ``own`` those of them that made the soap itself, which must be covered;
    ``fragrances``: name -> fraction of the finished lot, None where not known;
    ``packs`` are the containers it was filled into."""

    on: date
    versions: Mapping[str, frozenset[int]] = field(default_factory=dict)
    fragrances: Mapping[str, Decimal | None] = field(default_factory=dict)
    packs: tuple[str, ...] = ()
    own: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """What a set of rules asks for before a product is placed on the market."""

    what: str
    says: str
    source: str
    standing: str

    @property
    def cited(self) -> str:
        return cited(self.source, self.standing)


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether it is there, in words; ``outside``: where the lot is not as assessed."""

    asked: Asked
    state: Literal["present", "missing"]
    says: str
    outside: tuple[str, ...] = ()


def answers(
    asked: Sequence[Asked],
    assessed: Assessed | None,
    made: Made | None,
    on: date,
    *,
    responsible: str = "",
) -> tuple[Answer, ...]:
    """What stands of each thing asked for; ``made`` None is a product without a lot.

    ``responsible`` is who stands on the label; ``on`` the day of the label.
    """
    return tuple(
        _notified(one, assessed, on)
        if one.what == "notification"
        else _assessed(one, assessed, made, on, responsible)
        for one in asked
    )


def _assessed(
    asked: Asked,
    assessed: Assessed | None,
    made: Made | None,
    on: date,
    responsible: str,
) -> Answer:
    if assessed is None:
        return Answer(
            asked,
            "missing",
            "No assessment is on file: write down the assessor's reference, name and "
            "date, and what was looked at.",
        )
    named = f"{assessed.reference} by {assessed.assessor}, {assessed.on:%-d %B %Y}"
    out = outside(assessed, made, on, responsible=responsible)
    if out:
        return Answer(asked, "missing", f"{named}: {' '.join(out)}", out)
    return Answer(asked, "present", named)


def _notified(asked: Asked, assessed: Assessed | None, on: date) -> Answer:
    if assessed is None or not assessed.notification:
        return Answer(asked, "missing", "No notification is on file: write its number.")
    day = assessed.notified_on
    if day is not None and day > on:
        return Answer(
            asked, "missing", f"The notification is dated {day:%-d %B %Y}, after today."
        )
    when = f", {day:%-d %B %Y}" if day else ""
    return Answer(asked, "present", f"{assessed.notification}{when}")


def outside(
    assessed: Assessed, made: Made | None, on: date, *, responsible: str = ""
) -> tuple[str, ...]:
    """Everything in which a lot or its label is not what was assessed, as sentences."""
    found = []
    if on < assessed.on:
        found.append(f"It holds from {assessed.on:%-d %B %Y} on only.")
    if assessed.until is not None and on > assessed.until:
        found.append(f"It held until {assessed.until:%-d %B %Y}: ask for a new one.")
    if assessed.responsible.strip() and not _same_person(assessed, responsible):
        found.append(
            f"It names {_first_line(assessed.responsible)} as responsible person; the "
            "label does not."
        )
    if not assessed.recipes:
        found.append(
            "It names no recipe: say which recipe and versions were looked at."
        )
    if made is not None:
        found += _recipes(assessed, made)
        found += _fragrances(assessed, made)
        found += _packs(assessed, made)
    return tuple(found)


def _recipes(assessed: Assessed, made: Made) -> list[str]:
    found = []
    for name, (first, last) in assessed.recipes.items():
        numbers = made.versions.get(name, frozenset())
        if not numbers:
            found.append(f"The lot was not made by {name}, which was assessed.")
        out = [
            number
            for number in sorted(numbers)
            if (first is not None and number < first)
            or (last is not None and number > last)
        ]
        if out:
            versions = ", ".join(f"v{number}" for number in out)
            found.append(
                f"The lot was made by {name} {versions}; assessed was "
                f"{_range(first, last)}."
            )
    if assessed.recipes:
        found += [
            f"The lot was made by {name}, which was not assessed."
            for name in made.own
            if name not in assessed.recipes
        ]
    return found


def _range(first: int | None, last: int | None) -> str:
    if first is None and last is None:
        return "every version"
    if first == last:
        return f"v{first}"
    if last is None:
        return f"v{first} and later"
    return f"v{first} to v{last}" if first is not None else f"up to v{last}"


def covers(assessed: Assessed) -> tuple[str, ...]:
    """What was looked at, phrase by phrase."""
    recipes = [
        f"{name}, {_range(first, last)}"
        for name, (first, last) in assessed.recipes.items()
    ]
    fragrances = [
        f"{name} up to {_percent(most)}" for name, most in assessed.fragrances.items()
    ]
    return (
        *(recipes or ["no recipe named"]),
        *(fragrances or ["no fragrance"]),
        assessed.pack or "any container",
    )


def _fragrances(assessed: Assessed, made: Made) -> list[str]:
    found = []
    highest = {folded(name): share for name, share in assessed.fragrances.items()}
    for name, share in made.fragrances.items():
        most = highest.get(folded(name))
        if most is None:
            found.append(f"{name} was not assessed in it.")
        elif share is None:
            found.append(f"How much {name} is in the finished lot is not known.")
        elif share > most:
            found.append(
                f"{name} is {_percent(share)} of the finished lot; assessed was at "
                f"most {_percent(most)}."
            )
    return found


def _packs(assessed: Assessed, made: Made) -> list[str]:
    if not assessed.pack:
        return []
    return [
        f"It is filled into {pack}; assessed was {assessed.pack}."
        for pack in made.packs
        if folded(pack) != folded(assessed.pack)
    ]


def _percent(share: Decimal) -> str:
    return f"{plain(round(share * 100, 4))} %"


def _same_person(assessed: Assessed, responsible: str) -> bool:
    return folded(_first_line(assessed.responsible)) in folded(responsible)


def _first_line(text: str) -> str:
    return text.strip().splitlines()[0].split(",")[0].strip()
