"""What stands on one label, and what is still missing, each with its clause."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from labels.domain.durability import Keeping, last_day, mark, month_form
from labels.domain.duties import DUTIES
from labels.domain.net_contents import NetContents, net_contents, read_contents
from labels.domain.rules import Clause
from production.quantities.domain.refusal import Refused

# Names of the member states, in English and as their own addresses write them.
_UNION = re.compile(
    r"\b(Austria|Österreich|Belgium|Belgique|België|Bulgaria|Croatia|Hrvatska|Cyprus"
    r"|Czechia|Česko|Denmark|Danmark|Estonia|Eesti|Finland|Suomi|France|Germany"
    r"|Deutschland|Greece|Hungary|Magyarország|Ireland|Italy|Italia|Latvia|Latvija"
    r"|Lithuania|Lietuva|Luxembourg|Malta|Netherlands|Nederland|Poland|Polska|Portugal"
    r"|Romania|România|Slovakia|Slovensko|Slovenia|Slovenija|Spain|España|Sweden"
    r"|Sverige)\b",
    re.IGNORECASE,
)
_NORTHERN = re.compile(r"\bNorthern Ireland\b", re.IGNORECASE)
_ONLINE = re.compile(r"[\w-]+\.[A-Za-z]{2,}\b")
_PHONE = re.compile(r"(?<!\d)(\+?1[ .-]?)?\(?[2-9]\d\d\)?[ .-]?\d{3}[ .-]?\d{4}(?!\d)")
# After the town and at the end: elsewhere five figures stand before the town.
_ZIP = re.compile(
    r"[A-Za-z.],? \d{5}(-\d{4})?[\s,]*(U\.?S\.?(A\.?)?)?\s*$", re.MULTILINE
)
_POST_CODE = re.compile(r"\b\d{4,6}\b|\b[A-Z]{1,2}\d")
# Words of an identity that tell what a thing is for.
CLEAR = {"soap", "wash", "gel", "shampoo", "cleanser", "savon", "seife"}


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that must stand on the label and does not, or does not fit."""

    what: str
    why: str
    clause: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFacts:
    """What is known of a product and a lot. ``batch`` None is written in by hand;
    ``no_list`` says why there is no ingredient list, ``unfit`` why the lot itself may
    not carry a label."""

    identity: str = ""
    function: str = ""
    second_language: str = ""
    declared: str = ""
    ingredients: tuple[str, ...] = ()
    no_list: str = ""
    basis: str = ""
    batch: str | None = None
    keeping: Keeping = field(default_factory=Keeping)
    maker: str = ""
    place: str = ""
    contact: str = ""
    responsible: str = ""
    origin: str = ""
    directions: str = ""
    cautions: str = ""
    no_cautions: bool = False
    notes: tuple[str, ...] = ()
    unfit: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Words:
    """What a label of one set of rules says around its facts."""

    ingredients: str
    batch: str
    best_before: str
    contact: str


WORDS: Mapping[str, Words] = {
    "us": Words("Ingredients:", "Batch", "Best before", "Questions or reactions:"),
    "eu": Words("Ingredients:", "Batch", "Best used before the end of", "Contact:"),
    "ca": Words(
        "Ingredients / Ingrédients :", "Lot", "Best before / Meilleur avant", "Contact:"
    ),
}


@dataclass(frozen=True, slots=True)
class LabelContent:
    """The words of a label; "" where there are none. ``batch`` and ``best_before``
    are "" with ``to_write`` naming them where a person writes them in."""

    rules: str
    basis: str
    identity: str
    function: str
    second_language: str
    contents: NetContents | None
    heading: str
    ingredients: str
    directions: str
    cautions: str
    batch_words: str
    batch: str
    best_before_words: str
    best_before: str
    after_opening: str
    maker: str
    place: str
    contact: str
    responsible: str
    origin: str
    to_write: frozenset[str]
    missing: tuple[Missing, ...]
    notes: tuple[str, ...] = ()

    @property
    def net_contents(self) -> tuple[str, ...]:
        return self.contents.parts if self.contents else ()

    def lacking(self, more: tuple[Missing, ...]) -> "LabelContent":
        """The same, with what did not fit."""
        return replace(self, missing=(*self.missing, *more))


def label(facts: LabelFacts, rules: str) -> LabelContent:
    """Word a label under ``us``, ``eu`` or ``ca`` and name what is missing.

    Never raises for what is missing; the clauses are those of ``duties``.
    """
    words, kept = WORDS[rules], facts.keeping
    shown = mark(kept)
    day = last_day(kept) if shown == "date" else None
    opened = shown == "jar" or (shown == "unknown" and not kept.once)
    contents, fault = _contents(facts, rules)
    missing = _missing(facts, rules, fault)
    to_write = {"batch"} if facts.batch is None else set()
    if rules == "eu" and shown == "date" and day is None:
        to_write.add("best before")
    return LabelContent(
        rules=rules,
        basis=facts.basis,
        identity=_tidy(facts.identity),
        function=_tidy(facts.function),
        second_language=_tidy(facts.second_language),
        contents=contents,
        heading=words.ingredients,
        ingredients=", ".join(facts.ingredients),
        directions=_tidy(facts.directions),
        cautions=_tidy(facts.cautions),
        batch_words=words.batch,
        batch=facts.batch or "",
        best_before_words=words.best_before,
        best_before=month_form(day) if day else "",
        after_opening=f"{kept.opened_months}M" if opened and kept.opened_months else "",
        maker=_tidy(facts.maker),
        place=_tidy(", ".join(facts.place.splitlines())),
        contact=_labelled(words.contact, facts.contact),
        responsible=_labelled(
            "Responsible person:",
            ", ".join(facts.responsible.splitlines()) if rules == "eu" else "",
        ),
        origin=_tidy(facts.origin),
        to_write=frozenset(to_write),
        missing=missing,
        notes=facts.notes,
    )


