"""What is in a lot: substances and grams, and what becomes of them when they meet."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import ACID_KINDS, ALKALIS, EXACT, WATER
from production.chemistry.domain.pot import Acid, Oil, OilFacts, check_alkali
from production.chemistry.domain.validation import above_zero, not_negative
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.numbers import grams as milligrams
from production.quantities.domain.refusal import Refused

SUBSTANCE_KINDS = (
    "water",
    "fat",
    "soap",
    "glycerol",
    "unsaponified",
    "alkali",
    "acid",
    "acid salt",
    "carbonate",
    "material",
)


@dataclass(frozen=True, slots=True)
class Substance:
    """One constituent, equal by value.

    ``of`` is the oil, acid or material it is or came from; ``alkali`` is KOH or NaOH.
    Fat and its soap carry the oil's own values; ``oil_kind`` is fat, acid or wax.
    ``alkali_bound`` is grams of pure alkali in one gram of soap or acid salt.
    """

    kind: str
    of: str = ""
    alkali: str = ""
    sv: Decimal | None = None
    acid_value: Decimal | None = None
    unsaponifiable: Decimal | None = None
    oil_kind: str = ""
    alkali_bound: Decimal | None = None

    def __post_init__(self) -> None:
        if self.kind not in SUBSTANCE_KINDS:
            raise ValueError(f"{self.kind!r} is no kind of substance")

    @property
    def order(self) -> tuple[object, ...]:
        """Where it stands in a list: by kind as above, then by name and values."""
        figures = (self.sv, self.acid_value, self.unsaponifiable, self.alkali_bound)
        return (
            SUBSTANCE_KINDS.index(self.kind),
            self.of,
            self.alkali,
            self.oil_kind,
            *(-ONE if figure is None else figure for figure in figures),
        )

    def __lt__(self, other: "Substance") -> bool:
        return self.order < other.order

    @property
    def facts(self) -> OilFacts:
        """The values of the oil that a fat is or a soap came from."""
        if self.sv is None or self.unsaponifiable is None:
            raise ValueError(f"{self.kind} has no saponification value")
        return OilFacts(self.sv, self.acid_value, self.unsaponifiable, self.oil_kind)


class Composition(Mapping[Substance, Decimal]):
    """Grams of each substance, none of them 0; never changed, only made anew.

    Raises ValueError for less than 0 of anything.
    """

    __slots__ = ("_parts",)

    def __init__(self, parts: Mapping[Substance, Decimal]) -> None:
        for substance, amount in parts.items():
            if not amount >= 0:
                raise ValueError(f"{amount} g of {substance.of or substance.kind}")
        self._parts = {s: parts[s] for s in sorted(parts) if parts[s]}

    def __getitem__(self, substance: Substance) -> Decimal:
        return self._parts[substance]

    def __iter__(self) -> Iterator[Substance]:
        return iter(self._parts)

    def __len__(self) -> int:
        return len(self._parts)

    def __repr__(self) -> str:
        return f"Composition({self._parts!r})"

    @property
    def total(self) -> Decimal:
        """Grams of everything together."""
        with localcontext(EXACT):
            return sum(self._parts.values(), ZERO)

    def of_kind(self, kind: str) -> Decimal:
        """Grams of one kind of substance together."""
        with localcontext(EXACT):
            return sum((g for s, g in self._parts.items() if s.kind == kind), ZERO)


@dataclass(frozen=True, slots=True)
class Reaction:
    """What was made, and how it was set, worked back.

    ``superfat`` is None when no fat took part, below 0 when alkali is left free.
    ``koh_share`` is the potassium share of all soap by mole, None when nothing reacted.
    """

    composition: Composition
    superfat: Decimal | None
    koh_share: Decimal | None


WATER_ITSELF = Substance("water")


def of_oil(
    key: str,
    grams: Decimal,
    sv: Decimal,
    acid_value: Decimal | None = None,
    unsaponifiable: Decimal = ZERO,
    oil_kind: str = "fat",
) -> Composition:
    """An oil as bought; refused as an ``Oil`` is, an unknown SV above all."""
    facts = Oil(key, grams, sv, acid_value, unsaponifiable, oil_kind).facts
    return Composition({_of_facts("fat", key, facts): grams})


def _of_facts(
    kind: str, key: str, facts: OilFacts, alkali: str = "", bound: Decimal | None = None
) -> Substance:
    return Substance(
        kind,
        of=key,
        alkali=alkali,
        sv=facts.sv,
        acid_value=facts.free_acid,
        unsaponifiable=facts.unsaponifiable,
        oil_kind=facts.kind,
        alkali_bound=bound,
    )


def of_alkali(
    alkali: str, grams: Decimal, purity: Decimal | None, carbonate: Decimal = ZERO
) -> Composition:
    """KOH or NaOH as weighed: hydroxide, carbonate, the rest water."""
    if alkali not in ALKALIS:
        raise Refused(f"The alkali is KOH or NaOH, not {alkali!r}.")
    above_zero(grams, f"the grams of {alkali}")
    pure = check_alkali(alkali, purity, carbonate)
    with localcontext(EXACT):
        return Composition(
            {
                Substance("alkali", alkali=alkali): grams * pure,
                Substance("carbonate", alkali=alkali): grams * carbonate,
                WATER_ITSELF: grams * (ONE - pure - carbonate),
            }
        )


def of_acid(kind: str, grams: Decimal, purity: Decimal) -> Composition:
    """An acid as weighed: dry acid, and its crystal and dilution water."""
    acid = Acid(kind, grams, purity)
    with localcontext(EXACT):
        return Composition(
            {
                Substance("acid", of=acid.facts.name): acid.dry,
                WATER_ITSELF: grams - acid.dry,
            }
        )


def of_water(grams: Decimal) -> Composition:
    """Water alone."""
    return Composition({WATER_ITSELF: above_zero(grams, "the grams of water")})


def of_material(key: str, grams: Decimal) -> Composition:
    """Anything that stays what it is: salt, fragrance, glycerol bought."""
    return Composition(
        {Substance("material", of=key): above_zero(grams, f"the grams of {key}")}
    )


def merge(*compositions: Composition) -> Composition:
    """Pour together; nothing reacts yet."""
    pot: dict[Substance, Decimal] = {}
    with localcontext(EXACT):
        for composition in compositions:
            for substance, amount in composition.items():
                _add(pot, substance, amount)
    return Composition(pot)


def _add(pot: dict[Substance, Decimal], substance: Substance, amount: Decimal) -> None:
    pot[substance] = pot.get(substance, ZERO) + amount


def evaporate(composition: Composition, grams: Decimal) -> Composition:
    """Water leaves, nothing else; Refused when there is less of it."""
    not_negative(grams, "the water evaporated")
    water = composition.of_kind("water")
    if grams > water:
        raise Refused(
            f"Only {milligrams(water)} g of water are there: {plain(grams)} g cannot "
            "have evaporated. Check the weighing."
        )
    with localcontext(EXACT):
        return Composition({**composition, WATER_ITSELF: water - grams})


def concentrate(composition: Composition, new_total: Decimal) -> Composition:
    """A reweighing: what was lost or gained since is water."""
    above_zero(new_total, "the new weight")
    with localcontext(EXACT):
        dry = composition.total - composition.of_kind("water")
        if new_total < dry:
            raise Refused(
                f"The lot holds {milligrams(dry)} g without any water: it cannot weigh "
                f"{plain(new_total)} g. Check the weighing."
            )
        return Composition({**composition, WATER_ITSELF: new_total - dry})


def soap_content(composition: Composition) -> Decimal:
    """Potassium and sodium soap over the whole; Refused for nothing at all."""
    if not composition:
        raise Refused("Nothing is in this lot: there is no soap content to work out.")
    with localcontext(EXACT):
        return composition.of_kind("soap") / composition.total


def react(composition: Composition) -> Reaction:
    """Free alkali takes the acids first, then every fat alike.

    Potassium and sodium are shared by mole. With no free alkali nothing changes: what
    acid then does to soap is in ``late_acid``.
    """
    with localcontext(EXACT):
        free = moles_of_alkali(composition, "alkali")
        moles = sum(free.values(), ZERO)
        if not moles or not (composition.of_kind("acid") + composition.of_kind("fat")):
            return Reaction(composition, None, None)
        koh = free["KOH"] / moles
        shares = {"KOH": koh, "NaOH": ONE - koh}
        pot = dict(composition)
        for_fat = _neutralise(pot, moles, shares)
        left = _saponify(pot, for_fat, shares)
        for alkali, share in shares.items():
            pot[Substance("alkali", alkali=alkali)] = share * left * ALKALIS[alkali]
        made = Composition(pot)
        return Reaction(
            made, superfat(made) if left < for_fat else None, koh_share(made)
        )


def _neutralise(
    pot: dict[Substance, Decimal], moles: Decimal, shares: Mapping[str, Decimal]
) -> Decimal:
    """Turn acids into salts and water; the moles of alkali left."""
    acids = {s: acid_moles(s, g) for s, g in pot.items() if s.kind == "acid"}
    taken, part = _shared(moles, acids)
    for substance, needed in acids.items():
        facts = ACID_KINDS[substance.of]
        used = pot[substance] * part
        pot[substance] *= ONE - part
        for alkali, share in shares.items():
            bound = facts.hydrogens * ALKALIS[alkali]
            salt = facts.dry + bound - facts.hydrogens * WATER
            name = Substance(
                "acid salt", substance.of, alkali, alkali_bound=bound / salt
            )
            _add(pot, name, used * share * salt / facts.dry)
        _add(pot, WATER_ITSELF, needed * part * WATER)
    return moles - taken


def _saponify(
    pot: dict[Substance, Decimal], moles: Decimal, shares: Mapping[str, Decimal]
) -> Decimal:
    """Turn fats into soap, glycerol and water; the moles of alkali left."""
    fats = {s: _fat_moles(s, g) for s, g in pot.items() if s.kind == "fat"}
    taken, part = _shared(moles, fats)
    for substance in fats:
        gram = substance.facts.per_gram()
        used = pot[substance] * part
        pot[substance] *= ONE - part
        for alkali, share in shares.items():
            bound = gram.moles * ALKALIS[alkali]
            soap = gram.acyl + bound
            name = _of_facts(
                "soap", substance.of, substance.facts, alkali, bound / soap
            )
            _add(pot, name, used * share * soap)
        _add(pot, Substance("glycerol", of=substance.of), used * gram.glycerol)
        _add(pot, Substance("unsaponified", of=substance.of), used * gram.unsaponified)
        _add(pot, WATER_ITSELF, used * gram.water)
    return moles - taken


def _shared(
    moles: Decimal, wanted: Mapping[Substance, Decimal]
) -> tuple[Decimal, Decimal]:
    """How much alkali is taken, and the part of every substance that it turns."""
    needed = sum(wanted.values(), ZERO)
    taken = min(moles, needed)
    # Exactly 1 where there is enough: no trace of fat is left by rounding.
    part = ONE if taken == needed else taken / needed
    return taken, part


def acid_moles(acid: Substance, grams: Decimal) -> Decimal:
    """Moles of alkali that these grams of a dry acid take."""
    facts = ACID_KINDS[acid.of]
    return grams / facts.dry * facts.hydrogens


def _fat_moles(fat: Substance, grams: Decimal) -> Decimal:
    return grams * fat.facts.per_gram().moles


def moles_of_alkali(composition: Composition, kind: str) -> dict[str, Decimal]:
    """Moles of each hydroxide, free (alkali) or bound (soap)."""
    moles = dict.fromkeys(ALKALIS, ZERO)
    for substance, amount in composition.items():
        if substance.kind == kind:
            bound = ONE if substance.alkali_bound is None else substance.alkali_bound
            moles[substance.alkali] += amount * bound / ALKALIS[substance.alkali]
    return moles


def superfat(composition: Composition) -> Decimal | None:
    """The fat not saponified over all fat, by the alkali it would take.

    Below 0 it is alkali left free once its acids are neutralised. None where there
    is neither fat nor soap.
    """
    with localcontext(EXACT):
        fat = sum(
            (_fat_moles(s, g) for s, g in composition.items() if s.kind == "fat"), ZERO
        )
        acid = sum(
            (acid_moles(s, g) for s, g in composition.items() if s.kind == "acid"),
            ZERO,
        )
        soap = sum(moles_of_alkali(composition, "soap").values(), ZERO)
        free = sum(moles_of_alkali(composition, "alkali").values(), ZERO)
        if not fat + soap:
            return None
        return (fat - max(free - acid, ZERO)) / (fat + soap)


def koh_share(composition: Composition) -> Decimal | None:
    """The potassium share of the soap, by mole; None where there is no soap."""
    with localcontext(EXACT):
        moles = moles_of_alkali(composition, "soap")
        soap = sum(moles.values(), ZERO)
        return moles["KOH"] / soap if soap else None
