"""What a label may be asked for, and the small questions that tell whether it has it.

A check gets the facts and the rules and answers with a state and a sentence; a set of
rules picks those it asks for.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from labels.domain.durability import mark
from labels.domain.facts import Address, Found, LabelFacts, State
from labels.domain.name_book import folded
from labels.domain.net_contents import read_contents
from labels.domain.rules import RuleSet
from production.quantities.domain.refusal import Refused

_ONLINE = re.compile(r"[\w-]+\.[A-Za-z]{2,}\b")
_PHONE = re.compile(r"(?<!\d)(\+?1[ .-]?)?\(?[2-9]\d\d\)?[ .-]?\d{3}[ .-]?\d{4}(?!\d)")
_POST_CODE = re.compile(r"\d{3}|[A-Z]{1,2}\d")
_ZIP = re.compile(r"(?<!\d)\d{5}(-\d{4})?(?!\d)")
_CANADIAN = re.compile(r"\b[A-Z]\d[A-Z] ?\d[A-Z]\d\b", re.IGNORECASE)
# What the post code of a country looks like, where we know it.
_BRITISH = re.compile(r"\b[A-Z]{1,2}\d[A-Z\d]? ?\d[A-Z]{2}\b", re.IGNORECASE)
_BELFAST = re.compile(r"\bBT\d{1,2} ?\d[A-Z]{2}\b", re.IGNORECASE)
_FIVE, _FOUR = re.compile(r"(?<!\d)\d{5}(?!\d)"), re.compile(r"(?<!\d)\d{4}(?!\d)")
POST_CODES = {
    "US": _ZIP,
    "CA": _CANADIAN,
    "GB": _BRITISH,
    **dict.fromkeys(("DE", "ES", "FI", "FR", "IT"), _FIVE),
    **dict.fromkeys(("AT", "BE", "DK", "NL"), _FOUR),
}
NORTHERN_IRELAND = "XI"
# Words of an identity that tell what a thing is for.
CLEAR = {"soap", "wash", "gel", "shampoo", "cleanser", "savon", "seife", "jabón"}
# A text of so many words is not the same in two languages by chance.
SENTENCE = 3

Answer = tuple[State, str]
Check = Callable[[LabelFacts, RuleSet], Answer]
PRESENT: Answer = ("present", "")


def missing(why: str) -> Answer:
    return "missing", why


def not_needed(why: str) -> Answer:
    return "not needed", why


@dataclass(frozen=True, slots=True)
class Element:
    """One thing that a label is asked for; its clause has the same key."""

    key: str
    name: str
    check: Check

    def found(self, facts: LabelFacts, rules: RuleSet) -> Found:
        state, says = self.check(facts, rules)
        return Found(self.name, state, rules.clause(self.key).cited, says)


def reaches_us(text: str, country: str) -> bool:
    """A domestic address or phone number, or a way on line (21 USC 364e(a))."""
    if country == "US" and _ZIP.search(text):
        return True
    return bool(_ONLINE.search(text) or _PHONE.search(text))


def identity(facts: LabelFacts, rules: RuleSet) -> Answer:
    if facts.says("identity"):
        return PRESENT
    return missing("Write on the label card what it is, such as Liquid hand soap.")


def maker(facts: LabelFacts, rules: RuleSet) -> Answer:
    if facts.answers.name or facts.maker.name:
        return PRESENT
    return missing("Write the workshop's name on its card.")


def place(facts: LabelFacts, rules: RuleSet) -> Answer:
    told = facts.answers or facts.maker
    if not told.lines:
        return missing("Write the workshop's address on its card.")
    if not told.country:
        return missing("Say on the workshop's card in which country it is.")
    looks = POST_CODES.get(told.country, _POST_CODE)
    # The first line of several is the street, whose number is no postal code.
    if not looks.search(" ".join(told.lines[1:] or told.lines)):
        code = "ZIP code" if told.country == "US" else "postal code"
        return missing(f"Add the {code} to the address of {told.name}.")
    return PRESENT


def us_contact(facts: LabelFacts, rules: RuleSet) -> Answer:
    told = facts.answers or facts.maker
    if any(
        reaches_us(text, country)
        for text, country in (
            (facts.contact, ""),
            (" ".join(told.lines), told.country),
        )
    ):
        return PRESENT
    if facts.contact.strip():
        return missing(
            "The workshop's contact is no US address, US phone number, web page or "
            "mail address: add one."
        )
    return missing("Write the contact for reactions on the workshop's card.")


def contact(facts: LabelFacts, rules: RuleSet) -> Answer:
    if facts.contact.strip():
        return PRESENT
    return missing("Write the contact for reactions on the workshop's card.")


def ingredients(facts: LabelFacts, rules: RuleSet) -> Answer:
    if facts.ingredients:
        return PRESENT
    return missing(facts.no_list or "No lot was made from which to tell.")


def function(facts: LabelFacts, rules: RuleSet) -> Answer:
    told = set(re.findall(r"[^\W\d_]+", facts.told("identity").lower()))
    if facts.says("function"):
        return PRESENT
    if told & CLEAR:
        return not_needed("Its name tells what it is for.")
    return missing("Say on the label card what it is for: its name does not tell.")


def responsible_in(
    *where: str, union: bool = False, union_until: date | None = None
) -> Check:
    """A responsible person in one of these countries, or in the Union, for good or
    until a day.

    The maker is one, where the workshop is there itself.
    """

    def check(facts: LabelFacts, rules: RuleSet) -> Answer:
        accepted = union or (union_until is not None and facts.on <= union_until)
        places = {*where, *(facts.union if accepted else ())}
        if facts.sold_in is not None and facts.sold_in.code == NORTHERN_IRELAND:
            return _in_northern_ireland(facts)
        if facts.answers:
            return _is_there(facts.answers, places)
        if facts.maker.name and facts.maker.country in places:
            return "present", "The maker is there."
        return missing(
            "The workshop is not there: write under Responsible person or "
            "importer who it is, with address and country."
        )

    return check


def _in_northern_ireland(facts: LabelFacts) -> Answer:
    """There the law of the Union holds: a person there, or in the Union."""
    told = facts.answers or facts.maker
    if told.country in facts.union or (
        told.country == "GB" and _BELFAST.search(" ".join(told.lines))
    ):
        return _is_there(told, {told.country})
    return missing(
        "In Northern Ireland the responsible person is there (a BT postal code) or in "
        "the Union: write under Responsible person or importer who it is."
    )


def _is_there(told: Address, places: Iterable[str]) -> Answer:
    if not (told.name.strip() and told.lines):
        return missing("The responsible person has a name and an address.")
    looks = POST_CODES.get(told.country)
    if looks and not looks.search(" ".join(told.lines[1:] or told.lines)):
        return missing(
            f"The address of {told.name} has no postal code of {told.country_name}."
        )
    if told.country not in places:
        return missing(
            f"{told.name} is not there: {told.country_name or 'no country is said'}."
        )
    return PRESENT


def origin_outside(*where: str, union: bool = False) -> Check:
    """The country of origin, of what is made in none of these countries."""

    def check(facts: LabelFacts, rules: RuleSet) -> Answer:
        places = {*where, *(facts.union if union else ())}
        if facts.maker.country in places:
            return not_needed("It is made there.")
        if facts.maker.country or facts.told("origin"):
            return PRESENT
        return missing("Say on the workshop's card in which country it is.")

    return check


def durability(facts: LabelFacts, rules: RuleSet) -> Answer:
    shown = mark(facts.keeping)
    if shown == "unknown":
        return missing("Say on the label card how many months it keeps.")
    if shown == "jar" and not facts.keeping.opened_months:
        return missing("It keeps over 30 months: say how many it keeps once opened.")
    if shown == "none":
        return not_needed("It keeps over 30 months and is used up at once.")
    return PRESENT


def no_durability(facts: LabelFacts, rules: RuleSet) -> Answer:
    if mark(facts.keeping) == "unknown":
        return not_needed("No date is asked for.")
    return not_needed("No date is asked for; the one that the card gives stands there.")


def cautions(facts: LabelFacts, rules: RuleSet) -> Answer:
    if facts.says("cautions"):
        return PRESENT
    if facts.no_cautions:
        return not_needed("The card says that none are needed.")
    return missing(
        "Write the precautions on the label card, or tick that none are needed."
    )


def warnings(facts: LabelFacts, rules: RuleSet) -> Answer:
    """Only where there is something to warn of: the maker knows."""
    if facts.says("cautions"):
        return PRESENT
    return not_needed("The card has none; one is needed where harm could be averted.")


def contents(facts: LabelFacts, rules: RuleSet) -> Answer:
    """What one of them holds, in words and figures that the rules allow."""
    if not facts.declared.strip():
        return missing(
            "Write on the label card what one of them holds, such as 8 fl oz."
        )
    try:
        rules.contents(read_contents(facts.declared))
    except Refused as refusal:
        return missing(str(refusal))
    return PRESENT


def batch(facts: LabelFacts, rules: RuleSet) -> Answer:
    return missing("Give the batch number.") if facts.batch == "" else PRESENT


def languages(*fields: str) -> Check:
    """Each of these fields stands in each language, and not twice in one."""

    def check(facts: LabelFacts, rules: RuleSet) -> Answer:
        if not facts.languages:
            return missing(
                "Say in which country it is sold: its language follows from there."
            )
        why = " ".join(_lacking(facts, rules, fields))
        return missing(why) if why else PRESENT

    return check


def _lacking(
    facts: LabelFacts, rules: RuleSet, fields: tuple[str, ...]
) -> Iterator[str]:
    needed = [name for name in fields if _stands(facts, rules, name)]
    for language in facts.languages:
        if language not in facts.words:
            yield (
                f"The rules' own words in the language {language} are not known here: "
                "no label is printed in it."
            )
            continue
        text = facts.text(language)
        asked = [name for name in needed if (name, language) != ("origin", "en")]
        lacks = [
            SAID[name] for name in asked if not says_something(getattr(text, name))
        ]
        if lacks:
            yield (
                f"Write in {facts.called(language)} on the label card: "
                f"{', '.join(lacks)}."
            )
    for name in needed:
        yield from _twice(facts, name)


def _stands(facts: LabelFacts, rules: RuleSet, name: str) -> bool:
    """Whether a field is on the label; the origin stands there of what is imported."""
    at_home = facts.maker.country in {one.code for one in rules.countries}
    return facts.says(name) or (name == "origin" and not at_home)


def says_something(text: str) -> bool:
    """Whether it has a word of it: one letter is none."""
    return any(len(word) > 1 for word in re.findall(r"[^\W\d_]+", text))


SAID = {
    "origin": "where it was made",
    "identity": "what it is",
    "function": "what it is for",
    "directions": "directions",
    "cautions": "precautions",
}


def _twice(facts: LabelFacts, name: str) -> Iterator[str]:
    """A text that stands under another language too, on this label or not."""
    for language in facts.languages:
        text = folded(getattr(facts.text(language), name))
        if len(text.split()) < SENTENCE:
            continue
        same = [
            facts.called(other.language)
            for other in (*facts.texts, *facts.others)
            if other.language != language and folded(getattr(other, name)) == text
        ]
        if same:
            yield (
                f"{SAID[name].capitalize()}: the {facts.called(language)} text is the "
                f"same as the {same[0]} one. Translate it."
            )