def _tidy(text: str) -> str:
    return " ".join(text.split()).replace(" ,", ",")


def _labelled(word: str, text: str) -> str:
    return f"{word} {_tidy(text)}" if text.strip() else ""


def _contents(facts: LabelFacts, rules: str) -> tuple[NetContents | None, str]:
    if not facts.declared.strip():
        return None, "Write on the label card what one of them holds, such as 8 fl oz."
    try:
        return net_contents(read_contents(facts.declared), rules), ""
    except Refused as refusal:
        return None, str(refusal)


def _missing(facts: LabelFacts, rules: str, fault: str) -> tuple[Missing, ...]:
    found = []
    for clause in DUTIES[rules]:
        why = (
            fault if clause.field == "contents" else CHECKS[clause.field](facts, rules)
        )
        if why:
            found.append(Missing(_name(clause), why, clause.cited))
    found += [Missing("The lot itself", why, "this book") for why in facts.unfit]
    return tuple(found)


NAMES = {
    "contents": "Net contents",
    "union": "Responsible person",
    "origin": "Country of origin",
    "cautions": "Precautions",
    "batch": "Batch number",
    "maker": "Name of the maker",
    "place": "Place of the maker",
    "contact": "Contact for reactions",
    "ingredients": "Ingredient list",
}


def _name(clause: Clause) -> str:
    return NAMES.get(clause.field, clause.field.capitalize())


def in_the_union(address: str) -> bool:
    """Whether an address names a country of the Union."""
    return bool(_UNION.search(_NORTHERN.sub("", address)))


def reaches_us(text: str) -> bool:
    """A domestic address or phone number, or a way on line (21 USC 364e(a))."""
    return any(way.search(text) for way in (_ONLINE, _PHONE, _ZIP))


def _no_identity(facts: LabelFacts, rules: str) -> str:
    if facts.identity.strip():
        return ""
    return "Write on the label card what it is, such as Liquid hand soap."


def _no_maker(facts: LabelFacts, rules: str) -> str:
    return "" if facts.maker.strip() else "Write the workshop's name on its card."


def _no_place(facts: LabelFacts, rules: str) -> str:
    if not facts.place.strip():
        return "Write the workshop's address on its card."
    # The first line of several is the street, whose number is no postal code.
    town = facts.place.strip().splitlines()
    text = " ".join(town[1:] or town)
    if rules == "us" and not _POST_CODE.search(text):
        return "Add the ZIP code to the workshop's address."
    return ""


def _no_contact(facts: LabelFacts, rules: str) -> str:
    if rules == "us" and reaches_us(f"{facts.contact}\n{facts.place}"):
        return ""
    if facts.contact.strip():
        if rules != "us":
            return ""
        return (
            "The workshop's contact is no US address, US phone number, web page or "
            "mail address: add one."
        )
    return "Write the contact for reactions on the workshop's card."


def _no_list(facts: LabelFacts, rules: str) -> str:
    if facts.ingredients:
        return ""
    return facts.no_list or "No lot was made from which to tell."


def _no_function(facts: LabelFacts, rules: str) -> str:
    told = set(re.findall(r"[a-z]+", facts.identity.lower()))
    if facts.function.strip() or told & CLEAR:
        return ""
    return "Say on the label card what it is for: its name does not tell."


def _no_union(facts: LabelFacts, rules: str) -> str:
    if in_the_union(facts.responsible):
        return ""
    if facts.responsible.strip():
        return "The address of the responsible person names no country of the Union."
    if facts.maker.strip() and in_the_union(facts.place):
        return ""
    return (
        "The workshop's address names no country of the Union: write on the label "
        "card the responsible person there."
    )


def _no_origin(facts: LabelFacts, rules: str) -> str:
    if facts.origin.strip() or in_the_union(facts.place):
        return ""
    return "Say on the label card where it was made, such as Made in the USA."


def _no_durability(facts: LabelFacts, rules: str) -> str:
    shown = mark(facts.keeping)
    if shown == "unknown":
        return "Say on the label card how many months it keeps."
    if shown == "jar" and not facts.keeping.opened_months:
        return "It keeps over 30 months: say how many it keeps once opened."
    return ""


def _no_cautions(facts: LabelFacts, rules: str) -> str:
    if facts.cautions.strip() or facts.no_cautions:
        return ""
    return "Write the precautions on the label card, or tick that none are needed."


def _no_batch(facts: LabelFacts, rules: str) -> str:
    return "Give the batch number." if facts.batch == "" else ""


def _no_second_language(facts: LabelFacts, rules: str) -> str:
    if facts.second_language.strip():
        return ""
    return (
        "Write identity, function, directions and cautions in French on the label card."
    )


CHECKS: Mapping[str, Callable[[LabelFacts, str], str]] = {
    "identity": _no_identity,
    "maker": _no_maker,
    "place": _no_place,
    "contact": _no_contact,
    "ingredients": _no_list,
    "function": _no_function,
    "union": _no_union,
    "origin": _no_origin,
    "durability": _no_durability,
    "cautions": _no_cautions,
    "batch": _no_batch,
    "second language": _no_second_language,
}
