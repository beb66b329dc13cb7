"""Recipes at random, and one worked by hand, for the tests of chemistry."""

from decimal import Decimal as D
from decimal import localcontext

from hypothesis import strategies as st

from production.chemistry.domain.composition import merge, of_alkali, of_oil, react
from production.chemistry.domain.constants import EXACT, KOH
from production.chemistry.domain.late_acid import acidify
from production.chemistry.domain.pot import Acid, Oil, Pot
from production.chemistry.domain.profile import fatty_acid
from production.chemistry.domain.saponification import saponify

# Our own worked example, computed by two routes: exact decimals from the
# conventions, and mean molar masses with an independent molar-mass library.
WORKED = Pot(
    oils=(
        Oil("olive", D(600), D("190.5"), D("1.0"), D("0.010")),
        Oil("coconut", D(300), D(255), D("0.2"), D("0.004")),
        Oil("castor", D(100), D(181), D("1.0"), D("0.005")),
    ),
    superfat=D("0.02"),
    koh_share=D("0.95"),
    koh_purity=D("0.90"),
    koh_carbonate=D("0.005"),
    naoh_purity=D("0.98"),
    naoh_carbonate=D("0.005"),
    acids=(Acid("citric", D(8), D("0.995")),),
    water=D(330),
    evaporated=D(45),
)


def soap_of(fat):
    """All of a fat as potassium soap, and its glycerol."""
    held = of_oil(fat.name, fat.grams, fat.sv, oil_kind=fat.kind)
    made = saponify(Pot((fat,), D(0), koh_purity=D(1)))
    return react(merge(held, of_alkali("KOH", made.koh_pure, D(1)))).composition


def acid_behind(fat):
    """What an acid sets free from its soap."""
    sour = acidify(soap_of(fat), Acid("acetic", D(1), D(1))).composition
    (acid,) = [s for s in sour if s.kind == "fat"]
    return acid


def fat_of(acids):
    """The saponification value of the fat that these acids make, in any measure.

    A mole of acid weighs as the table says; what glycerol adds to it in a fat is the
    same in all of them, and is asked of one.
    """
    with localcontext(EXACT):
        moles = sum(part * fatty_acid(acid).moles for acid, part in acids.items())
        known = Oil("any", D(1000), D(190))
        glycerol = 1000 * KOH * (1 / known.sv - 1 / acid_behind(known).sv)
        return 1000 * KOH / (sum(acids.values()) / moles + glycerol)


def decimals(low, high, places=3):
    return st.decimals(low, high, allow_nan=False, places=places)


@st.composite
def oils(draw):
    kind = draw(st.sampled_from(["fat", "acid", "wax"]))
    sv = draw(decimals(80, 400))
    stated = draw(st.booleans())
    return Oil(
        name=draw(st.sampled_from(["olive", "coconut", "castor", "jojoba"])),
        grams=draw(decimals("0.001", 100000)),
        sv=sv,
        acid_value=draw(decimals(0, int(sv))) if stated else None,
        unsaponifiable=draw(decimals(0, "0.5")),
        kind=kind,
    )


ACIDS = st.builds(
    Acid,
    kind=st.sampled_from(["citric", "citric monohydrate", "lactic", "acetic"]),
    grams=decimals("0.001", 500),
    purity=decimals("0.05", 1),
)


@st.composite
def recipes(draw):
    """Both alkalis, acids, waxes, superfat on either side of 0; always with water."""
    return Pot(
        oils=tuple(draw(st.lists(oils(), min_size=1, max_size=4))),
        superfat=draw(decimals("-0.05", "0.2")),
        koh_share=draw(decimals(0, 1)),
        koh_purity=draw(decimals("0.5", "0.95")),
        koh_carbonate=draw(decimals(0, "0.05")),
        naoh_purity=draw(decimals("0.5", "0.95")),
        naoh_carbonate=draw(decimals(0, "0.05")),
        acids=tuple(draw(st.lists(ACIDS, max_size=2))),
        water=draw(decimals(1, 100000)),
        evaporated=draw(decimals(0, 1)),
    )


def balance(recipe, result):
    """Grams in less grams out."""
    with localcontext(EXACT):
        taken = (
            sum(oil.grams for oil in recipe.oils)
            + sum(acid.grams for acid in recipe.acids)
            + result.koh_weighed
            + result.naoh_weighed
            + result.lye_water
        )
        made = (
            result.soap_potassium
            + result.soap_sodium
            + result.glycerol
            + result.leftover_oil
            + result.unsaponified
            + result.acid_salts
            + result.carbonate
            + result.free_koh
            + result.free_naoh
            + result.water_total
        )
        paste_off = made - recipe.evaporated - result.paste
        return max(abs(taken - made), abs(paste_off))
