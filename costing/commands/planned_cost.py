"""``planned_cost``: what a bottle would cost, of a recipe or of what does not exist."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from costing.domain.figures import money_of, nine, parts_of
from costing.domain.idea_file import read_idea
from costing.domain.ideas import Idea
from costing.domain.planned_bottle import PER, BottleLine, PlannedBottle
from costing.reads.ideas import refuse_unused_prices
from costing.reads.planned_bottle import planned_of
from production.buying.reads.bills import in_sentences, why_unknown
from production.models import Item, Workshop
from production.pages.commands import HouseCommand, as_json, read_json
from production.quantities.domain.number_text import read_figure
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

PIECES, A_KILO = Decimal(100), Decimal(1000)
FOR = {"g": "1000 g", "piece": "piece", "min": "hour", "batch": "batch"}
LEFT_OUT = {
    "labour": "labour: nobody said how many minutes it takes",
    "energy": "energy: nobody said what a batch takes",
    "overhead": "overhead: rent, insurance and the like are in no plan",
}

EXAMPLE = """\
What a bottle of the demo would cost by its recipes, at the latest prices:

  python manage.py demo planned_cost "Tideline 8 fl oz" --json

What a product would cost that does not exist:

  echo '{"name": "Lavender hand wash", "pieces": 40,
          "oils": [{"item": "Coconut oil", "share": "0.7",
                    "price": {"amount": "35 lb", "price": "78.50"}},
                   {"item": "Palm kernel oil"}],
          "superfat": "0.03", "koh_purity": "0.90", "water_per_alkali": "2",
          "soap_content": "0.25",
          "finishing": [{"item": "Glycerin", "share": "0.03", "price": "stock"}],
          "fill": "245 g",
          "packaging": [{"item": "Bottle 8 oz", "each": 1,
                         "price": {"amount": 130, "price": "101.40"}}],
          "losses": {"cook": "0.04", "dilution": "0.01", "finishing": "0.005",
                     "filling": "0.02"},
          "minutes": {"batch": 90, "piece": "1.5", "rate": "18.00"}, "energy": "2.40",
          "prices": [{"item": "Water",
                      "price": {"amount": "1 kg", "price": "0.002"}}]}' \\
      | python manage.py planned_cost - --json

FILE is JSON, "-" what is piped in; fractions, not percent. An oil is a card of the book
or a published oil, by its name, with its share of the oils or its amount; one of them
may leave it open. Instead of oils, "base" names what a recipe of the book makes.
"finishing" are shares of the finished soap. "fill" may be a volume where "density"
(g/mL) stands beside it. "price" is "last" (the last delivery, or the last lot made here
with the work that is in it; so too where nothing is said), "stock" (the average of what
is on hand), or a quote. "prices" are those of what goes in by itself: alkali, water,
what the recipe behind "base" takes, by the names that the answer has; "Water",
"Potassium hydroxide" and "Sodium hydroxide" always hold. One of a name that does not go
in is refused. Other keys: koh_share (by mole), naoh_purity, lye_strength instead of
water_per_alkali.

