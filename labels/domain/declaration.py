"""From what a lot holds to the parts of its label, as added or as finished.

Every share is a percentage of the whole mass, also where something is left out of
the list; so the parts may add up to less than 100 %. What a label name may be is
never made up: a fat whose soap the inventory does not list is declared as added.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, localcontext

from labels.domain.ingredients import WHOLE, Part, Role
from production.chemistry.domain.composition import Substance
from production.chemistry.domain.constants import ALKALIS, EXACT, WATER
from production.quantities.domain.numbers import ZERO
from production.quantities.domain.refusal import Refused

HYDROXIDES = {"KOH": "Potassium Hydroxide", "NaOH": "Sodium Hydroxide"}
ALKALI_WORDS = {"KOH": "potassium", "NaOH": "sodium"}

Allergens = Mapping[str, Mapping[str, Decimal]]


@dataclass(frozen=True, slots=True)
class Naming:
    """What an item is called on a label; soap names are the inventory's or None."""

    inci: str | None
    potassium_soap: str | None = None
    sodium_soap: str | None = None
    role: Role = "ingredient"

    def salt(self, alkali: str) -> str | None:
        """The name of what it becomes with that alkali."""
        return self.potassium_soap if alkali == "KOH" else self.sodium_soap


@dataclass(frozen=True, slots=True)
class Added:
    """Grams of one item as weighed in; ``key`` is the name a person knows it by."""

    key: str
    inci: str | None
    grams: Decimal
    role: Role = "ingredient"


# Citrate and lactate names stand in the EU ingredient inventory; acetate from memory.
ACIDS: Mapping[str, Naming] = {
    "citric": Naming("Citric Acid", "Potassium Citrate", "Sodium Citrate"),
    "citric monohydrate": Naming("Citric Acid", "Potassium Citrate", "Sodium Citrate"),
    "lactic": Naming("Lactic Acid", "Potassium Lactate", "Sodium Lactate"),
    "acetic": Naming("Acetic Acid", "Potassium Acetate", "Sodium Acetate"),
}


@dataclass(slots=True)
class _Tally:
    """Grams under each label name and role, and the notes gathered on the way."""

    total: Decimal
    grams: dict[tuple[str, Role], Decimal] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def add(self, inci: str, grams: Decimal, role: Role = "ingredient") -> None:
        place = (inci, role)
        self.grams[place] = self.grams.get(place, ZERO) + grams

    def add_allergens(
        self, key: str, grams: Decimal, given: Mapping[str, Decimal]
    ) -> None:
        for inci, share in given.items():
            # No limit on their sum: an oil is an entry and so are its constituents.
            if not share.is_finite() or not 0 <= share <= 1:
                raise Refused(
                    f"Give {inci} in {key} as a fraction from 0 to 1: it is {share}."
                )
            self.add(inci, grams * share, "allergen")

    def parts(self) -> tuple[Part, ...]:
        return tuple(
            # The last digit of a division may not lift a part above the whole.
            Part(inci, min(grams / self.total * 100, WHOLE), role)
            for (inci, role), grams in self.grams.items()
        )


def parts_as_added(
    added: Sequence[Added], allergens: Allergens | None = None
) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """Parts by weight when added, in percent of all that was added, and notes.

    ``allergens``: item key -> allergen -> fraction of that item. Raises Refused for
    nothing added, a negative weight and an item without INCI name.
    """
    for one in added:
        if not one.grams.is_finite() or one.grams < 0:
            raise Refused(f"Give the grams of {one.key} as 0 or more: {one.grams}.")
    with localcontext(EXACT):
        tally = _Tally(_whole([one.grams for one in added]))
        for one in added:
            tally.add(_inci(one.key, one.inci), one.grams, one.role)
            tally.add_allergens(one.key, one.grams, (allergens or {}).get(one.key, {}))
        tally.notes.append("As added: water that boiled off later is still counted.")
        return tally.parts(), tuple(tally.notes)


