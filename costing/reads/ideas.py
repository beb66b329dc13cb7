"""What the book knows of products that do not exist, for some of them together."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.domain.ideas import (
    ALKALI_KEYS,
    NAMES_FROM,
    OILS_FROM,
    Idea,
    IdeaLine,
    Known,
    refuse_two_prices,
)
from costing.domain.planned_bottle import Good, PriceKnown
from costing.reads.material_prices import BookPrices, book_prices
from production.chemistry.domain.pot import alkalis_used
from production.models import Item, ReferenceOil, Version
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Lye
from production.recipes.domain.scaling.chain import Chain, Stage
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.plans import Tub as Weighed
from production.recipes.reads.chain import any_water, chain_as_made, latest_wordings
from production.recipes.reads.cooking import CookFacts, fats_of, material
from production.recipes.reads.planning import alkalis_of
from production.recipes.reads.tubs import Tub, last_tubs

Word = tuple[bool, str]
ALKALI_NAMES = {"KOH": "Potassium hydroxide", "NaOH": "Sodium hydroxide"}


@dataclass(frozen=True, slots=True)
class Base:
    """The recipes behind something made here, and the one that makes it."""

    stages: tuple[Stage, ...]
    makes: Stage


@dataclass(frozen=True, slots=True)
class IdeaBook:
    """All that some ideas ask of the book.

    ``things`` are cards by what a line says (see ``word_of``), also those of published
    oils and of what is no more than a name (their keys are below zero); ``items`` all
    that may be bought, by its key.
    """

    things: Mapping[Word, Item]
    items: Mapping[int, Item]
    prices: Mapping[int, BookPrices]
    facts: CookFacts
    tubs: Mapping[str, Tub]
    alkalis: Mapping[str, Item]
    water: Material
    behind: Mapping[str, Base | Refused]


def idea_book(ideas: Sequence[Idea]) -> IdeaBook:
    """Load it in a number of queries that does not grow with the ideas."""
    things = things_named(line for idea in ideas for line in idea.lines)
    behind = _behind({idea.base for idea in ideas if idea.base})
    stages = {
        stage.key: stage
        for base in behind.values()
        if isinstance(base, Base)
        for stage in base.stages
    }
    water = any_water()
    chain = Chain(tuple(stages.values()), water)
    used = alkalis_of(chain)
    used |= {kind for idea in ideas for kind in alkalis_used(idea.koh_share)}
    tubs = last_tubs(used)
    alkalis = _alkalis(tubs)
    items = Item.objects.in_bulk({item.key for item in chain.takes} - {0})
    items |= {item.pk: item for item in (*things.values(), *alkalis.values())}
    return IdeaBook(
        things=things,
        items=items,
        prices=book_prices(items.values(), tubs.values()),
        facts=CookFacts(fats_of(things.values())),
        tubs=tubs,
        alkalis=alkalis,
        water=water,
        behind=behind,
    )


def word_of(line: IdeaLine) -> Word:
    """What is the same of two lines that name one thing, in whatever capitals.

    What goes on a piece is counted: the same word elsewhere is another thing.
    """
    return line.place == "packaging", _word(line.name)


def things_named(lines: Iterable[IdeaLine]) -> dict[Word, Item]:
    """A card for each line that says how much; two queries.

    Of an oil the card in the book, else the published oil; of anything else the card,
    else no more than a name. Refused for an oil that nobody knows, and for what is
    none.
    """
    said: dict[Word, IdeaLine] = {}
    for line in lines:
        # An oil stays one where some of it joins the soap later, too.
        if line.place == "oil" or (line.place != "price" and word_of(line) not in said):
            said[word_of(line)] = line
    if not said:
        return {}
    cards = {_word(item.name): item for item in Item.objects.select_related("oil")}
    wanted = [line for line in said.values() if line.place == "oil"]
    oils = {}
    if any(_word(line.name) not in cards for line in wanted):
        oils = {_word(oil.name): oil for oil in ReferenceOil.objects.all()}
    return {
        word: _oil(line.name, cards.get(word[1]), oils)
        if line.place == "oil"
        else cards.get(word[1]) or _name_alone(line, place)
        for place, (word, line) in enumerate(said.items())
    }


def _word(name: str) -> str:
    return " ".join(name.split()).casefold()


def _oil(name: str, card: Item | None, oils: Mapping[str, ReferenceOil]) -> Item:
    if card is not None and card.category != Item.Category.OIL:
        raise Refused(
            f"{card} is no oil by its card: write it below, with what joins the soap."
        )
    oil = oils.get(_word(name))
    if card is None and oil is None:
        raise Refused(
            f"{name} is neither an oil of the book nor a published one: choose one of "
            "the list, or add its card first."
        )
    if card is not None or oil is None:
        return card or Item(name=name)
    return Item(pk=OILS_FROM - oil.pk, name=oil.name, category="oil", oil=oil)


def _name_alone(line: IdeaLine, place: int) -> Item:
    pk = NAMES_FROM - place
    if line.place == "packaging":
        return Item(pk=pk, name=line.name, kind=Item.Kind.PACKAGING, unit="piece")
    return Item(pk=pk, name=line.name)


def _alkalis(tubs: Mapping[str, Tub]) -> dict[str, Item]:
    """The card of each alkali: of its tub, else the first there is, else a name."""
    found = {
        kind: Item(pk=ALKALI_KEYS[kind], name=name, category="alkali", alkali=kind)
        for kind, name in ALKALI_NAMES.items()
    }
    cards = Item.objects.filter(alkali__in=found).order_by("-pk")
    found |= {item.alkali: item for item in cards}
    return found | {kind: tub.lot.item for kind, tub in tubs.items()}


def _behind(names: set[str]) -> dict[str, Base | Refused]:
    """The recipes behind each name, all of them together where none is refused."""
    if not names:
        return {}
    cards = {_word(item.name): item for item in Item.objects.filter(kind="made")}
    items = {name: cards.get(_word(name)) for name in names}
    wordings = latest_wordings(item for item in items.values() if item)
    try:
        chain: Chain | Refused = chain_as_made(*wordings.values())
    except Refused as fault:
        chain = fault
    found: dict[str, Base | Refused] = {}
    for name, item in items.items():
        version = wordings.get(item.pk) if item else None
        if version is None:
            found[name] = Refused(f"No recipe makes {name}: write one first.")
        elif isinstance(chain, Refused):
            found[name] = _alone(version)
        else:
            found[name] = Base(chain.stages, chain.stage(version.pk))
    return found


def _alone(version: Version) -> Base | Refused:
    """Where another recipe cannot be worked out, this one may be all the same."""
    try:
        chain = chain_as_made(version)
    except Refused as fault:
        return fault
    return Base(chain.stages, chain.stage(version.pk))


def known_of(idea: Idea, book: IdeaBook) -> Known:
    """What the book knows of one of them; refused where its recipe cannot be read."""
    if idea.at("oil") and idea.base:
        raise Refused(
            f"Begin from oils, or from {idea.base}: leave one of the two out."
        )
    base = book.behind.get(idea.base) if idea.base else None
    if isinstance(base, Refused):
        raise base
    oils = [
        (book.things[word_of(line)], line.share or Decimal(0))
        for line in idea.at("oil")
    ]
    return Known(
        oils=book.facts.lines((item, share, "") for item, share in oils),
        tubs=_weighed_from(idea, book),
        materials={
            (line.place, line.name): material(book.things[word_of(line)])
            for line in idea.lines
            if line.place != "price"
        },
        water=book.water,
        behind=base.stages if base else (),
        base=base.makes if base else None,
    )


def _weighed_from(idea: Idea, book: IdeaBook) -> list[Weighed]:
    """Each alkali of the purity typed, else as the book knows it of its tub."""
    typed = {"KOH": idea.koh_purity, "NaOH": idea.naoh_purity}
    found = []
    for kind, item in book.alkalis.items():
        purity, tub = typed[kind], book.tubs.get(kind)
        if purity is not None:
            found.append(Weighed(material(item), Lye(purity)))
        elif tub is not None:
            found.append(Weighed(material(item), tub.lye))
    return found


def goods_of(idea: Idea, book: IdeaBook) -> dict[int, Good]:
    """Each material with its component and the price that somebody chose for it.

    Where two lines name one thing, the one that chooses a price decides; refused where
    both do, and differently.
    """
    goods = {
        key: Good(item.component, book.prices.get(key, BookPrices()).last)
        for key, item in book.items.items()
    }
    goods.setdefault(book.water.key, Good("water"))
    named, chosen = _named(book), dict[int, IdeaLine]()
    for line in idea.lines:
        key = _key(line, book, named)
        if key is not None and line.price_from != "last":
            refuse_two_prices(chosen.setdefault(key, line), line)
            price = _price(line, book.prices.get(key, BookPrices()))
            goods[key] = Good(goods[key].component, price)
    return goods


def _named(book: IdeaBook) -> dict[str, int]:
    """The key of each material by its name; water and alkali also by the plain word."""
    named = {_word(item.name): key for key, item in book.items.items()}
    named.setdefault(_word(book.water.name), book.water.key)
    named.setdefault("water", book.water.key)
    for kind, item in book.alkalis.items():
        named.setdefault(_word(ALKALI_NAMES[kind]), item.pk)
    return named


def _key(line: IdeaLine, book: IdeaBook, named: Mapping[str, int]) -> int | None:
    thing = book.things.get(word_of(line)) if line.place != "price" else None
    return thing.pk if thing else named.get(_word(line.name))


def refuse_unused_prices(idea: Idea, book: IdeaBook, taken: Mapping[int, str]) -> None:
    """Refused where a price is of nothing that goes in; ``taken`` names all by key."""
    named = _named(book)
    unused = [
        line.name for line in idea.at("price") if _key(line, book, named) not in taken
    ]
    if unused:
        raise Refused(
            f"prices: {', '.join(unused)} does not go in by that name. What goes in is "
            f"{', '.join(taken.values())}."
        )


def _price(line: IdeaLine, known: BookPrices) -> PriceKnown:
    if line.price_from == "quote":
        return PriceKnown(line.quote.unit_cost if line.quote else None, "quote")
    return known.stock if line.price_from == "stock" else known.last
