"""What kind of product a soap is under each law: by what is in it, is said of it, and
how it is sold.

What tips it is looked for once (``observed``); each set of rules says in its own table
what that makes it, the weightiest first. A reading, not a ruling: the maker decides,
and in doubt she asks a person licensed where it is sold.
"""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal, localcontext

from labels.domain.citing import cited
from labels.domain.wording import NOTHING, Pattern, Said, claims_in
from production.chemistry.domain.composition import Substance
from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ZERO

# "Bulk" has no number in 21 CFR 701.20: more than one half is our reading.
BULK = Decimal(50)
# Names of the inventory whose substance evaporates; water does so by its kind.
VOLATILE = frozenset(
    {"alcohol", "alcohol denat.", "isopropyl alcohol", "sd alcohol 40-b"}
)
ITSELF = "itself"
NOT_BULK = "not bulk"
_SOAP = re.compile(
    r"soap|savon|seife|jab[oó]n|sapone|zeep|m[yý]d[lł]o|tv[åa]l|s[æa]be|saippua"
    r"|sab[ãa]o|sabonete|\u03c3\u03b1\u03c0\u03bf",
    re.IGNORECASE,
)
PURPOSES = {
    "": "people",
    "dishes": "dishes",
    "laundry": "clothes",
    "surfaces": "floors and surfaces",
    "animals": "animals",
}


@dataclass(frozen=True, slots=True)
class Bulk:
    """Soap in what does not evaporate, in percent; two ends where bought soap is in.

    ``low`` counts bought soap as no soap, ``high`` as nothing but soap.
    """

    low: Decimal
    high: Decimal

    @property
    def holds(self) -> bool | None:
        """Whether soap is the bulk of it; None where that is not known."""
        if self.low > BULK:
            return True
        return False if self.high <= BULK else None

    def __str__(self) -> str:
        low, high = f"{self.low:.1f}", f"{self.high:.1f}"
        return f"{low} %" if low == high else f"{low} to {high} %"


@dataclass(frozen=True, slots=True)
class Telling:
    """An ingredient name that tells, with ``*`` for any words before or behind it."""

    written: str
    tells: str

    def fits(self, inci: str) -> bool:
        name, asked = self.written.casefold(), " ".join(inci.split()).casefold()
        if name.startswith("* "):
            tail = name[2:]
            # "Coco-Glucoside" hangs together with a hyphen.
            return asked.endswith((f" {tail}", f"-{tail}"))
        if name.endswith(" *"):
            return asked.startswith(name[:-1])
        return asked == name


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that tips the kind, and the words for it."""

    tips: str
    words: str


@dataclass(frozen=True, slots=True)
class Line:
    """What one thing makes of it under one set of rules."""

    tips: str
    kind: str
    prints: bool
    says: str
    source: str
    standing: str

    @property
    def cited(self) -> str:
        return cited(self.source, self.standing)


@dataclass(frozen=True, slots=True)
class Because:
    """One reason of a reading: what was found, what that makes of it, and its rule."""

    told: Told
    line: Line


@dataclass(frozen=True, slots=True)
class Duty:
    """What applies to a kind of product, besides or instead of a cosmetic's label."""

    kind: str
    says: str
    source: str
    standing: str

    @property
    def cited(self) -> str:
        return cited(self.source, self.standing)


@dataclass(frozen=True, slots=True)
class Decided:
    """What the maker decided, when, and what she leans on; ``over`` is what was found
    then: where something else is found now, it binds no more."""

    kind: str
    on: date
    why: str
    over: str


