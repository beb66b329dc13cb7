"""What stands on one label, and how it stands with each thing it is asked for."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from labels.domain.durability import last_day, mark, month_form
from labels.domain.facts import Address, Found, LabelFacts, ProductText
from labels.domain.languages import Words, together
from labels.domain.net_contents import NetContents, read_contents
from labels.domain.rules import RuleSet
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that must stand on the label and does not, or does not fit."""

    what: str
    why: str
    clause: str


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
    found: tuple[Found, ...] = ()
    languages: tuple[str, ...] = ("en",)
    product: str = ""
    scent: str = ""
    mark: str = ""
    shelf: str = ""
    signs: str = ""

    @property
    def net_contents(self) -> tuple[str, ...]:
        return self.contents.parts if self.contents else ()

    def lacking(self, more: tuple[Missing, ...]) -> "LabelContent":
        """The same, with what did not fit."""
        return replace(self, missing=(*self.missing, *more))


def label(facts: LabelFacts, rules: RuleSet) -> LabelContent:
    """Word a label under a set of rules and tell what is present and missing.

    Never raises for what is missing.
    """
    words = _words(facts)
    kept = facts.keeping
    shown = mark(kept)
    day = last_day(kept) if shown == "date" else None
    opened = shown == "jar" or (shown == "unknown" and not kept.once)
    asked = (element.found(facts, rules) for element in rules.elements)
    found = (*asked, *facts.more)
    to_write = {"batch"} if facts.batch is None else set()
    if rules.dated and shown == "date" and day is None:
        to_write.add("best before")
    at_home = facts.maker.country in {one.code for one in rules.countries}
    first, *others = facts.texts or (ProductText("en"),)
    return LabelContent(
        rules=rules.code,
        basis=facts.basis,
        identity=_tidy(first.identity),
        function=_tidy(first.function),
        second_language=_joined(
            _sentence(one.identity, one.function) for one in others
        ),
        contents=_contents(facts, rules),
        heading=(rules.heading or together(words, "ingredients")) + ":",
        ingredients=", ".join(facts.ingredients),
        directions=_joined(one.directions for one in facts.texts),
        cautions=_joined(one.cautions for one in facts.texts),
        batch_words=together(words, "batch"),
        batch=facts.batch or "",
        best_before_words=together(words, "best_before"),
        best_before=month_form(day) if day else "",
        after_opening=f"{kept.opened_months}M" if opened and kept.opened_months else "",
        maker=_tidy(facts.maker.name),
        place=_tidy(facts.maker.domestic if at_home else facts.maker.text),
        contact=_labelled(together(words, "contact"), facts.contact),
        responsible=_answering(facts.answers, words),
        origin=_origin(facts, found),
        to_write=frozenset(to_write),
        missing=tuple(
            Missing(one.element, one.says, one.clause) for one in found if one.missing
        ),
        notes=facts.notes,
        found=found,
        languages=facts.languages,
        product=_tidy(facts.front.product),
        scent=_tidy(facts.front.scent),
        mark=facts.front.mark,
        shelf=facts.front.shelf,
        signs=", ".join(facts.front.signs),
    )


def _words(facts: LabelFacts) -> list[Words]:
    """Those of the rules in each language of the label; English where none is known."""
    told = [facts.words[one] for one in facts.languages if one in facts.words]
    return told or [facts.words["en"]]


def _tidy(text: str) -> str:
    return " ".join(text.split()).replace(" ,", ",")


def _joined(texts: Iterable[str]) -> str:
    return " ".join(filter(None, map(_tidy, texts)))


def _sentence(*texts: str) -> str:
    return ". ".join(filter(None, (_tidy(text).rstrip(".") for text in texts)))


def _labelled(word: str, text: str) -> str:
    return f"{word}: {_tidy(text)}" if text.strip() else ""


def _answering(told: Address, words: list[Words]) -> str:
    if not told:
        return ""
    told_as = together(words, told.role)
    mark = "" if told_as.endswith(":") else ":" if told.role == "responsible" else ""
    return _tidy(f"{told_as}{mark} {', '.join(filter(None, [told.name, told.text]))}")


def _origin(facts: LabelFacts, found: tuple[Found, ...]) -> str:
    """As the card words it in each language; else the country, where it is asked for.

    English words stand ready; others are the maker's.
    """
    asked = any(
        one.element == "Country of origin" and one.state == "present" for one in found
    )
    country = facts.maker.country_name
    ready = f"{facts.words['en'].made_in} {country}" if asked and country else ""
    told = [
        one.origin or (ready if one.language == "en" else "") for one in facts.texts
    ]
    return " / ".join(dict.fromkeys(filter(None, map(_tidy, told)))) or ready


def _contents(facts: LabelFacts, rules: RuleSet) -> NetContents | None:
    try:
        return rules.contents(read_contents(facts.declared))
    except Refused:
        # Its element says why.
        return None
