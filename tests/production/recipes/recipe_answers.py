"""Each door beside the sum: ``DOORS`` by name, and what it means to agree."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal as D
from fractions import Fraction as F

from tests.production.recipes import recipe_doors as doors
from tests.production.recipes import recipe_oracle as oracle
from tests.production.recipes.random_recipe import Written
from tests.production.recipes.recipe_doors import NAMES, WATER
from tests.production.recipes.recipe_right import (
    KILO,
    being_written,
    by_wording,
    kettle,
    of_the_day,
    planned,
    poured,
    thinned,
    thinned_from,
    wanted,
)

THIN, TAKEN = D(30000), D(2000)  # grams of diluted soap, of paste that stands ready
STEAM = D(100)
# Alkali is rounded down to the milligram, and up to 3 times as much water goes by it;
# of a kilogram of oils that is some millionths. A tenth of a gram is the finest that a
# day says. A pot weighed to the milligram has a content so fine.
MILLIGRAM, RELATIVE, OF_A_SHARE = F(4, 10**3), F(2, 10**6), F(1, 10**5)
TENTH, OF_A_POT = F(6, 100), F(1, 10**5)
SUMS = ("paste", "content", WATER)
SHEET = ("paste", WATER)
SHARES = ("content", "superfat")


class Disagrees(AssertionError):
    """A door says something else than the sum."""


def agree(
    says: Mapping,
    right: Mapping,
    must=(),
    *,
    least=MILLIGRAM,
    relative=RELATIVE,
    of_a_share=OF_A_SHARE,
) -> None:
    """Every figure that a door says, and those that it must say."""
    for name in dict.fromkeys([*says, *must]):
        theirs, mine = says.get(name), right.get(name)
        if name not in right:
            raise Disagrees(f"{name} is none of the recipe: {theirs}")
        if mine is None or theirs is None:
            if mine is not theirs:
                raise Disagrees(f"{name}: {theirs}, and it is {_near(mine)}")
            continue
        off = abs(F(theirs) - mine)
        if off > (of_a_share if name in SHARES else least) + abs(mine) * relative:
            raise Disagrees(f"{name}: {_near(theirs)}, and it is {_near(mine)}")


def _near(value):
    return None if value is None else f"{float(value):.6f}"


def weighable(says: Mapping, right: Mapping, must, step: D) -> None:
    """As ``agree``; of alkali the most that the balance can weigh of it, and the rest
    may follow what is weighed or what is worked out."""
    if not step:
        return agree(says, right, must)
    lye = {name for name in NAMES.values() if name in right}
    # What is rounded down is missing from the paste, and so a little more is cooked.
    slack = F(step) / 4
    for name in lye:
        exact, theirs = right[name], F(says.get(name, 0))
        if theirs % F(step) or not -slack <= exact - theirs < F(step) + slack:
            raise Disagrees(f"{name}: {_near(theirs)}, of the {_near(exact)} asked for")
    rest = {name: figure for name, figure in says.items() if name not in lye}
    # A step of the lightest lye of a kilogram is so much of its superfat.
    share = F(step) / 100
    # Two alkalis down, and some three grams of lye water less to each gram of them.
    return agree(rest, right, must, least=8 * F(step), of_a_share=share)


# --- The recipe as it is worded ------------------------------------------------------
def recipe_page(desk, written: Written):
    says, must = doors.recipe_page(desk, written), (*SUMS, "superfat")
    weighable(says, by_wording(written, KILO), must, written.drawn.step)


def preview(desk, written: Written):
    says, must = doors.preview(desk, written), (*SUMS, "superfat")
    weighable(says, being_written(written), must, written.drawn.step)


def comparison(desk, written: Written):
    says = doors.comparison(desk, written)
    weighable(says, by_wording(written, KILO), SUMS, written.drawn.step)


def planned_cost(desk, written: Written):
    right = by_wording(written, KILO)
    times = KILO / right["paste"]
    grams = {n: figure * times for n, figure in right.items() if n not in SHARES}
    agree(doors.planned_cost(desk, written), grams, [WATER])


def saponify(desk, written: Written):
    """What its file can say: oils of their lots, alkali, acids, water, steam."""
    oils = F(written.drawn.oils)
    pot = kettle(written, oils, lots=True, loss=D(0))
    pot = replace(pot, liquid=F(0), added=F(0), late=())
    made = oracle.cook(pot)
    paste = made.goes_in - F(STEAM)
    amounts = {"KOH": made.koh, "NaOH": made.naoh}
    right = {NAMES[kind]: grams for kind, grams in amounts.items() if grams}
    right |= {WATER: made.water, "glycerol": made.glycerol, "paste": paste}
    right |= {"content": made.content * made.goes_in / paste}
    agree(doors.saponify(_file(written, pot, oils)), right, SUMS)


def _file(written, pot, oils):
    drawn = written.drawn
    return {
        "oils": [
            {
                "name": code,
                "grams": _exact(grams),
                "sv": _exact(facts.sv),
                "kind": "acid" if facts.acid else "fat",
                "unsaponifiable": _exact(facts.unsaponifiable),
                **({} if facts.acid else {"acid_value": _exact(facts.acid_value)}),
            }
            for _, code, grams, facts in poured(written, oils, lots=True)
        ],
        "superfat": str(drawn.superfat),
        "koh_share": str(drawn.koh_share),
        "koh_purity": str(drawn.koh.purity),
        "koh_carbonate": str(drawn.koh.carbonate),
        "naoh_purity": str(drawn.naoh.purity),
        "naoh_carbonate": str(drawn.naoh.carbonate),
        "acids": [
            {"kind": a.kind, "grams": _exact(a.grams), "purity": _exact(a.purity)}
            for a in pot.acids
        ],
        "water_per_alkali": drawn.ratio and str(drawn.ratio),
        "lye_strength": drawn.strength and str(drawn.strength),
        "water": None if pot.water is None else _exact(pot.water),
        "evaporated": str(STEAM),
    }


def _exact(value: F) -> str:
    """Products of a few short decimals: nothing is lost."""
    text = D(value.numerator) / D(value.denominator)
    assert F(text) == value
    return f"{text:f}"


# --- One batch, and a making ---------------------------------------------------------
def batch_form(desk, written: Written):
    says = doors.batch_form(desk, written)
    weighable(says, of_the_day(written), (*SUMS, "superfat"), written.drawn.step)


def batch_sheet(desk, written: Written):
    says = doors.batch_sheet(desk, written)
    weighable(says, of_the_day(written), SHEET, written.drawn.step)


def _made(ask, written, must):
    """By the paste that is wanted; where nobody knows the loss it is asked for."""
    if written.drawn.expects is None:
        _asks_for_the_loss(lambda: ask(D(30000)))
        return
    much = wanted(written)
    weighable(ask(much), planned(written, F(much)), must, written.drawn.step)


def _asks_for_the_loss(ask):
    try:
        ask()
    except doors.Refuses as fault:
        if "loss" in str(fault) or "nothing is planned" in str(fault):
            return
        raise
    raise Disagrees("it is planned, and nobody knows the loss")


def making(desk, written: Written):
    _made(lambda much: doors.making(desk, written, much), written, SUMS)


def making_sheets(desk, written: Written):
    _made(lambda much: doors.making_sheets(desk, written, much), written, SHEET)


def written_up(desk, written: Written):
    must = (*SUMS, "superfat")
    _made(lambda much: doors.written_up(desk, written, much), written, must)


def thinning(desk, written: Written):
    """From the diluted soap back to the kettle."""
    if written.drawn.expects is None:
        _asks_for_the_loss(lambda: doors.thinning(desk, written, THIN))
        return
    right, least = thinned(written, F(THIN)), _fine(written)
    says = doors.thinning(desk, written, THIN)
    agree(says, right, right, least=least, relative=OF_A_POT)


def _fine(written):
    """The grams that a line of a thinned soap may be off by."""
    return max(3 * MILLIGRAM, 8 * F(written.drawn.step))


# --- What is said beside the figures -------------------------------------------------
def how_sure(desk, written: Written):
    """Whoever weighs alkali by a plan is told how sure its superfat is."""
    _told(desk, written, "ikely")


def heeds(desk, written: Written):
    """The remarks of the recipe stand on its plan as well."""
    page = doors.recipe_page_text(desk, written)
    for sentence in REMARKS:
        if sentence in page:
            _told(desk, written, sentence)


REMARKS = (
    "after the cook gets no alkali of its own",
    "that is a lye and not flakes",
    "The superfat is below 0",
    "part of it stays solid",
)


def _told(desk, written, words):
    if written.drawn.expects is None:
        return
    if words not in doors.making_text(desk, written, wanted(written)):
        raise Disagrees(f"{words!r} is not said on the plan")


def followed(desk, written: Written):
    """A plan followed exactly loses nothing that was not expected."""
    if written.drawn.expects is None:
        return
    abnormal = doors.followed(desk, written, wanted(written))
    if abnormal:
        raise Disagrees(f"{abnormal} g are lost abnormally")


# --- The paste that stands there -----------------------------------------------------
def craft_day(desk, written: Written, lot):
    def ask():
        return doors.craft_day(desk, written, lot, TAKEN)

    _of_a_paste(ask, written, thinned_from(written, paste=F(TAKEN)), tenths=True)


def dilution_form(desk, written: Written, lot):
    def ask():
        return doors.dilution_form(desk, written, lot, TAKEN)

    _of_a_paste(ask, written, thinned_from(written, paste=F(TAKEN)))


def making_from(desk, written: Written, lot):
    def ask():
        return doors.making_from(desk, written, lot, D(5000))

    _of_a_paste(ask, written, thinned_from(written, soap=F(5000)))


def _of_a_paste(ask, written, right, *, tenths=False):
    """Of a tub only a floor is known: then nobody knows what became of it in the pot,
    unless the paste was measured."""
    if written.drawn.read is None and written.drawn.floor:
        try:
            says = ask()
        except doors.Refuses:
            return
        raise Disagrees(f"{says}, and the soap in the paste is not known")
    says = ask()
    must = (WATER,) if tenths else right
    least = max(TENTH if tenths else MILLIGRAM, _fine(written))
    agree(says, right, must, least=least, relative=OF_A_POT)


DOORS = {
    "recipe page": recipe_page,
    "preview": preview,
    "comparison": comparison,
    "planned cost": planned_cost,
    "saponify": saponify,
    "batch form": batch_form,
    "batch sheet": batch_sheet,
    "making": making,
    "making's sheets": making_sheets,
    "making, written up": written_up,
    "making of thinned soap": thinning,
    "making, how sure": how_sure,
    "making, its remarks": heeds,
}
# They ask of a paste that was cooked meanwhile, and so come last.
OF_A_PASTE = {
    "craft day": craft_day,
    "dilution form": dilution_form,
    "making from a paste": making_from,
}
WRITES = {"making, followed exactly": followed}