def parts_as_finished(
    composition: Mapping[Substance, Decimal],
    naming: Mapping[str, Naming],
    allergens: Allergens | None = None,
) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """Parts of what is in the finished soap, in percent of its whole mass, and notes.

    ``composition`` is in grams; ``naming`` goes by ``Substance.of``; ``allergens``:
    the same key -> allergen -> fraction of that material. Alkali that became soap is
    not there; carbonate is an impurity of the alkali and left out with a note.
    Raises Refused for nothing at all, and for a material without INCI name.
    """
    with localcontext(EXACT):
        tally = _Tally(_whole(list(composition.values())))
        unnamed = _without_soap_name(composition, naming)
        for substance, grams in composition.items():
            if substance.of not in unnamed:
                _declare(tally, substance, grams, naming)
            if substance.kind == "material":
                given = (allergens or {}).get(substance.of, {})
                tally.add_allergens(substance.of, grams, given)
        for of, alkalis in unnamed.items():
            inci = _inci(of, naming[of].inci if of in naming else None)
            _declare_fat_as_added(tally, of, inci, composition)
            tally.notes.append(
                f"The inventory lists no {' or '.join(alkalis)} soap name for {inci}: "
                "it is declared as added, with the alkali that it bound. "
                "Choose what is allowed where it is sold."
            )
        return tally.parts(), tuple(dict.fromkeys(tally.notes))


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
) -> None:
    """Put one constituent under its own name."""
    known = _naming(substance, naming)
    match substance.kind:
        case "water":
            tally.add("Aqua", grams)
        case "glycerol":
            tally.add("Glycerin", grams)
        case "alkali":
            tally.add(HYDROXIDES[substance.alkali], grams)
        case "carbonate":
            word = ALKALI_WORDS[substance.alkali]
            tally.notes.append(
                f"The {word} carbonate that came with the alkali is left out: "
                "an impurity of a material is no ingredient."
            )
        case "soap" | "acid salt":
            salt = known.salt(substance.alkali)
            if not salt:
                word = ALKALI_WORDS[substance.alkali]
                raise Refused(f"Give {substance.of} the INCI name of its {word} salt.")
            tally.add(salt, grams)
        case _:
            tally.add(_inci(substance.of, known.inci), grams, known.role)


def _without_soap_name(
    composition: Mapping[Substance, Decimal], naming: Mapping[str, Naming]
) -> dict[str, list[str]]:
    """Fats that the inventory gives no soap name, and for which alkali."""
    unnamed: dict[str, list[str]] = {}
    for substance in composition:
        if substance.kind == "soap" and not _naming(substance, naming).salt(
            substance.alkali
        ):
            words = unnamed.setdefault(substance.of, [])
            word = ALKALI_WORDS[substance.alkali]
            words += [word] if word not in words else []
    return unnamed


def _declare_fat_as_added(
    tally: _Tally, of: str, inci: str, composition: Mapping[Substance, Decimal]
) -> None:
    """Take a fat back to what went in: the oil, and the alkali that it bound."""
    for substance, grams in composition.items():
        if substance.of != of:
            continue
        tally.add(inci, grams)
        if substance.kind == "soap":
            for name, back in _taken_back(substance, grams, tally):
                tally.add(name, back)
                tally.add(inci, -back)


def _taken_back(
    soap: Substance, grams: Decimal, tally: _Tally
) -> Iterator[tuple[str, Decimal]]:
    """What separates a soap from its fat: alkali gained, water of free acids lost."""
    if soap.alkali_bound is None:
        raise Refused(f"State how much alkali the soap of {soap.of} holds.")
    alkali = grams * soap.alkali_bound
    yield HYDROXIDES[soap.alkali], alkali
    if soap.sv:
        acid = soap.facts.free_acid / soap.sv
        formed = alkali / ALKALIS[soap.alkali] * acid * WATER
        yield "Aqua", -min(formed, tally.grams.get(("Aqua", "ingredient"), ZERO))
