"""Which lot's cost counts in a plan, and what is said when none does."""

from decimal import Decimal as D

import pytest

from costing.reads import plan_costs
from production.batches.actions.trials import promote_trial
from production.buying.actions.purchases import add_extra_cost
from production.lots.actions.lot_deeds import discard
from production.models import Item, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil():
    """An oil with a published saponification value of its own."""
    kind = ReferenceOil.objects.order_by("pk").filter(kind="fat")[0]
    return make.item("rapeseed oil", category="oil", oil=kind)


@pytest.fixture
def water():
    return make.item("tap water", category="water", on_tap=True, tap_price=D("0.0020"))


def lines(*parts):
    return [NewVersionLine(item, share=D(share)) for item, share in parts]


def version(*parts, stage="dilution", **terms):
    makes = make.item("diluted soap", kind="made")
    return make.version(stage, makes=makes, lines=lines(*parts), **terms)


def cook(oil, **terms):
    terms = {"superfat": D("0.02"), "water_per_alkali": D(2)} | terms
    return make.version(lines=lines((oil, "1")), **terms)


def planned(asked):
    [found] = plan_costs(asked)
    return found


def cost_of(found, item):
    [line] = [line for line in found.cost.lines if line.item.key == item.pk]
    return line.cost, line.price.source


def test_a_material_counts_at_its_latest_delivery_freight_and_all(water):
    salt = make.item("salt", category="salt")
    make.lot("S-1", item=salt, price="1.00")
    later = make.lot("S-2", item=salt, price="2.00", on=make.day(5))
    add_extra_cost(
        purchase=later.line.purchase,
        kind="freight",
        amount=D("0.50"),
        by_basis="weight",
        **make.act(6),
    )
    found = planned(version((salt, "0.2")))
    assert cost_of(found, salt) == (D("0.5000"), "S-2")
    assert cost_of(found, water) == (D("0.0016"), "")
    assert found.cost.total == D("0.5016")
    assert not found.missing


def test_a_delivery_written_up_late_keeps_its_day(water):
    salt = make.item("salt", category="salt")
    make.lot("S-2", item=salt, price="2.00", on=make.day(5))
    make.lot("S-1", item=salt, price="1.00", on=make.day(3))
    assert cost_of(planned(version((salt, "1"))), salt)[1] == "S-2"


def test_what_is_made_here_counts_at_the_lot_made_last_and_no_trial(water):
    soap = make.lot("OIL-1", price="5.00")
    paste = make.item("paste", kind="made")
    make.batch(uses=[(soap, "500")], makes="paste", amount="500", code="P-1")
    trial = make.batch(
        uses=[(soap, "100")], makes="paste", amount="10", code="P-2", trial=True
    )
    asked = version((paste, "0.5"))
    assert cost_of(planned(asked), paste) == (D("2.5000"), "P-1")
    make.seen(trial.batch)
    promote_trial(batch=trial.batch, **make.act(4, reason="clear"))
    assert cost_of(planned(asked), paste) == (D("25.0000"), "P-2")


def test_a_cook_takes_the_tub_at_hand_with_its_purity_and_its_price(oil, water):
    make.lot("OIL-1", item=oil, price="6.00")
    potash = make.koh(code="K-1", purity="0.9", price="25.00")
    make.koh(code="K-2", purity=None, price="99.00")
    found = planned(cook(oil))
    pure = D("0.98") * oil.oil.sv
    costs = pure / D("0.9") * D("0.005") + 6 + pure / D("0.9") * 2 * D("0.000002")
    assert abs(found.cost.per_oils - costs) <= D("0.0001")
    assert cost_of(found, potash.item)[1] == "K-1"


def test_a_tub_used_up_still_tells_its_purity_and_price(oil, water):
    make.lot("OIL-1", item=oil)
    tub = make.koh(code="K-1", grams="100")
    discard(lot=tub, amount=D(100), **make.act(4, reason="damp"))
    found = planned(cook(oil))
    assert cost_of(found, tub.item)[1] == "K-1"


def test_without_a_purity_the_alkali_is_named(oil, water):
    make.lot("OIL-1", item=oil)
    make.koh(code="K-1", purity=None)
    found = planned(cook(oil))
    assert found.cost is None
    assert "State the purity of the KOH" in found.missing[0].says


def test_a_price_that_has_not_come_names_its_lot_and_purchase(water):
    salt = make.item("salt", category="salt")
    make.lot("S-1", item=salt, price="1.00")
    lot = make.lot("S-2", item=salt, price=None, on=make.day(5))
    found = planned(version((salt, "0.2")))
    assert found.cost.total is None
    [gap] = found.missing
    assert "lot S-2" in gap.says
    assert gap.where == lot.line.purchase


def test_a_lot_made_of_something_unpriced_names_what_is_behind_it(water):
    oil = make.lot("OIL-1", price=None)
    paste = make.batch(uses=[(oil, "500")], makes="paste", amount="500")
    [gap] = planned(version((paste.item, "0.5"))).missing
    assert "lot OIL-1 of rapeseed oil" in gap.says
    assert gap.where == oil.line.purchase


def test_what_never_came_is_named_with_its_card(water):
    salt = make.item("salt", category="salt")
    [gap] = planned(version((salt, "1"))).missing
    assert gap.where == salt


def test_water_on_tap_without_a_price_is_unknown_and_not_free():
    tap = make.item("tap water", category="water", on_tap=True)
    salt = make.item("salt", category="salt")
    make.lot("S-1", item=salt)
    [gap] = planned(version((salt, "0.2"))).missing
    assert "names no price on tap" in gap.says
    assert gap.where == tap


def test_the_water_that_a_batch_would_take_counts(water):
    """What is on tap, as the page proposes it where the batch is written up; what the
    recipe names itself where it names one."""
    bought = make.item("distilled water", category="water")
    salt = make.item("salt", category="salt")
    make.lot("S-1", item=salt, price="1.00")
    make.lot("DW-1", item=bought, price="0.50")
    assert cost_of(planned(version((salt, "0.2"))), water)[1] == ""
    named = planned(version((salt, "0.2"), (bought, "0.8")))
    assert cost_of(named, bought) == (D("0.4000"), "DW-1")


def test_a_book_without_any_water_says_so():
    salt = make.item("salt", category="salt")
    make.lot("S-1", item=salt)
    assert not Item.objects.filter(category="water").exists()
    [gap] = planned(version((salt, "0.2"))).missing
    assert gap.where is None
