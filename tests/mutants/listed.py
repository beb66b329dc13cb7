"""Known mistakes by name, each with what it would mean in the workshop.

Found by the name of the function and a text in it, wherever its file lies. A list that
no longer finds its place fails its test: write it anew where the code says it now.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tests.mutants.house import Module
from tests.mutants.operators import Mutant


@dataclass(frozen=True)
class Known:
    """In ``function``, ``into`` stands in place of ``text``."""

    name: str
    function: str
    text: str
    into: str
    meaning: str


LISTED = (
    Known(
        "earliest arrival before earliest expiry",
        "_first_to_go",
        "lot.expiry or date.max, lot.arrived, lot.code",
        "lot.arrived, lot.expiry or date.max, lot.code",
        "The oil that turns first stays on the shelf while an older, longer keeping "
        "one is used up.",
    ),
    Known(
        "what never expires goes first",
        "_first_to_go",
        "lot.expiry or date.max",
        "lot.expiry or date.min",
        "What keeps for ever is used up while what expires spoils.",
    ),
    Known(
        "the label of a product from its first lot",
        "source_of",
        '.order_by("-pk").first()',
        '.order_by("pk").first()',
        "A recipe changed since; the bottles carry the ingredients of the old one.",
    ),
    Known(
        "the other liquid is forgotten in the water that is weighed",
        "_as_weighed",
        "on_balance(water, step) + pot.in_the_lye",
        "on_balance(water, step)",
        "Glycerin stands in the lye for some of its water: that share of the water is "
        "taken off twice, and the lye is stronger than it says.",
    ),
    Known(
        "the other liquid is forgotten in the strength",
        "_strength",
        "weighed + result.lye_water + pot.in_the_lye",
        "weighed + result.lye_water",
        "The paper says a lye that is stronger than the one in the jug.",
    ),
    Known(
        "a lye of glycerin alone is a lye of nothing",
        "pot_of",
        'liquid = mass["water"] + mass[IN_THE_LYE]',
        'liquid = mass["water"]',
        "A cook whose lye has no water cannot be planned.",
    ),
    Known(
        "the other liquid is forgotten in the paste",
        "_paste",
        "acid + pot.in_the_lye + pot.added",
        "acid + pot.added",
        "The kettle holds more than the plan says: it boils over, and its soap is "
        "thinner.",
    ),
    Known(
        "a month is offered a day early",
        "ended_between",
        "while end < until:",
        "while end <= until:",
        "On the last day of a month its book is offered for closing, with the evening "
        "still to be written.",
    ),
    Known(
        "a month ends a day early",
        "month_end",
        "replace(day=1) - DAY",
        "replace(day=1) - 2 * DAY",
        "The last day of a month stays open for ever.",
    ),
    Known(
        "a month is closed while it runs",
        "close_book",
        "if deed.on <= through:",
        "if deed.on < through:",
        "The last day is closed while goods of it are still to be written.",
    ),
    Known(
        "a weighing that leaves nothing",
        "_judge_course",
        "held[lot, place] <= 0",
        "held[lot, place] < 0",
        "A lot of which all is gone was weighed: its content was divided by nothing.",
    ),
    Known(
        "a weighing of nothing",
        "weighing",
        "if found <= 0:",
        "if found < 0:",
        "All that stood there is called water, with what it cost.",
    ),
    Known(
        "a weighing that was taken back still counts",
        "_soap_followed",
        "lot.movements.standing().filter(on__lte=on)",
        "lot.movements.filter(on__lte=on)",
        "A paste is called stronger by a weighing that never was, and is thinned too "
        "far.",
    ),
    Known(
        "the earlier of two weighings of a day is the last",
        "last_weighing",
        'rows.order_by("-on", "-id").first()',
        'rows.order_by("-on", "id").first()',
        "The lot advises by the morning's weight what the evening's replaced.",
    ),
    Known(
        "the earlier of two counts of a day answers the later",
        "CountQuerySet.latest",
        "same_day & Q(position__gt=at)",
        "same_day & Q(position__lt=at)",
        "A count that another one answered stays on the list of disagreements.",
    ),
    Known(
        "a day may be weighed behind a later weighing",
        "weighed_again",
        "on__gt=on",
        "on__gt=on, on__lt=on",
        "A weighing typed late is reckoned from what a later one had restated.",
    ),
    Known(
        "a release before its packaging",
        "_packed_by_then",
        "if lot.batch_id and (last := packed_since(lot, deed.on)):",
        "if False and (last := packed_since(lot, deed.on)):",
        "Bottles are sold that had no label yet by the book's own dates.",
    ),
    Known(
        "packaging of the day of release stops it",
        "packed_since",
        "on__gt=on",
        "on__gte=on",
        "Bottles that were labelled in the morning cannot be released that day.",
    ),
    Known(
        "a check releases before the packaging",
        "note_measurement",
        "ready = rested and waiting and packed_since(lot, deed.on) is None",
        "ready = rested and waiting",
        "A passed check dated before the labels went on releases the bottles as of "
        "that day.",
    ),
    Known(
        "noise adds a piece",
        "pieces_up",
        "grams(amount).to_integral_value",
        "amount.to_integral_value",
        "A plan for 20 bottles fetches 21 for the last digit of a sum.",
    ),
    Known(
        "noise takes a piece away",
        "pieces_down",
        "grams(amount).to_integral_value",
        "amount.to_integral_value",
        "Soap that fills 20 bottles is said to fill 19.",
    ),
    Known(
        "more steam than there is water",
        "after_the_boil",
        "steam = min(lost, result.water_in_paste)",
        "steam = lost",
        "Soap goes up the chimney, and the paste is called stronger than it can be.",
    ),
    Known(
        "nothing is said of steam beyond the water",
        "after_the_boil",
        "if lost > steam:",
        "if lost < steam:",
        "A loss that was mistyped tenfold passes as a plan.",
    ),
    Known(
        "a batch boils off more than its water",
        "refuse_more_steam_than_water",
        "if short and short > BAND * weighed:",
        "if False and short:",
        "Paste that is missing is called steam, and nobody asks where it went.",
    ),
    Known(
        "a superfat that is not the smallest",
        "_a_higher_superfat",
        "Decimal(steps) * 100 / _STEPS",
        "Decimal(steps + 1) * 100 / _STEPS",
        "More oil is left unsaponified than safety asks for: the soap clouds.",
    ),
    Known(
        "a superfat that clears by a tenth more than is asked",
        "_a_higher_superfat",
        "while band.low < 0 and steps",
        "while band.low < Decimal('0.001') and steps",
        "A recipe that is clear of free alkali is told to be clearer still.",
    ),
)


def listed(modules: Iterable[Module]) -> list[Mutant]:
    """Each of them at its one place."""
    modules = list(modules)
    return [_placed(known, modules) for known in LISTED]


def _placed(known: Known, modules: Iterable[Module]) -> Mutant:
    found = [one for module in modules for one in _places(known, module)]
    if len(found) != 1:
        raise LookupError(
            f"'{known.name}' stands in {len(found)} places: no one function "
            f"{known.function} holds {known.text!r}."
        )
    return found[0]


def _places(known: Known, module: Module) -> Iterator[Mutant]:
    for function in module.functions:
        if function.name != known.function:
            continue
        start, end = module.span(function.body[0])[0], module.span(function.body[-1])[1]
        inside = module.text(start, end)
        if inside.count(known.text) != 1:
            continue
        at = start + len(inside[: inside.index(known.text)].encode())
        stop = at + len(known.text.encode())
        lines = range(module.line_of(at), module.line_of(stop) + 1)
        yield Mutant(
            module,
            function.name,
            "listed",
            at,
            stop,
            known.into,
            (*lines,),
            function.once,
            known.name,
            known.meaning,
        )
