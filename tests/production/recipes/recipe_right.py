"""The sum by first principles over a recipe that stands in the book.

What ``recipe_oracle`` says of the lots, tubs and losses of a ``Written`` recipe, under
the names that the doors use.
"""

from dataclasses import replace
from decimal import ROUND_HALF_UP
from decimal import Decimal as D
from fractions import Fraction as F

from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.models import Lot
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.production.recipes import recipe_oracle as oracle
from tests.production.recipes.random_recipe import (
    FATTY_ACIDS,
    Drawn,
    OilLot,
    Written,
    write,
)
from tests.production.recipes.recipe_doors import NAMES, WATER

KILO = F(1000)
Figures = dict[str, F | None]


def mark_of(written: Written) -> str:
    return written.version.formula.name.removeprefix("cook")


def ready(drawn: Drawn, mark: str = "") -> Written:
    """In the book, with the batch before it where a loss was learnt."""
    written = write(drawn, mark)
    if drawn.learned is not None:
        learn(written)
    return written


def poured(
    written: Written, oils: F, *, lots: bool
) -> list[tuple[str, str, F, oracle.Poured]]:
    """(item, lot, grams, facts): of the lots in turn, or as published.

    What no lot on the shelf holds has to be bought: nobody knows its own value.
    """
    found = []
    for place, line in enumerate(written.drawn.lines):
        name, left = f"{line.key}{mark_of(written)}", oils * F(line.share)
        shelf = (*line.lots, OilLot()) if lots else (OilLot(),)
        for number, lot in enumerate(shelf):
            grams = min(left, F(lot.grams))
            left -= grams
            if grams:
                facts = oracle.Poured(
                    grams,
                    F(written.svs[name] if lot.sv is None else lot.sv),
                    F(lot.acid_value or 0),
                    F(lot.unsaponifiable or 0),
                    acid=line.key in FATTY_ACIDS,
                )
                code = f"OIL{mark_of(written)}-{place}{number}"
                found.append((name, code, grams, facts))
    return found


def kettle(written: Written, oils: F, *, lots: bool, loss: D | None) -> oracle.Kettle:
    drawn = written.drawn
    beside = [(one, oils * F(one.share)) for one in drawn.beside]
    inert = [(one, grams) for one, grams in beside if not one.acid]
    return oracle.Kettle(
        oils=[facts for *_, facts in poured(written, oils, lots=lots)],
        superfat=F(drawn.superfat),
        koh_share=F(drawn.koh_share),
        koh=(F(drawn.koh.purity), F(drawn.koh.carbonate)),
        naoh=(F(drawn.naoh.purity), F(drawn.naoh.carbonate)),
        ratio=drawn.ratio and F(drawn.ratio),
        strength=drawn.strength and F(drawn.strength),
        water=drawn.water and F(drawn.water) * oils,
        acids=_sour(beside, "lye"),
        late=_sour(beside, "late"),
        liquid=sum((grams for one, grams in inert if one.goes_in == "lye"), F(0)),
        added=sum((grams for one, grams in inert if one.goes_in != "lye"), F(0)),
        loss=None if loss is None else F(loss),
    )


def _sour(beside, goes_in):
    return [
        oracle.Sour(one.acid, grams, F(one.purity))
        for one, grams in beside
        if one.acid and one.goes_in == goes_in
    ]


def figures(written: Written, oils: F, *, lots: bool, loss: D | None) -> Figures:
    """What a door should say, by its names."""
    made = oracle.cook(kettle(written, oils, lots=lots, loss=loss))
    found: Figures = {}
    for name, _, grams, _ in poured(written, oils, lots=lots):
        found[name] = found.get(name, F(0)) + grams
    found |= {
        f"{one.name}{mark_of(written)}": oils * F(one.share)
        for one in written.drawn.beside
    }
    amounts = {"KOH": made.koh, "NaOH": made.naoh}
    found |= {NAMES[kind]: grams for kind, grams in amounts.items() if grams}
    found |= {WATER: made.water, "paste": made.paste, "content": made.content}
    return found | {"superfat": made.superfat}


def by_wording(written: Written, oils: F) -> Figures:
    """As the recipe words it, from no lot: published values, and what its batches lost
    or else it expects. Where neither says it, what goes in is what it shows."""
    loss = replace(written.drawn, typed=None).expects
    return figures(written, oils, lots=False, loss=loss or D(0))


def being_written(written: Written) -> Figures:
    """The next wording of the recipe, for the oils of the day; with what was learnt."""
    oils, loss = F(written.drawn.oils), replace(written.drawn, typed=None).expects
    return figures(written, oils, lots=False, loss=loss or D(0))


