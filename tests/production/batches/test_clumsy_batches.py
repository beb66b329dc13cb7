"""Part of a plan, a lost batch, and what is in a batch that is still open.

Told through deeds and pages alone; how the book keeps it is nobody's business here.
``tests/production/clumsy_machine`` steps such stories at random.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.core.management import call_command
from django.urls import reverse

from costing.reads import whole_book
from production.models import Lot
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.release.actions.statuses import hold_lot
from production.selling.actions.customers import ensure_customer
from tests import make
from tests.production.clumsy import bottle, make_of, material, open_pot, unit_cost
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


def filling_recipe(loss="0.04", each="240"):
    """240 g and a bottle for each piece, 4 % of the soap lost: 250 g go in for each."""
    base = make.item("base", kind="made")
    return write_version(
        name="hand wash, filled",
        stage="filling",
        makes=make.item("hand wash", kind="made", unit="piece"),
        lines=[
            NewVersionLine(base, each=Decimal(each)),
            NewVersionLine(bottle(), each=Decimal(1)),
        ],
        loss=Decimal(loss),
        band=Decimal("0.05"),
        **make.act(1),
    )


def base_of(grams="12000", code="BASE"):
    """A base that was blended here, worth a cent a gram."""
    oil = make.lot(grams=grams, item=material(), price=str(Decimal(grams) / 100))
    return make.batch(
        "preparation", uses=[(oil, grams)], makes="base", amount=grams, code=code
    )


def fill_part(desk, version, *, planned, grams, pieces, **written):
    """Plan so many bottles, then write what really went in and came out."""
    url = reverse("batch-run", args=["filling"])
    url += f"?version={version.pk}&amount={planned}"
    sent = typed(desk.get(url))
    for number, (code, amount) in enumerate((("BASE", grams), ("BOT", pieces))):
        sent[f"uses-{number}-lot"], sent[f"uses-{number}-amount"] = code, str(amount)
    sent |= {
        "amount": str(pieces),
        "net_mass": "240 g",
        "lot_code": "FILLED",
        "on": "2026-03-04",
        **written,
    }
    answer = desk.post(url, sent)
    assert answer.status_code == 302, answer.context["form"].errors
    return Lot.objects.get(code="FILLED")


def part_of_a_plan(desk, **more):
    base_of()
    make.lot("BOT", grams="100", price="100.00", item=bottle())
    version = filling_recipe()
    return fill_part(desk, version, planned=40, grams=6250, pieces=25, **more)


def abnormal(lot):
    return sum(whole_book().valuation.lots[lot.code].abnormal.values())


def test_25_of_40_with_what_25_take_is_no_loss(desk):
    """She planned 40, had soap for 25, and made 25: nothing was lost."""
    lot = part_of_a_plan(desk)
    assert abnormal(lot) == 0
    assert unit_cost(lot) == Fraction(5, 2) + 1


def test_a_yield_that_was_typed_is_what_is_expected(desk):
    """She wrote that 50 should come out; that stands, whatever went in."""
    lot = part_of_a_plan(desk, expected="50")
    assert abnormal(lot) == int(Decimal("87.5") / 2 * 10**9)


def test_soap_for_25_that_filled_20_is_a_loss_of_five(desk):
    base_of()
    make.lot("BOT", grams="100", price="100.00", item=bottle())
    version = filling_recipe()
    why = {"reason": "the table was knocked", "lost_as": "spill"}
    lot = fill_part(desk, version, planned=25, grams=6250, pieces=20, **why)
    assert abnormal(lot) > 0


def test_a_mistyped_code_in_a_planned_row_is_said_and_nothing_is_lost(desk):
    """She reads BSAE off her own scribble: the page asks, and keeps the rest."""
    version = filling_recipe()
    base_of()
    make.lot(code="BOT", grams="100", item=bottle())
    url = reverse("batch-run", args=["filling"])
    sent = typed(desk.get(f"{url}?version={version.pk}&amount=40"))
    sent |= {"uses-0-lot": "BSAE", "uses-0-amount": "9876"}
    page = desk.post(url, sent).content.decode()
    assert "There is no lot BSAE" in page
    assert 'value="9876"' in page
    assert not Lot.objects.filter(item__name="hand wash").exists()


def test_a_batch_that_is_wholly_lost_closes_at_zero(desk):
    """The pot fell off the stove: the batch is over, its money is lost, no lot is."""
    lot = make.lot(item=material())
    open_pot(lot, "1000")
    url = reverse("batch-lose", args=["POT"])
    sent = typed(desk.get(url)) | {
        "kind": "spill",
        "reason": "the pot fell off the stove",
        "on": "2026-03-04",
    }
    assert desk.post(url, sent).status_code == 302
    book = whole_book().valuation
    assert book.totals.work_in_progress == 0
    assert book.totals.losses == 10 * 10**9
    assert not Lot.objects.in_stock().filter(batch__code="POT").exists()


def test_where_a_lot_went_names_the_batch_that_is_still_open(desk):
    """Her supplier calls a drum back: some of it stands in the kettle right now."""
    oil = make.lot("OIL", item=material())
    blend = make.batch("preparation", uses=[(oil, "600")], makes="blend", amount="600")
    open_pot(blend, "200")
    for code in ("OIL", blend.code):
        page = desk.get(reverse("trace"), {"lot": code}).content.decode()
        assert "POT" in page, code


def test_the_trace_command_names_the_batch_that_is_still_open(capsys):
    oil = make.lot("OIL", item=material())
    open_pot(oil, "200")
    call_command("trace", "OIL")
    assert "POT" in capsys.readouterr().out


def test_a_lot_is_not_released_by_its_making_when_its_input_was_held_meanwhile():
    oil = make.lot("OIL", item=material())
    blend = make.batch("preparation", uses=[(oil, "600")], makes="blend", amount="600")
    pot = open_pot(blend, "200")
    hold_lot(lot=oil, reason="rancid", **owner())
    made = make_of(pot, "200")
    assert Lot.objects.with_status().get(pk=made.pk).status != "released"


def owner(number=3):
    return {"on": make.day(number), "by": make.owner()}


def test_what_is_made_of_a_lot_that_was_held_meanwhile_is_not_sold():
    oil = make.lot("OIL", item=material())
    pot = open_pot(oil, "200")
    hold_lot(lot=oil, reason="rancid", **owner())
    made = make_of(pot, "200")
    ensure_customer("The Tin Lantern")
    with make.refused(made.code):
        make.sale(made, on=make.day(6))
