"""What is known of a product and a lot before its label is worded."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from labels.domain.durability import Keeping
from labels.domain.heights import Bottle
from labels.domain.languages import Country, Words

State = Literal["present", "missing", "not needed"]
Body = Literal["", "liquid", "paste"]
Role = Literal[
    "responsible", "distributed_by", "made_for", "imported_by", "imported_for"
]


@dataclass(frozen=True, slots=True)
class Found:
    """How it stands with one thing that a label is asked for, and by which clause.

    ``clause`` is as cited, with its standing where that is less than verified.
    """

    element: str
    state: State
    clause: str
    says: str

    @property
    def missing(self) -> bool:
        return self.state == "missing"


@dataclass(frozen=True, slots=True)
class ProductText:
    """What a card says of a product in one language; "" where nothing is said."""

    language: str
    identity: str = ""
    function: str = ""
    directions: str = ""
    cautions: str = ""
    origin: str = ""


@dataclass(frozen=True, slots=True)
class Address:
    """Somebody who stands on a label; ``country`` is the code of ISO 3166-1, "" where
    nobody said it. ``role`` says what they have to do with the goods."""

    name: str = ""
    lines: tuple[str, ...] = ()
    country: str = ""
    country_name: str = ""
    role: Role = "responsible"

    @property
    def domestic(self) -> str:
        """All but the name and the country, on one line."""
        told = (line.strip().rstrip(",") for line in self.lines)
        return ", ".join(line for line in told if line)

    @property
    def text(self) -> str:
        """The same with the country, unless it stands there already."""
        domestic = self.domestic
        if self.country_name.casefold() in domestic.casefold():
            return domestic
        return ", ".join(filter(None, [domestic, self.country_name]))

    def __bool__(self) -> bool:
        return bool(self.name.strip() or self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """What a maker puts on it of his own; ``mark`` is the digest of its file, ``signs``
    the names of the symbols."""

    product: str = ""
    scent: str = ""
    mark: str = ""
    shelf: str = ""
    signs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFacts:
    """What is known of a product and a lot.

    ``texts`` go in the order of ``languages``, those asked for where it is sold; none
    where nobody said where; ``others`` are in languages that are not. ``words`` are
    those of the rules, by language. ``on`` is the day on which it is put on sale;
    ``union`` the codes of the member states. ``batch`` None is written in by hand;
    ``no_list`` says why there is no ingredient list; ``more`` is what other parts of
    the house found out of this lot; ``body`` says how it flows.
    """

    texts: tuple[ProductText, ...] = ()
    others: tuple[ProductText, ...] = ()
    words: Mapping[str, Words] = field(default_factory=dict)
    languages: tuple[str, ...] = ("en",)
    sold_in: Country | None = None
    union: frozenset[str] = frozenset()
    declared: str = ""
    ingredients: tuple[str, ...] = ()
    no_list: str = ""
    basis: str = ""
    batch: str | None = None
    keeping: Keeping = field(default_factory=Keeping)
    maker: Address = field(default_factory=Address)
    contact: str = ""
    answers: Address = field(default_factory=Address)
    no_cautions: bool = False
    bottle: Bottle = field(default_factory=Bottle)
    front: Front = field(default_factory=Front)
    body: Body = ""
    on: date = date.max
    notes: tuple[str, ...] = ()
    more: tuple[Found, ...] = ()

    def told(self, field: str) -> str:
        """One field of the first language."""
        return getattr(self.texts[0], field).strip() if self.texts else ""

    def says(self, field: str) -> bool:
        """Whether a field stands in any language; another question asks in which."""
        known = (*self.texts, *self.others)
        return any(getattr(one, field).strip() for one in known)

    def text(self, language: str) -> ProductText:
        """What is said in that language; an empty text for nothing."""
        found = (one for one in self.texts if one.language == language)
        return next(found, ProductText(language))

    def called(self, language: str) -> str:
        """The English name of a language that has words here, else its code."""
        words = self.words.get(language)
        return words.called if words else language