@dataclass(frozen=True, slots=True)
class KindOfProduct:
    """The kind that counts, our reading, and why; ``prints`` where a label may go on.

    ``because`` holds every reason, the one that decides first; it is empty where
    nothing tips it from what it is by itself. ``bulk`` is None where not known.
    """

    rules: str
    kind: str
    ours: str
    because: tuple[Because, ...]
    itself: Line
    denied: tuple[Said, ...]
    doubts: tuple[str, ...]
    duties: tuple[Duty, ...]
    prints: bool
    bulk: Bulk | None
    decided: Decided | None = None
    outdated: Decided | None = None

    @property
    def against(self) -> bool:
        """Whether the maker decided otherwise than we read it."""
        return self.decided is not None and self.decided.kind != self.ours

    @property
    def over(self) -> str:
        """What the reading leans on, to compare a decision with."""
        return "; ".join(
            sorted({f"{b.told.tips}: {b.told.words}" for b in self.because})
        )

    @property
    def says(self) -> str:
        """The kind and what tips it, in one or two sentences."""
        reading = _reading(self)
        if self.decided is None:
            return reading
        when = f"{self.decided.on:%-d %B %Y}"
        if not self.against:
            return f"{reading} The maker decided the same on {when}."
        return (
            f"The maker decided on {when} that it is {a_kind(self.kind)}, against our "
            f"reading: {reading[0].lower()}{reading[1:]}"
        )


def _reading(found: KindOfProduct) -> str:
    if not found.because:
        return f"It is {a_kind(found.ours)}: {found.itself.says}."
    first = found.because[0]
    same = [one for one in found.because if one.line.kind == found.ours]
    reasons = {one.line.says: one.told.words for one in reversed(same)}
    told = [f"{says} ({words})" for says, words in reversed(reasons.items())]
    says = f"It is {a_kind(found.ours)}: {'; '.join(told)}."
    if not first.line.prints:
        says += " Such a label is not printed here: ask a person licensed for it."
    return says


def a_kind(kind: str) -> str:
    """A kind with its article: "a drug", but "soap"."""
    return kind if kind == "soap" else f"a {kind}"


def bulk(
    finished: Mapping[Substance, Decimal],
    names: Mapping[str, str],
    bought_soap: Collection[str] = (),
) -> Bulk | None:
    """Alkali salts of fatty acids in what does not evaporate, in percent.

    ``finished`` in grams; ``names`` gives the label name of what a substance is ``of``;
    ``bought_soap`` are those of which nobody knows what is in them. Water and alcohol
    evaporate, glycerol, fragrance and all else count as not. None for nothing left.
    """
    with localcontext(EXACT):
        fixed = {s: g for s, g in finished.items() if not _evaporates(s, names)}
        whole = sum(fixed.values(), ZERO)
        if not whole:
            return None
        soap = sum((g for s, g in fixed.items() if s.kind == "soap"), ZERO)
        maybe = sum(
            (
                g
                for s, g in fixed.items()
                if s.kind == "material" and s.of in bought_soap
            ),
            ZERO,
        )
        return Bulk(soap / whole * 100, (soap + maybe) / whole * 100)


def _evaporates(substance: Substance, names: Mapping[str, str]) -> bool:
    if substance.kind == "water":
        return True
    name = names.get(substance.of, "").strip().casefold()
    return substance.kind == "material" and name in VOLATILE


def telling(names: Iterable[str], known: Sequence[Telling]) -> tuple[Told, ...]:
    """Synthetic detergents and actives among ingredient names."""
    found = []
    for name in dict.fromkeys(names):
        tells = {one.tells for one in known if one.fits(name)}
        if tells and NOTHING not in tells:
            found.append(Told(sorted(tells)[0], f"{name} is in it"))
    return tuple(found)


def observed(
    said: Iterable[Said],
    ingredients: Iterable[Told],
    soap: Bulk | None,
    *,
    purpose: str = "",
    sold_as_more: bool = False,
) -> tuple[Told, ...]:
    """All that might tip it, whatever the rules; nothing here is a verdict.

    ``purpose`` is one of ``PURPOSES``, "" for people.
    """
    found = [
        Told(one.claim, f"“{one.words}” {one.where}") for one in said if not one.denied
    ]
    if purpose:
        found.append(Told(purpose, f"the card says it is for {PURPOSES[purpose]}"))
    if sold_as_more:
        found.append(Told("sold as more", "so the card says"))
    found += ingredients
    holds = None if soap is None else soap.holds
    if holds is None:
        words = f"{soap} with bought soap in it" if soap else "no lot tells it"
        found.append(Told("bulk not known", words))
    elif not holds:
        found.append(Told(NOT_BULK, f"{soap} of it is"))
    return tuple(dict.fromkeys(found))


