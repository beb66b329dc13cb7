"""What a cook takes and gives, from first principles: it reads nothing of the program.

Fractions, rounded nowhere. The sum of a kettle, line by line:

- an oil of the saponification value v takes v mg of KOH a gram (what the value means);
  superfat leaves that part of every oil without alkali;
- an acid takes one mole of alkali for each of its acidic hydrogens;
- of so many moles of hydroxide the potassium share is KOH, the rest NaOH; what is
  weighed is more by its purity; carbonate stays, the rest of the tub is water;
- three ester bonds give three soaps and one glycerol; a free acid gives one soap and
  one water, and the acid value counts the free acids of an oil;
- what is unsaponifiable stays what it is;
- an acid after the cook takes what alkali is free, and past that turns soap back into
  fatty acid, mole by mole, the soaps of all oils alike;
- steam is water and nothing else: what a cook loses is steam as far as there is water.

Atomic weights: CIAAW (IUPAC), conventional standard atomic weights.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction as F

H, C, O = F("1.008"), F("12.011"), F("15.999")  # noqa: E741
KOH = F("39.0983") + O + H
NAOH = F("22.98976928") + O + H
WATER = 2 * H + O
GLYCEROL = 3 * C + 8 * H + 3 * O
CITRIC = 6 * C + 8 * H + 7 * O
# Grams of a mole as sold, as dry acid, and its acidic hydrogens.
ACIDS = {
    "citric": (CITRIC, CITRIC, 3),
    "citric monohydrate": (CITRIC + WATER, CITRIC, 3),
    "lactic": (3 * C + 6 * H + 3 * O, 3 * C + 6 * H + 3 * O, 1),
    "acetic": (2 * C + 4 * H + 2 * O, 2 * C + 4 * H + 2 * O, 1),
}


@dataclass(frozen=True)
class Poured:
    """Grams of oil out of one lot; ``acid`` says that it is nothing but fatty acid."""

    grams: F
    sv: F
    acid_value: F = F(0)
    unsaponifiable: F = F(0)
    acid: bool = False

    @property
    def moles(self) -> F:
        return self.grams * self.sv / 1000 / KOH

    @property
    def free(self) -> F:
        """Moles of it that are free acid."""
        value = self.sv if self.acid else self.acid_value
        return self.grams * value / 1000 / KOH

    @property
    def glycerol(self) -> F:
        return (self.moles - self.free) / 3 * GLYCEROL

    def soap(self, alkali: F) -> F:
        """Salts of its fatty acids, by the grams of a mole of hydroxide."""
        left = self.grams * (1 - self.unsaponifiable) - self.glycerol
        return left - self.free * WATER + self.moles * alkali


@dataclass(frozen=True)
class Sour:
    """An acid in the lye, grams as weighed."""

    kind: str
    grams: F
    purity: F

    @property
    def moles(self) -> F:
        sold, _, hydrogens = ACIDS[self.kind]
        return self.grams * self.purity / sold * hydrogens

    @property
    def dry(self) -> F:
        sold, dry, _ = ACIDS[self.kind]
        return self.grams * self.purity * dry / sold


@dataclass(frozen=True)
class Kettle:
    """What a person decides; one of ratio, strength and water (grams) is given.

    Purity and carbonate of each tub; ``acids`` are in the lye, ``late`` ones after the
    cook. ``liquid`` takes the place of lye water, ``added`` takes no part.
    """

    oils: Sequence[Poured]
    superfat: F
    koh_share: F
    koh: tuple[F, F]
    naoh: tuple[F, F]
    ratio: F | None = None
    strength: F | None = None
    water: F | None = None
    acids: Sequence[Sour] = ()
    late: Sequence[Sour] = ()
    liquid: F = F(0)
    added: F = F(0)
    loss: F | None = None


@dataclass(frozen=True)
class Cooked:
    """Grams, and shares of the paste; None where the loss is not known."""

    koh: F
    naoh: F
    water: F
    goes_in: F
    paste: F | None
    content: F | None
    superfat: F
    glycerol: F


class NoSuchKettle(Exception):
    """What is asked for cannot be."""


def cook(kettle: Kettle) -> Cooked:
    """Work it out; NoSuchKettle where there is more other liquid than the lye takes."""
    demand = sum(oil.moles for oil in kettle.oils)
    sour = sum(acid.moles for acid in kettle.acids)
    moles = (1 - kettle.superfat) * demand + sour
    share = kettle.koh_share
    koh = moles * share * KOH / kettle.koh[0]
    naoh = moles * (1 - share) * NAOH / kettle.naoh[0]
    water = _water(kettle, koh, naoh)
    if water < 0:
        raise NoSuchKettle
    oils = sum(oil.grams for oil in kettle.oils)
    acids = sum(acid.grams for acid in (*kettle.acids, *kettle.late))
    goes_in = oils + koh + naoh + water + acids + kettle.liquid + kettle.added
    used = 1 - max(kettle.superfat, F(0))
    alkali = share * KOH + (1 - share) * NAOH
    soap = used * sum(oil.soap(alkali) for oil in kettle.oils)
    free = max(-kettle.superfat, F(0)) * demand
    turned = max(sum(acid.moles for acid in kettle.late) - free, F(0))
    soap *= 1 - turned / (used * demand)
    paste = content = None
    if kettle.loss is not None:
        paste = goes_in * (1 - kettle.loss)
        wet = _wet(kettle, koh, naoh, water, used, sour)
        content = soap / (goes_in - min(kettle.loss * goes_in, wet))
    return Cooked(
        koh=koh,
        naoh=naoh,
        water=water,
        goes_in=goes_in,
        paste=paste,
        content=content,
        superfat=kettle.superfat,
        glycerol=used * sum(oil.glycerol for oil in kettle.oils),
    )


def _water(kettle: Kettle, koh: F, naoh: F) -> F:
    """To weigh: what the lye takes, less the other liquid in its place."""
    if kettle.water is not None:
        return kettle.water
    weighed = koh + naoh
    if kettle.ratio is not None:
        return kettle.ratio * weighed - kettle.liquid
    assert kettle.strength is not None
    pure = koh * kettle.koh[0] + naoh * kettle.naoh[0]
    return pure / kettle.strength - weighed - kettle.liquid


def _wet(kettle: Kettle, koh: F, naoh: F, water: F, used: F, sour: F) -> F:
    """All the water in the pot: weighed, in the tubs and the acids, and formed."""
    in_tubs = koh * (1 - sum(kettle.koh)) + naoh * (1 - sum(kettle.naoh))
    in_acids = sum(acid.grams - acid.dry for acid in kettle.acids)
    formed = used * sum(oil.free for oil in kettle.oils) + sour
    return water + in_tubs + in_acids + formed * WATER


def on_the_balance(grams: F, step: Decimal) -> F:
    """The most that a balance of such a step can weigh of it: never too much alkali."""
    return grams if not step else grams // F(step) * F(step)


def thinned(paste: F, content: F, target: F) -> F:
    """The water that brings so much paste to the content wanted: the soap stays."""
    return paste * content / target - paste