def of_the_day(written: Written) -> Figures:
    """A batch of the day's oils, with the loss to expect without typing one."""
    loss = replace(written.drawn, typed=None).expects
    return figures(written, F(written.drawn.oils), lots=True, loss=loss)


def planned(written: Written, paste: F) -> Figures:
    """From so much paste back: how many oils give it, as their lots share it out."""
    loss, oils = written.drawn.expects, F(written.drawn.oils)
    for _ in range(60):
        right = figures(written, oils, lots=True, loss=loss)
        if abs(right["paste"] - paste) < F(1, 10**7):
            break
        oils = (oils * paste / right["paste"]).limit_denominator(10**12)
    return right


def wanted(written: Written) -> D:
    """The paste of the day's oils, to the gram."""
    loss, oils = written.drawn.expects, F(written.drawn.oils)
    return D(round(figures(written, oils, lots=True, loss=loss)["paste"]))


def thinned(written: Written, soap: F) -> Figures:
    """Back from so much diluted soap: the paste of a kettle made for it."""
    paste = soap / 3
    for _ in range(60):
        needed = soap * F(written.drawn.target) / planned(written, paste)["content"]
        if abs(needed - paste) < F(1, 10**6):
            break
        paste = needed.limit_denominator(10**9)
    return _with_thinner(written, paste, soap)


def content(written: Written) -> F:
    """Of the paste that stands ready: as it was read, else of its own pot."""
    drawn = written.drawn
    if drawn.read is not None:
        return F(drawn.read)
    loss = drawn.expects or D(0)
    return figures(written, F(drawn.oils), lots=True, loss=loss)["content"]


def thinned_from(written: Written, *, paste: F = F(0), soap: F = F(0)) -> Figures:
    """Out of the paste that stands ready: for so much paste, or for so much soap."""
    target = F(written.drawn.target)
    paste = paste or soap * target / content(written)
    return _with_thinner(written, paste, paste * content(written) / target)


def _with_thinner(written, paste, soap):
    found = {written.paste.name: paste, WATER: soap - paste}
    if written.drawn.thinner is not None:
        more = soap * F(written.drawn.thinner)
        found |= {written.items["thinner"].name: more, WATER: soap - paste - more}
    return found


def rounded(value: F) -> D:
    """To the milligram."""
    exact = D(value.numerator) / D(value.denominator)
    return exact.quantize(D("0.001"), ROUND_HALF_UP)


def learn(written: Written) -> None:
    """One batch before, out of the last lot of each oil, that lost what was learnt."""
    right = figures(written, KILO, lots=False, loss=D(0))
    lots = {item.name: item.lots.last() for item in written.items.values()}
    uses = [
        Use(lot=lots[name], amount=rounded(grams))
        for name, grams in right.items()
        if lots.get(name)
    ]
    came = _in_all(uses, written, right) * (1 - written.drawn.learned)
    _cook(written, uses, came.quantize(D("0.001")), 2)


def cooked(written: Written) -> Lot:
    """The day's batch, weighed as the sum says, tested and released; of the contents
    what was read of it."""
    drawn = written.drawn
    loss = drawn.expects or D(0)
    right = figures(written, F(drawn.oils), lots=True, loss=loss)
    uses = [
        Use(lot=Lot.objects.get(code=code), amount=rounded(grams))
        for _, code, grams, _ in poured(written, F(drawn.oils), lots=True)
    ]
    for one in drawn.beside:
        name = f"{one.name}{mark_of(written)}"
        lot = written.items[name].lots.get()
        uses.append(Use(lot=lot, amount=rounded(right[name])))
    _in_all(uses, written, right)
    lot = _cook(written, uses, rounded(right["paste"]), 3)
    readings = [make.check()]
    if drawn.read is not None:
        readings.append(Reading("soap content", drawn.read))
    note_measurement(lot=lot, readings=readings, **make.act(4))
    release_lot(lot=lot, **make.act(4, reason="tested"))
    return lot


def _in_all(uses, written, right) -> D:
    """Alkali and water to the rest; grams in all."""
    for kind, code in written.tubs.items():
        lot = Lot.objects.get(code=code)
        uses.append(Use(lot=lot, amount=rounded(right[NAMES[kind]])))
    water = rounded(right[WATER])
    uses.append(Use(item=written.items["water"], amount=water))
    return sum(use.amount for use in uses)


def _cook(written, uses, amount, day):
    return run_batch(
        stage="cook",
        version=written.version,
        uses=uses,
        output=Output(amount),
        lost_as="steam",
        **make.act(day, reason="as the sum says"),
    )
