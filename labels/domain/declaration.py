"""From what a lot holds to the parts of its label, as added or as finished.

Every share is a percentage of the whole mass, also where something is left out of
the list; so the parts may add up to less than 100 %. What a label name may be is
never made up: a fat whose soap the inventory does not list is refused as finished.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, localcontext

from labels.domain.parts import WHOLE, Part, Role
from production.chemistry.domain.composition import Composition, Substance
from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ZERO
from production.quantities.domain.refusal import Refused

HYDROXIDES = {"KOH": "Potassium Hydroxide", "NaOH": "Sodium Hydroxide"}
ALKALI_WORDS = {"KOH": "potassium", "NaOH": "sodium"}

Allergens = Mapping[str, Mapping[str, Decimal]]
Among = Mapping[str, Sequence[str]]


class WithoutSoapName(Refused):
    """A list as finished of fats whose soap has no name; ``fats`` are their keys."""

    def __init__(self, says: str, fats: Sequence[str]) -> None:
        super().__init__(says)
        self.fats = tuple(fats)


@dataclass(frozen=True, slots=True)
class Share:
    """One name of a material that is a mixture; ``share`` is a mass fraction."""

    inci: str
    share: Decimal
    role: Role = "ingredient"


@dataclass(frozen=True, slots=True)
class Naming:
    """What an item is called on a label; soap names are the inventory's or its own.

    ``mixture`` are its names where it is several things; ``item`` is what the
    workshop calls it.
    """

    inci: str | None
    potassium_soap: str | None = None
    sodium_soap: str | None = None
    role: Role = "ingredient"
    mixture: tuple[Share, ...] = ()
    item: str = ""

    def salt(self, alkali: str) -> str | None:
        """The name of what it becomes with that alkali."""
        return self.potassium_soap if alkali == "KOH" else self.sodium_soap

    def shares(self, of: str) -> tuple[Share, ...]:
        """Its names, each with its share; Refused without any."""
        return self.mixture or (Share(_inci(of, self.inci), Decimal(1), self.role),)


@dataclass(frozen=True, slots=True)
class Added:
    """Grams of one item as weighed in; ``key`` is the name a person knows it by.

    ``strength`` is what a lot of alkali holds in these grams, None where that is not
    known or it is no alkali; ``mixture`` are the names of what is several things.
    """

    key: str
    inci: str | None
    grams: Decimal
    role: Role = "ingredient"
    mixture: tuple[Share, ...] = ()
    strength: Composition | None = None


# Citrate and lactate names stand in the EU ingredient inventory; acetate from memory.
ACIDS: Mapping[str, Naming] = {
    "citric": Naming("Citric Acid", "Potassium Citrate", "Sodium Citrate"),
    "citric monohydrate": Naming("Citric Acid", "Potassium Citrate", "Sodium Citrate"),
    "lactic": Naming("Lactic Acid", "Potassium Lactate", "Sodium Lactate"),
    "acetic": Naming("Acetic Acid", "Potassium Acetate", "Sodium Acetate"),
}

BOILED_OFF = "As added: water that boiled off later is still counted."


@dataclass(slots=True)
class _Tally:
    """Grams under each label name, role and source, and the notes on the way."""

    total: Decimal
    grams: dict[tuple[str, Role, str], Decimal] = field(default_factory=dict)
    among: dict[str, tuple[str, ...]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def add(
        self,
        inci: str,
        grams: Decimal,
        role: Role = "ingredient",
        source: str = "",
        among: Sequence[str] = (),
    ) -> None:
        place = (inci, role, source)
        self.grams[place] = self.grams.get(place, ZERO) + grams
        if among and not source:
            self.among[inci] = tuple(among)

    def add_shares(self, shares: Sequence[Share], grams: Decimal, source: str) -> None:
        for one in shares:
            self.add(one.inci, grams * one.share, one.role, source)

    def add_allergens(
        self, key: str, grams: Decimal, given: Mapping[str, Decimal]
    ) -> None:
        for inci, share in given.items():
            # No limit on their sum: an oil is an entry and so are its constituents.
            if not share.is_finite() or not 0 <= share <= 1:
                raise Refused(
                    f"Give {inci} in {key} as a fraction from 0 to 1: it is {share}."
                )
            self.add(inci, grams * share, "allergen", key)

    def leave_out_carbonate(self, alkali: str) -> None:
        says = (
            f"The {ALKALI_WORDS[alkali]} carbonate that came with the alkali is left "
            "out: an impurity of a material is no ingredient."
        )
        # Once, however many lots of it went in.
        if says not in self.notes:
            self.notes.append(says)

    def parts(self) -> tuple[Part, ...]:
        return tuple(
            # The last digit of a division may not lift a part above the whole.
            Part(
                inci,
                min(grams / self.total * 100, WHOLE),
                role,
                source,
                () if source else self.among.get(inci, ()),
            )
            for (inci, role, source), grams in self.grams.items()
        )


def parts_as_added(
    added: Sequence[Added], allergens: Allergens | None = None
) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """Parts by weight when added, in percent of all that was added, and notes.

    An alkali counts by its strength: the hydroxide, and the water that came with it.
    ``allergens``: item key -> allergen -> fraction of that item. Raises Refused for
    nothing added, a negative weight and an item without INCI name.
    """
    for one in added:
        if not one.grams.is_finite() or one.grams < 0:
            raise Refused(f"Give the grams of {one.key} as 0 or more: {one.grams}.")
    with localcontext(EXACT):
        tally = _Tally(_whole([one.grams for one in added]))
        for one in added:
            if one.strength is not None:
                _add_strength(tally, one.key, one.strength)
            else:
                naming = Naming(one.inci, role=one.role, mixture=one.mixture)
                tally.add_shares(naming.shares(one.key), one.grams, one.key)
            tally.add_allergens(one.key, one.grams, (allergens or {}).get(one.key, {}))
        tally.notes.append(BOILED_OFF)
        return tally.parts(), tuple(dict.fromkeys(tally.notes))


def _add_strength(tally: _Tally, key: str, held: Composition) -> None:
    """An alkali as weighed: hydroxide and water; carbonate is an impurity."""
    for substance, grams in held.items():
        if substance.kind == "alkali":
            tally.add(HYDROXIDES[substance.alkali], grams, source=key)
        elif substance.kind == "water":
            tally.add("Aqua", grams, source=key)
        else:
            tally.leave_out_carbonate(substance.alkali)


def parts_as_finished(
    composition: Mapping[Substance, Decimal],
    naming: Mapping[str, Naming],
    allergens: Allergens | None = None,
    among: Among | None = None,
) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """Parts of what is in the finished soap, in percent of its whole mass, and notes.

    ``composition`` is in grams; ``naming`` goes by ``Substance.of``; ``allergens``:
    the same key -> allergen -> fraction of that material. ``among``: kind of substance
    -> the lots that cannot be told apart in it. Alkali that became soap is not there;
    carbonate is an impurity of the alkali and left out with a note.
    Raises Refused for nothing at all, for a material without INCI name, and for a fat
    whose soap has no name: what may be done is said with it.
    """
    with localcontext(EXACT):
        tally = _Tally(_whole(list(composition.values())))
        if unnamed := _without_soap_name(composition, naming):
            says = " ".join([*unnamed.values(), LAWFUL])
            raise WithoutSoapName(says, list(dict.fromkeys(of for of, _ in unnamed)))
        for substance, grams in composition.items():
            _declare(tally, substance, grams, naming, among or {})
            if substance.kind == "material":
                given = (allergens or {}).get(substance.of, {})
                tally.add_allergens(substance.of, grams, given)
        return tally.parts(), tuple(dict.fromkeys(tally.notes))


def in_the_product(
    composition: Mapping[Substance, Decimal],
    naming: Mapping[str, Naming],
    allergens: Allergens | None = None,
) -> tuple[Part, ...]:
    """The same parts as far as they have names, for shares of the finished product.

    A soap without a name is passed over: its share is not asked about here.
    """
    named = {
        substance: grams
        for substance, grams in composition.items()
        if not _soap_without_name(substance, naming)
    }
    with localcontext(EXACT):
        tally = _Tally(_whole(list(composition.values())))
        for substance, grams in named.items():
            _declare(tally, substance, grams, naming, {})
            if substance.kind == "material":
                given = (allergens or {}).get(substance.of, {})
                tally.add_allergens(substance.of, grams, given)
        return tally.parts()


def _whole(grams: Sequence[Decimal]) -> Decimal:
    total = sum(grams, ZERO)
    if not total:
        raise Refused("There is nothing to declare: record what is in the lot first.")
    return total


def _inci(item: str, inci: str | None) -> str:
    if not inci or not inci.strip():
        raise Refused(f"Give {item} its INCI name: without it no list can be made.")
    return inci


def _naming(substance: Substance, naming: Mapping[str, Naming]) -> Naming:
    known = naming.get(substance.of)
    if known is None and substance.kind in {"acid", "acid salt"}:
        known = ACIDS.get(substance.of)
    return known or Naming(None)


def _declare(
    tally: _Tally,
    substance: Substance,
    grams: Decimal,
    naming: Mapping[str, Naming],
    among: Among,
) -> None:
    """Put one constituent under its own name."""
    known = _naming(substance, naming)
    mingled = among.get(substance.kind, ())
    match substance.kind:
        case "water":
            tally.add("Aqua", grams, among=mingled)
        case "glycerol":
            tally.add("Glycerin", grams, source=substance.of)
        case "alkali":
            tally.add(HYDROXIDES[substance.alkali], grams, among=mingled)
        case "carbonate":
            tally.leave_out_carbonate(substance.alkali)
        case "soap" | "acid salt":
            salt = known.salt(substance.alkali)
            if not salt:
                word = ALKALI_WORDS[substance.alkali]
                raise Refused(f"Give {substance.of} the INCI name of its {word} salt.")
            source = substance.of if substance.kind == "soap" else ""
            tally.add(salt, grams, source=source, among=mingled)
        case "acid":
            tally.add_shares(known.shares(substance.of), grams, "")
        case _:
            tally.add_shares(known.shares(substance.of), grams, substance.of)


# What may be done where the inventory has no name for a soap.
LAWFUL = (
    "Three ways are lawful, and the choice is yours. On the card of the fat, give its "
    "soap a name under which it is known or its chemical name. Or, where the rules let "
    "you, list this product as added. Or use a fat whose soap has a name. The alkali "
    "that it bound is not listed, and no name is made up here."
)


def _soap_without_name(substance: Substance, naming: Mapping[str, Naming]) -> bool:
    if substance.kind != "soap":
        return False
    return not _naming(substance, naming).salt(substance.alkali)


def _without_soap_name(
    composition: Mapping[Substance, Decimal], naming: Mapping[str, Naming]
) -> dict[tuple[str, str], str]:
    """A sentence for each soap without any name, by its fat and alkali."""
    told: dict[tuple[str, str], str] = {}
    for substance in composition:
        if _soap_without_name(substance, naming):
            of, known = substance.of, _naming(substance, naming)
            inci, word = _inci(of, known.inci), ALKALI_WORDS[substance.alkali]
            fat = f"{inci} ({known.item}, {of})" if known.item else f"{inci} ({of})"
            told[of, substance.alkali] = (
                f"The inventory lists no {word} soap name for {fat}."
            )
    return told
