"""What an assessor is handed of a product: every ingredient, and what is known."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from labels.domain.hazards import class_by_alkali, corrosive_by_ph
from labels.domain.name_book import folded
from production.quantities.domain.numbers import ZERO

# To the fourth place of a percent: finer than any limit that is compared with it.
PLACE = Decimal("0.0001")
HUNDRED = Decimal(100)
FORMED = "formed in the pot"


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One name of the list; shares in percent, None where it is not in that basis.

    ``inside`` is what it is inside of where it adds no mass, such as an allergen.
    """

    name: str
    cas: str
    added: Decimal | None
    finished: Decimal | None
    function: str
    inside: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """A lot that went in: what it is, whose, and the papers that came with it."""

    item: str
    lot: str
    supplier: str
    supplier_lot: str
    papers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CompositionSheet:
    """The whole sheet. ``of`` is which lot or plan it is of; ``unknown`` says what
    nobody has written down, in sentences."""

    product: str
    of: str
    recipes: tuple[str, ...]
    ingredients: tuple[Ingredient, ...]
    sources: tuple[Source, ...]
    ph: Decimal | None
    free_alkali: Decimal | None
    packs: tuple[str, ...]
    unknown: tuple[str, ...]
    notes: tuple[str, ...]


def both(
    added: Iterable[tuple[str, Decimal, bool]],
    finished: Iterable[tuple[str, Decimal, bool]],
    cas: Mapping[str, str],
    functions: Mapping[str, str],
) -> tuple[Ingredient, ...]:
    """Names with their shares in both bases, the largest in the finished product first.

    Each is (name, percent, inside of another); names that are the same but for their
    capitals are one. ``cas`` and ``functions`` go by the name in small letters.
    """
    shares: dict[tuple[str, bool], list[Decimal | None]] = {}
    spelled: dict[tuple[str, bool], str] = {}
    for place, parts in ((0, added), (1, finished)):
        for name, percent, inside in parts:
            key = (folded(name), inside)
            row = shares.setdefault(key, [None, None])
            spelled.setdefault(key, name)
            row[place] = (row[place] or ZERO) + percent
    rows = [
        Ingredient(
            name=spelled[key],
            cas=cas.get(key[0], ""),
            added=_placed(row[0]),
            finished=_placed(row[1]),
            function=functions.get(key[0], "" if key[1] or row[0] else FORMED),
            inside=key[1],
        )
        for key, row in shares.items()
    ]
    return tuple(sorted(rows, key=_place))


def _place(row: Ingredient) -> tuple[bool, Decimal, Decimal]:
    return row.inside, -(row.finished or ZERO), -(row.added or ZERO)


def _placed(percent: Decimal | None) -> Decimal | None:
    return None if percent is None else percent.quantize(PLACE)


HEADINGS = ("Ingredient", "CAS no.", "As added, %", "Finished, %", "Function")


def totals_of(
    sheet: CompositionSheet,
) -> tuple[tuple[str, Decimal | None, Decimal | None], ...]:
    """All that is listed in each basis, and what is left of a hundred.

    What is inside of another is counted there. None where a basis is not known.
    """
    counted = [row for row in sheet.ingredients if not row.inside]
    added = _sum(row.added for row in counted)
    finished = _sum(row.finished for row in counted)
    return (
        ("Together", added, finished),
        (
            "Not listed: impurities, see the notes; rounding",
            _rest(added),
            _rest(finished),
        ),
    )


def _sum(shares: Iterable[Decimal | None]) -> Decimal | None:
    known = [share for share in shares if share is not None]
    return sum(known, ZERO) if known else None


def _rest(whole: Decimal | None) -> Decimal | None:
    return None if whole is None else (HUNDRED - whole).quantize(PLACE)


def rows_of(sheet: CompositionSheet) -> Sequence[Sequence[str | Decimal | None]]:
    """The table of ingredients and its totals under ``HEADINGS``, as a sheet holds
    it."""
    return [
        (
            f"{row.name} (in another ingredient)" if row.inside else row.name,
            row.cas or None,
            row.added,
            row.finished,
            row.function or None,
        )
        for row in sheet.ingredients
    ] + [
        (words, None, added, finished, None)
        for words, added, finished in totals_of(sheet)
    ]


def facts_of(sheet: CompositionSheet) -> Sequence[tuple[str, str]]:
    """Everything beside the table, as pairs of words."""
    known = [
        ("Product", sheet.product),
        ("Of", sheet.of),
        ("Recipes", "; ".join(sheet.recipes) or "none written"),
        ("pH", "not measured" if sheet.ph is None else f"{sheet.ph.normalize():f}"),
        (
            "Free alkali",
            "not measured"
            if sheet.free_alkali is None
            else f"{(sheet.free_alkali * 100).normalize():f} % as KOH",
        ),
        ("As a base for makers", _classed(sheet)),
        ("Pack", "; ".join(sheet.packs) or "not known"),
        ("Microbiology", "not known to this book"),
    ]
    return (*known, *(("Not known", says) for says in sheet.unknown))


def _classed(sheet: CompositionSheet) -> str:
    """The class by free alkali and pH, for goods that another maker gets."""
    if sheet.free_alkali is None:
        by_alkali = "class by free alkali not known"
    else:
        made = class_by_alkali(sheet.free_alkali * 100)
        words = " ".join([made.name, *made.statements])
        by_alkali = f"{words or 'no class'} by free alkali"
    if sheet.ph is None:
        return by_alkali
    by_ph = "corrosive" if corrosive_by_ph(sheet.ph) else "no class"
    return f"{by_alkali}; {by_ph} by pH alone"