def kind_of(
    rules: str,
    told: Sequence[Told],
    table: Sequence[Line],
    duties: Sequence[Duty],
    *,
    soap: Bulk | None = None,
    denied: Sequence[Said] = (),
    decided: Decided | None = None,
    called_soap: bool = True,
) -> KindOfProduct:
    """The kind under one set of rules, from its ``table``, the weightiest line first.

    What the table has no line for tips nothing there. A decision counts while what it
    was made over is still what is found.
    """
    because = [
        Because(one, line) for line in table for one in told if one.tips == line.tips
    ]
    itself = next(line for line in table if line.tips == ITSELF)
    line = because[0].line if because else itself
    found = KindOfProduct(
        rules=rules,
        kind=line.kind,
        ours=line.kind,
        because=tuple(because),
        itself=itself,
        denied=tuple(denied),
        doubts=_doubts(because, denied, line.kind, called_soap),
        duties=(),
        prints=line.prints,
        bulk=soap,
    )
    if decided is not None and decided.over != found.over:
        found = replace(found, outdated=decided)
    elif decided is not None:
        prints = (decided.kind == line.kind and line.prints) or _prints(
            decided.kind, table
        )
        found = replace(found, kind=decided.kind, decided=decided, prints=prints)
    fits = tuple(duty for duty in duties if duty.kind == found.kind)
    return replace(found, duties=fits)


def _prints(kind: str, table: Sequence[Line]) -> bool:
    return any(line.prints for line in table if line.kind == kind)


def kinds(table: Sequence[Line]) -> tuple[str, ...]:
    """Every kind that a set of rules knows: what it is by itself, then those that are
    printed, then the others."""
    ordered = sorted(table, key=lambda line: (line.tips != ITSELF, not line.prints))
    return tuple(dict.fromkeys(line.kind for line in ordered))


def _doubts(
    because: Sequence[Because],
    denied: Sequence[Said],
    kind: str,
    called_soap: bool,
) -> tuple[str, ...]:
    found = [
        f"“{one.words}” {one.where} is read as denied and not counted: read it again."
        for one in denied
    ]
    if because and because[0].line.standing == "reading":
        found.append(
            "That this tips it is our reading: the rule does not say so itself."
        )
    if kind == "soap" and not called_soap:
        found.append(
            "Nothing on the card calls it soap: a true soap is sold as soap and "
            "nothing else."
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class KindBook:
    """Every table that a reading under one set of rules needs."""

    rules: str
    words: tuple[Pattern, ...]
    names: tuple[Telling, ...]
    table: tuple[Line, ...]
    duties: tuple[Duty, ...]


def read_kind(
    book: KindBook,
    texts: Mapping[str, str],
    ingredients: Iterable[str],
    soap: Bulk | None,
    *,
    purpose: str = "",
    sold_as_more: bool = False,
    decided: Decided | None = None,
    warnings: Collection[str] = (),
) -> KindOfProduct:
    """The whole question at once. ``texts`` are words by where they stand ("in the
    directions"), ``warnings`` where precautions stand, ``ingredients`` label names of
    all that went in."""
    said = claims_in(texts, book.words, warnings)
    told = observed(
        said,
        telling(ingredients, book.names),
        soap,
        purpose=purpose,
        sold_as_more=sold_as_more,
    )
    return kind_of(
        book.rules,
        told,
        book.table,
        book.duties,
        soap=soap,
        denied=[one for one in said if one.denied],
        decided=decided,
        called_soap=any(_SOAP.search(text) for text in texts.values()),
    )
