"""``declare``: the ingredient list of a file of parts, or of a lot."""

from pathlib import Path

from labels.domain.declare_file import read_parts, written
from labels.domain.ingredients import IngredientList, ingredient_list
from labels.domain.rules import RuleSet
from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set, rule_sets
from labels.reads.tables import name_book
from production.pages.commands import HouseCommand, as_json, read_json
from production.quantities.domain.refusal import Refused
from production.stock.reads.lookup import find_lot

EXAMPLE = """\
A file of parts is JSON; an allergen is the share of the product, not of the fragrance:

  echo '{"parts": [{"inci": "Aqua", "percent": 70},
    {"inci": "Potassium Olivate", "percent": "29.2"},
    {"inci": "Parfum", "percent": 0.8, "role": "fragrance"},
    {"inci": "Linalool", "percent": 0.096, "role": "allergen"}],
    "rinse_off": true}' | python manage.py declare - --rules eu

A lot, here of the demo: from what really went in, as added (eu) or as finished
(us, ca) unless said:

  python manage.py demo declare TIDE-8OZ-1 --rules us --json
"""


class Command(HouseCommand):
    help = "Print the ingredient list of a file of parts, or of a lot, with notes."
    # A file needs no database.
    requires_system_checks: list[str] = []

    example = EXAMPLE

    def add_arguments(self, parser):
        parser.add_argument(
            "source", metavar="FILE|LOT", help="- reads what is piped in"
        )
        parser.add_argument("--rules", required=True, choices=list(rule_sets()))
        parser.add_argument(
            "--basis",
            choices=["added", "finished"],
            help="of a lot: by weight when added, or in the finished soap",
        )
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, source, rules, basis, json: bool, **options):
        made = _declared(source, rule_set(rules), basis)
        return as_json(written(made)) if json else _as_text(made)


def _declared(source: str, rules: RuleSet, basis: str | None) -> IngredientList:
    if source != "-" and not Path(source).is_file():
        return _declared_lot(source, rules, basis)
    if basis:
        raise Refused("Leave --basis out: the shares in a file have their own basis.")
    parts, rinse_off = read_parts(read_json(source))
    return ingredient_list(parts, rules, name_book(), rinse_off)


def _declared_lot(source: str, rules: RuleSet, basis: str | None) -> IngredientList:
    try:
        lot = find_lot(source)
    except Refused as refusal:
        raise Refused(f"{source} is no file here. {refusal}") from refusal
    return declare_lot(lot, rules, basis, name_book())


def _as_text(made: IngredientList) -> str:
    lines = [f"Ingredients: {', '.join(made.ingredients)}"]
    if made.lacking:
        lines += ["", "A label with this list is a draft:"]
        lines += [f"- {why}" for why in made.lacking]
    if made.notes:
        lines += ["", "Notes:", *(f"- {note}" for note in made.notes)]
    return "\n".join(lines)
