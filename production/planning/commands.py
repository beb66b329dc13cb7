"""``plan``: what goes into so much of a product, from the kettle to the bottles."""

from decimal import Decimal

from production.pages.commands import HouseCommand, as_json, read_day
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_amount
from production.recipes.domain.scaling.chain import Target
from production.recipes.domain.scaling.draw import Taken
from production.recipes.domain.scaling.goods import Short
from production.recipes.domain.scaling.settle import unknown_losses
from production.recipes.domain.scaling.work_out import Plan, PlannedStage, work_out
from production.recipes.reads.chain import chain_as_made, latest_wording
from production.recipes.reads.planning import alkalis_of, facts_of, with_tubs
from production.recipes.reads.tubs import tubs_to_weigh
from production.stock.reads.lookup import find_lot
from production.workshop.models.items import Item


class Command(HouseCommand):
    help = "Plan so much of a product back to what is weighed, lot by lot."
    example = """\
What 40 bottles of the demo take:

  python manage.py demo plan "Tideline 8 fl oz" 40 --tub KOH-2 --json

ITEM is what is made, by its name; AMOUNT is in pieces, or like 2 kg or 4 lb 6 oz.
Nothing is written. Amounts are in steps of the workshop's balance (of a lot that runs
out, and of what was just made, all there is), the alkali rounded down, and superfat is
that of the rounded grams. "in" names the lot that each amount
would come from; null is not in stock, or made by the stage before. "loss" is a share of
what goes in, "out" what should be left of it; "short" is what has to be bought first.
Where tubs of alkali differ, name the one that is weighed from with --tub CODE.
"""

    def add_arguments(self, parser):
        parser.add_argument("item", metavar="ITEM")
        parser.add_argument("amount", metavar="AMOUNT")
        parser.add_argument("--on", metavar="DATE", help="like 2026-01-31; else today")
        parser.add_argument(
            "--tub", metavar="CODE", action="append", default=[], help="of the alkali"
        )
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, item, amount, on, tub, json, **options):
        made = _item(item)
        version = latest_wording(made)
        wanted = read_amount(
            amount, unit=made.unit, density=made.density
        ).grams_or_pieces
        chain = chain_as_made(version)
        if unknown := unknown_losses(chain):
            names = ", ".join(stage.name for stage in unknown)
            raise Refused(
                f"The loss of {names} is not known: no batch is in the book. Write the "
                "expected loss into the recipe, in a new version."
            )
        lots = [find_lot(code) for code in tub]
        typed = {lot.item.alkali: lot for lot in lots}
        tubs = tubs_to_weigh(alkalis_of(chain), typed, by_itself=True)
        chain = with_tubs(chain, tubs.values())
        facts = facts_of(chain, read_day(on))
        plan = work_out(chain, {version.pk: Target(wanted)}, facts)
        return as_json(_written(plan)) if json else _told(plan)


def _item(name: str) -> Item:
    found = Item.objects.filter(name__iexact=name.strip()).first()
    if found is None:
        raise Refused(f"There is no item {name}. Write its name as on its card.")
    return found


def _written(plan: Plan) -> dict:
    return {
        "stages": [_stage(row) for row in plan.stages],
        "short": [_short(row) for row in plan.buy],
        "first_sale": str(plan.first_sale),
    }


def _stage(row: PlannedStage) -> dict:
    superfat = row.cooked and {
        "central": _share(row.cooked.superfat.central),
        "likely": [_share(end) for end in row.cooked.superfat.likely],
        "ends": [_share(end) for end in row.cooked.superfat.ends],
    }
    return {
        "stage": row.plan.stage.stage,
        "recipe": row.plan.stage.name,
        "in": [part for taken in row.taken for part in _parts(taken)],
        "out": None if row.comes_out is None else plain(row.comes_out),
        "loss": None if row.loss is None else plain(row.loss),
        "soap_content": None if row.content is None else _share(row.content),
        "superfat": superfat,
    }


def _parts(taken: Taken) -> list[dict]:
    name = taken.need.item.name
    found: list[tuple[str | None, Decimal]] = [
        (share.code, share.amount) for share in taken.shares
    ]
    if rest := taken.made_above + taken.short:
        found.append((None, rest))
    return [
        {"item": name, "lot": lot, "amount": plain(amount)} for lot, amount in found
    ]


def _short(row: Short) -> dict:
    return {"item": row.item.name, "amount": plain(row.short or row.needed)}


def _share(value) -> str:
    return plain(round(value, 6))


def _told(plan: Plan) -> str:
    lines = []
    for row in plan.stages:
        stage, unit = row.plan.stage, "pieces" if row.plan.stage.makes.counted else "g"
        lines.append(f"{stage.stage.capitalize()}: {stage.name}")
        for part in (part for taken in row.taken for part in _parts(taken)):
            source = part["lot"] or "-"
            lines.append(f"  {part['amount']:>14}  {part['item']}  {source}")
        if row.comes_out is not None:
            share, known = row.loss or Decimal(0), stage.loss
            loss = f"{plain(share * 100)} %" + (f", {known.source}" if known else "")
            lines.append(f"  {plain(row.comes_out)} {unit} come out (loss {loss})")
        if row.cooked:
            likely = row.cooked.superfat.likely
            low, high = (plain(round(end * 100, 1)) for end in likely)
            lines.append(f"  superfat likely {low} to {high} %; the test decides")
        lines += [f"  {said}" for said in row.remarks]
    for short in map(_short, plan.buy):
        lines.append(f"To buy first: {short['amount']} {short['item']}")
    return "\n".join([*lines, f"Can be sold from {plan.first_sale}"])