The answer: "unit_cost" of one piece (of one gram where it is weighed) with nine places,
null while a price is missing; "at_least" is what is known of it. "parts" by component
and the costs of "lines" add up to "at_least". A line says what one piece takes
("amount"), what is weighed for all ("batch_amount"), its "price" for "per", and where
that is from, with the day. "pieces" is what
comes out as it can be weighed, where "asked_for" is grams. "missing" names what has no
price, "asks" says what would
mend it, and "left_out" what nobody counted. Without a file 100 pieces are planned, or
1,000 g; --pieces says another number.
"""


class Command(HouseCommand):
    help = "Say what one bottle would cost: by component, by line, with every price."
    example = EXAMPLE

    def add_arguments(self, parser):
        parser.add_argument("what", metavar="FILE|ITEM")
        parser.add_argument("--pieces", metavar="NUMBER", help="made together")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, what, pieces, json, **options):
        idea = _asked(what)
        if pieces is not None:
            idea = _of_so_many(idea, pieces)
        [(found, book)] = planned_of([idea])
        if isinstance(found, Refused):
            raise found
        assert book is not None
        taken = {line.key: line.name for line in found.lines if line.key is not None}
        refuse_unused_prices(idea, book, taken)
        report = _report(idea, found)
        return as_json(report) if json else _told(report)


def _asked(what: str) -> Idea:
    """The item of that name, else the file."""
    item = Item.objects.filter(name__iexact=what.strip()).first()
    if item is not None:
        counted = item.unit == Item.Unit.PIECE
        return Idea(
            item.name, PIECES if counted else A_KILO, item.name, unfilled=not counted
        )
    if what == "-" or Path(what).suffix == ".json" or Path(what).exists():
        return read_idea(read_json(what))
    raise Refused(
        f"There is no item {what}, and no such file: write its name as on its card, or "
        "a file of JSON."
    )


def _of_so_many(idea: Idea, pieces: str) -> Idea:
    many = read_figure(pieces)
    if many is None or many <= 0 or many != int(many):
        raise Refused(f"{pieces} pieces: write a whole number above 0.")
    return replace(idea, pieces=many)


def _report(idea: Idea, bottle: PlannedBottle) -> dict:
    workshop = Workshop.objects.first()
    report = {
        "item": idea.name,
        "unit": bottle.made.unit,
        "currency": workshop.currency if workshop else "USD",
        "pieces": plain(bottle.pieces),
        "asked_for": plain(idea.pieces),
        "unit_cost": nine(bottle.unit_cost),
        "at_least": money_of(bottle.at_least),
        "parts": parts_of(bottle.parts),
        "lines": [_line(line, bottle) for line in bottle.lines],
        "missing": [line.name for line in bottle.missing],
    }
    if bottle.missing:
        report["asks"] = _asks(bottle.missing)
    if bottle.left_out:
        report["left_out"] = [LEFT_OUT[part] for part in bottle.left_out]
    return report


def _line(line: BottleLine, bottle: PlannedBottle) -> dict[str, str | None]:
    price = line.price
    cost = price.unit_cost
    return {
        "item": line.name,
        "component": line.component,
        "amount": _fine(line.of_a_piece(bottle.pieces)),
        "batch_amount": plain(line.amount),
        "unit": line.unit,
        "price": None if cost is None else nine(cost * PER[line.unit]),
        "per": FOR[line.unit],
        "price_from": None if price.whence == "none" else price.whence,
        "price_lot": price.source or None,
        "price_date": None if price.on is None else str(price.on),
        "cost": None if line.cost is None else money_of(line.cost),
    }


def _fine(amount: Fraction) -> str:
    """To nine places and no further."""
    return plain(round(Decimal(amount.numerator) / amount.denominator, 9))


def _asks(missing: Sequence[BottleLine]) -> list[str]:
    """What would mend it: prices of lots in the book, a rate, else a quote."""
    waits = [code for line in missing for code in line.price.lots]
    asks = in_sentences(why_unknown(waits)) if waits else []
    for line in missing:
        if line.unit == "min":
            asks.append("Work: write the rate of an hour.")
        elif not line.price.lots:
            asks.append(
                f"{line.name}: no price of it is in the book. Write a quote, such as "
                "35 lb for 78.50."
            )
    return asks


def _told(report: dict) -> str:
    each = "piece" if report["unit"] == "piece" else "g"
    known = report["unit_cost"] is not None
    says = "" if known else "not known, at least "
    many = report["asked_for"]
    if report["pieces"] != many:
        many = f"{many} asked for, {report['pieces']} as it can be weighed,"
    lines = [
        f"{report['item']}, {many} made together: "
        f"{says}{report['at_least']} {report['currency']} per {each}"
    ]
    lines += [f"  {name:<12}{cost:>16}" for name, cost in report["parts"].items()]
    for row in report["lines"]:
        price = "no price" if row["price"] is None else f"{row['price']}/{row['per']}"
        cost = row["cost"] or "unknown"
        when = f", {row['price_date']}" if row["price_date"] else ""
        whence = f" ({row['price_from']}{when})" if row["price_from"] else ""
        amount = f"{row['amount']} {row['unit']}"
        lines.append(f"    {row['item']:<24}{amount:>22}{cost:>16}  {price}{whence}")
    lines += [f"  {said}" for said in report.get("asks", ())]
    lines += [f"  Left out: {said}" for said in report.get("left_out", ())]
    return "\n".join(lines)
