"""What is known for the label of a product or of one of its lots."""

from dataclasses import dataclass

from labels.domain.durability import Keeping
from labels.domain.facts import Address, Found, Front, LabelFacts, ProductText
from labels.domain.front import printed_name
from labels.domain.languages import Country
from labels.domain.name_book import NameBook
from labels.domain.packs import worded_otherwise
from labels.domain.rules import RuleSet
from labels.models import LabelAddress, LabelCard, LabelText
from labels.reads.beyond import beyond
from labels.reads.fill import fill_found
from labels.reads.kinds import source_of
from labels.reads.listing import declare_lot
from labels.reads.marks import mark_for
from labels.reads.rules import union, words
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.models import Item, Lot, Workshop
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.record.reads.countries import countries

# Why a lot may not carry its label at all stands under this.
THE_LOT = "The lot itself"


def card_of(item: Item) -> LabelCard:
    """The card of a product; an empty one where none was written."""
    return LabelCard.objects.filter(item=item).first() or LabelCard(item=item)


def label_facts(
    card: LabelCard,
    lot: Lot | None,
    rules: RuleSet,
    basis: str | None,
    names: NameBook,
    *,
    sold_in: str = "",
    language: str = "",
) -> LabelFacts:
    """All that is known for the label of a lot, or of a product still to be made.

    ``sold_in`` is the code of a country, "" for the card's own; ``language`` alone is
    asked for where no country is told. Without a lot the ingredient list is that of
    the last one made, if any, and a note says so; the batch number is left to write in.
    """
    workshop = Workshop.objects.first() or Workshop()
    country = country_of(card, rules, sold_in)
    asked = (language,) if language else country.languages if country else ()
    own = _text(card)
    known = _known(card, own)
    listed = _listed(
        card.item, lot, rules, basis, names, country.code if country else ""
    )
    inside, measure = fill_found(card, lot, rules)
    on = today()
    return LabelFacts(
        texts=tuple(known.get(one, ProductText(one)) for one in asked) or (own,),
        others=tuple(text for one, text in known.items() if one not in asked),
        words=words(),
        languages=asked,
        sold_in=country,
        union=union(),
        declared=card.declared,
        ingredients=listed.names,
        no_list=listed.why,
        basis=basis or rules.default_basis,
        batch=lot.code if lot else None,
        keeping=Keeping(
            made_on=lot.deed.on if lot else None,
            best_before=lot.expires if lot else None,
            months=card.keeps_months,
            opened_months=card.opened_months,
            once=card.once,
        ),
        maker=_maker(workshop),
        contact=workshop.contact,
        answers=_answers(rules),
        no_cautions=card.no_cautions,
        bottle=card.bottle(),
        front=_front(card),
        body=card.body,
        on=on,
        notes=(*listed.notes, *measure, *worded_otherwise(card.declared, rules)),
        more=(
            *_unfit(lot),
            *inside,
            *listed.found,
            *beyond(card, lot, rules.code, on).found,
        ),
    )


def languages_of(card: LabelCard) -> frozenset[str]:
    """Those in which something is written on the card."""
    return frozenset(_known(card, _text(card)))


def country_of(card: LabelCard, rules: RuleSet, sold_in: str = "") -> Country | None:
    """Where the label is sold: as asked, as the card says, or the one country whose
    law it is; None where nobody said it."""
    told = rules.country(sold_in) or rules.country(card.sold_in)
    if told or len({one.languages for one in rules.countries}) > 1:
        return told
    return rules.countries[0]


def _known(card: LabelCard, own: ProductText) -> dict[str, ProductText]:
    """The card in each language in which it is written."""
    rows = card.texts.all() if card.pk else ()
    return {own.language: own, **{row.language: _text(row) for row in rows}}


def _text(row: LabelCard | LabelText) -> ProductText:
    return ProductText(
        row.language,
        row.identity,
        row.function,
        row.directions,
        row.cautions,
        row.origin,
    )


def _front(card: LabelCard) -> Front:
    mark = mark_for(card.item)
    signs = (("hand and book", card.leaflet), ("e-mark", card.estimated))
    return Front(
        product=printed_name(card.product, card.item.name),
        scent=card.scent,
        mark=mark.sha256 if mark else "",
        shelf=card.shelf,
        signs=tuple(name for name, stands in signs if stands),
    )


def _maker(workshop: Workshop) -> Address:
    return Address(
        workshop.name,
        tuple(workshop.address.splitlines()),
        workshop.country,
        countries().get(workshop.country, ""),
    )


def _answers(rules: RuleSet) -> Address:
    row = LabelAddress.objects.filter(rules=rules.code).first()
    if row is None:
        return Address()
    named = countries().get(row.country, row.country)
    return Address(row.name, (row.street, row.town), row.country, named, row.role)


def _unfit(lot: Lot | None) -> tuple[Found, ...]:
    """Why no clean label goes onto this lot today."""
    if lot is None:
        return ()
    found = fitness(lot, Purpose.LABEL, today())
    return tuple(
        Found(THE_LOT, "missing", "this book", reason.says) for reason in found.reasons
    )


@dataclass(frozen=True, slots=True)
class _Listed:
    """The names, or why there are none, and what a person should know of them."""

    names: tuple[str, ...] = ()
    why: str = ""
    notes: tuple[str, ...] = ()
    found: tuple[Found, ...] = ()


def _listed(
    item: Item,
    lot: Lot | None,
    rules: RuleSet,
    basis: str | None,
    names: NameBook,
    sold_in: str,
) -> _Listed:
    source = source_of(item, lot)
    if source is None:
        return _Listed(why=f"No {item} was made yet from which to tell.")
    try:
        made = declare_lot(source, rules, basis, names, sold_in=sold_in)
    except Refused as refusal:
        return _Listed(why=str(refusal))
    told = () if lot else (f"The list is that of {source}, the last lot made.",)
    clause = rules.clause("declares_allergens").cited
    lacking = tuple(
        Found("What the list leans on", "missing", clause, why) for why in made.lacking
    )
    return _Listed(made.ingredients, notes=(*told, *made.notes), found=lacking)


def paper_in_use() -> str:
    """The paper that the workshop's card names; A4 while there is none."""
    return Workshop.objects.values_list("paper", flat=True).first() or "A4"
