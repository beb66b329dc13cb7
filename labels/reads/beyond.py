"""What a label leans on beyond its own words: the kind of product, what is restricted
in it, and what was assessed of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from labels.domain.bath import BATH_FOAM, foaming_bath
from labels.domain.facts import Found, State
from labels.domain.front import amount_in
from labels.domain.kind import KindBook, KindOfProduct
from labels.domain.restricted import Restrictions, restrictions
from labels.models import LabelCard
from labels.reads.assessments import answers_for, assessment_answers
from labels.reads.composition import measured, shares_of
from labels.reads.kind_tables import asked_before, kind_book, restricted
from labels.reads.kinds import Held, held_by, kind_for, source_of
from production.models import Lot, Measurement
from production.quantities.domain.refusal import Refused

NO_LOT = "No lot was made yet that could be compared."


@dataclass(frozen=True, slots=True)
class Beyond:
    """The kind that counts and every element that is found beyond the words."""

    kind: KindOfProduct
    found: tuple[Found, ...]


def beyond(card: LabelCard, lot: Lot | None, code: str, on: date) -> Beyond:
    """All of it under the rules of that code; ``lot`` None takes the last one made."""
    source = source_of(card.item, lot)
    held, book = held_by(source), kind_book(code)
    kind = kind_for(card, held, book)
    found = [
        *_front(card),
        _kind(kind),
        *_bath(card, book),
        *_restricted(card, source, held, code, on),
    ]
    answers = assessment_answers(
        asked_before(code),
        card.item,
        code,
        source,
        held.contents,
        on,
        answers_for(code),
    )
    found += [
        Found(one.asked.what.capitalize(), one.state, one.asked.cited, one.says)
        for one in answers
    ]
    return Beyond(kind, tuple(found))


def _front(card: LabelCard) -> Iterator[Found]:
    """The name and the scent tell no amount: that is the contents' place."""
    told = (
        ("name", card.product),
        ("scent", card.scent),
        ("what it is", card.identity),
    )
    for called, text in told:
        if amount := amount_in(text):
            says = (
                f"The {called} tells an amount, {amount}: leave it to the contents, "
                "which are compared with the fill."
            )
            yield Found("The front", "missing", "house rule, no clause", says)


def _kind(kind: KindOfProduct) -> Found:
    first = kind.because[0].line if kind.because else kind.itself
    says = " ".join([kind.says, *kind.doubts])
    state: State = "present" if kind.prints else "missing"
    return Found("Kind of product", state, first.cited, says)


def _bath(card: LabelCard, book: KindBook) -> Iterator[Found]:
    """Only of rules that have such a caution."""
    for duty in book.duties:
        if duty.kind != BATH_FOAM:
            continue
        due = foaming_bath(
            added_to_bath=card.bath_foam,
            adults_only=card.adults_only and _says_adults(card),
            for_children=card.for_children,
        )
        if due is None:
            why = (
                "It is labelled for use exclusively by adults."
                if card.bath_foam
                else "It is not meant to be added to a bath to make foam."
            )
            yield Found("Foaming bath caution", "not needed", duty.cited, why)
        elif not due.stands_in(card.cautions):
            says = f"Write this among the precautions: {due.caution}"
            yield Found("Foaming bath caution", "missing", due.clause, says)
        elif not card.directions.strip():
            says = "Write directions for safe use: a foaming bath needs them."
            yield Found("Foaming bath caution", "missing", due.clause, says)
        else:
            yield Found("Foaming bath caution", "present", due.clause, due.caution)


def _says_adults(card: LabelCard) -> bool:
    """Only what is labelled for adults alone is free of the caution."""
    told = " ".join((card.identity, card.function, card.directions, card.cautions))
    return "adult" in told.casefold()


def _restricted(
    card: LabelCard, lot: Lot | None, held: Held, code: str, on: date
) -> Iterator[Found]:
    """Only of rules for which there is a table; what fails is named one by one."""
    if not restricted(code):
        return
    try:
        compared = compared_with(card, lot, held, code, on)
    except Refused as refusal:
        yield Found("Restricted substances", "missing", "our own table", str(refusal))
        return
    short = [one for one in compared.findings if one.fails or one.state == "not known"]
    for one in short:
        says = f"{', '.join(one.names)}: {one.state}. {one.says}"
        yield Found("Restricted substances", "missing", one.limit.cited, says)
    if short:
        return
    asked = [one.says for one in compared.findings if one.state == "ask"]
    left = len(compared.not_checked)
    says = f"Names that our table holds were compared; {left} others are not checked."
    yield Found(
        "Restricted substances", "present", "our own table", " ".join([says, *asked])
    )


def compared_with(
    card: LabelCard, lot: Lot | None, held: Held, code: str, on: date
) -> Restrictions:
    """A lot against the table of restricted substances.

    Raises Refused without a lot, and where what is in it is not known.
    """
    if lot is None or held.contents is None:
        raise Refused(NO_LOT)
    return restrictions(
        shares_of(held.contents),
        restricted(code),
        on,
        ph=measured(lot, Measurement.What.PH),
        use="hand wash" if card.hand_wash else "",
        label_words=card.cautions,
    )
