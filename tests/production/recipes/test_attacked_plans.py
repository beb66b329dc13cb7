"""What a maker in a hurry does to a plan: a wrong pot, an empty tub, a full kettle."""

import re
from datetime import date
from decimal import Decimal as D
from html import unescape

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch
from production.exchange.actions.replaying import import_history
from production.lots.actions.lot_deeds import discard
from production.models import Batch, CodeSeries
from production.quantities.domain.refusal import Refused
from production.recipes.domain.cooking import cook
from production.recipes.domain.pot import Fat, Line, Lye, Terms
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.production import tideline


@pytest.fixture
def shop(db):
    return tideline.workshop(bottles="200")


def plan(desk, shop, **more):
    query = {"version1": shop.filling.pk, "amount1": "40", "on": "2026-03-16"}
    return desk.get(reverse("plan"), query | more)


def stages(answer):
    return {row.plan.stage.stage: row for row in answer.context["planned"].stages}


def says(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def pot(code, item="Tideline paste", grams="5000"):
    readings = (Reading("soap content", D("0.60"), "measured"), make.check())
    return make.lot(code, grams=grams, item=make.item(item), readings=readings)


def test_a_paste_that_is_named_is_the_one_that_is_diluted(desk, shop):
    """Without the tick as well: who names a pot means to use it, and not another."""
    pot("OTHER")
    pot("MINE")
    row = stages(plan(desk, shop, paste="MINE"))
    assert "cook" not in row
    assert [one.code for one in row["dilution"].taken[0].shares] == ["MINE"]


def test_a_pot_that_is_used_up_or_of_another_soap_is_refused(desk, shop):
    pot("FOAM", item="Slipway paste")
    assert "none of these recipes dilutes it" in says(plan(desk, shop, paste="FOAM"))
    lot = pot("EMPTY")
    discard(lot=lot, amount=D(5000), **make.act(3, reason="spilt"))
    assert "does not stand ready" in says(plan(desk, shop, paste="EMPTY"))


@pytest.mark.parametrize("page", ["batch-run", "day"])
def test_a_recipe_does_not_dilute_another_paste(desk, shop, page):
    """Else the right paste would be added to the wrong one."""
    pot("FOAM", item="Slipway paste")
    pot("MINE")
    query = {"paste": "FOAM", "amount": "100"}
    query |= {"version": shop.dilution.pk, "dilution": shop.dilution.pk}
    url = reverse(page, args=["dilution"] if page == "batch-run" else [])
    answer = desk.get(url, query | {"finishing": ""})
    assert "does not take Slipway paste" in says(answer)
    assert "MINE" not in str(answer.context["plan"].__dict__)


def test_pots_that_differ_are_diluted_each_by_itself(desk, shop):
    pot("MINE", grams="1000")
    answer = plan(desk, shop, paste="MINE")
    assert "dilute each by itself" in says(answer)
    [link] = [
        link
        for row, link in answer.context["stages"]
        if row.plan.stage.stage == "dilution"
    ]
    assert "amount=1000&paste=MINE" in link or "paste=MINE&amount=1000" in link


def test_what_the_tub_lacks_has_to_be_bought(desk, shop):
    """What another tub holds is of another strength and does not count."""
    tideline.potash("KOH-9", purity="0.8")
    answer = plan(desk, shop, alkali_lot="KOH-1", amount1="190000")
    [short] = [r for r in answer.context["planned"].buy if r.item.alkali == "KOH"]
    row = next(t for t in stages(answer)["cook"].taken if t.need.item.alkali == "KOH")
    assert short.short == row.short > 0
    run = desk.get(
        reverse("batch-run", args=["cook"]),
        {"version": shop.cook.pk, "oils": "9000 kg", "alkali_lot": "KOH-1"},
    )
    assert re.search(r"KOH-1: [\d.]+ of [\d.]+ g stand ready in it", says(run))


def test_the_kettle_is_too_small_where_the_batch_is_written_up_too(desk, shop):
    query = {"oils": "20000", "alkali_lot": "KOH-1", "vessel": shop.kettle.pk}
    run = desk.get(
        reverse("batch-run", args=["cook"]), query | {"version": shop.cook.pk}
    )
    assert "it could boil over" in says(run)


@pytest.mark.parametrize("each", ["", "245 g", "0", "abc"])
def test_a_filling_begins_with_its_bottle(desk, shop, each):
    """The soap comes later, or with its unit: the preview says what it can."""
    bottle = make.item("Bottle", kind="packaging", unit="piece")
    sent = {
        "lines-TOTAL_FORMS": "2",
        "lines-INITIAL_FORMS": "0",
        "lines-0-item": bottle.pk,
        "lines-0-each": "1",
        "lines-1-item": make.item("Tideline, finished").pk,
        "lines-1-each": each,
    }
    answer = desk.post(reverse("recipe-preview", args=["filling"]), sent)
    assert answer.status_code == 200


def test_an_acid_after_the_cook_of_an_unknown_purity_is_said():
    """The superfat is that of the cook; how much soap is left then nobody knows."""
    oil = Line("rapeseed oil", D(1), fat=Fat(D(188), D(182), D(193)))
    late = Line("citric acid", D("0.01"), "late", acid="citric")
    terms, lye = Terms(D("0.03"), water_per_alkali=D(2)), {"KOH": Lye(D("0.9"))}
    plain = cook([oil], terms, lye, D(1000))
    soured = cook([oil, late], terms, lye, D(1000))
    assert soured.superfat.central == plain.superfat.central
    assert soured.soap_content is None
    assert "nobody knows how much soap is left" in soured.remarks[-1]


def test_less_than_one_step_of_the_balance_is_said():
    oil = Line("rapeseed oil", D(1), fat=Fat(D(188), D(182), D(193)))
    terms, lye = Terms(D("0.03"), water_per_alkali=D(2)), {"KOH": Lye(D("0.9"))}
    with pytest.raises(Refused, match="less than one step"):
        cook([oil], terms, lye, D("0.4"), step=D(1))


def test_a_mark_that_an_earlier_book_used_is_passed_over(db):
    """The series begins anew in a book that moved in; its marks are taken."""
    taken = start_batch(stage="dilution", **make.act(2)).code
    CodeSeries.objects.all().delete()
    again = start_batch(stage="dilution", **make.act(2))
    assert again.code != taken


def history(*events):
    body = ", ".join(events)
    head = '{"format": "kettlebook-history", "version": 1, "currency": "USD", '
    return f'{head}"events": [{body}]}}'


@pytest.mark.parametrize(
    ("event", "sentence"),
    [
        (
            '{"type": "measurement", "date": "2026-01-07", "what": "pH", '
            '"value": "9.5"}',
            "say which lot or which batch",
        ),
        (
            '{"type": "batch", "date": "2026-01-07", "code": "B1", "stage": "cook", '
            '"uses": [], "makes": null, "losses": [{"kind": "spill", "amount": "5"}]}',
            "names its losses in events of their own",
        ),
    ],
)
def test_a_file_says_all_or_is_refused_by_its_line(db, event, sentence):
    with pytest.raises(Refused, match=rf"Line 1.*{sentence}"):
        import_history(text=history(event))
    assert not Batch.objects.exists()


@pytest.mark.parametrize("loss", ["-0.1", "1", "3"])
def test_a_loss_is_a_share_below_the_whole(db, loss):
    with pytest.raises(Refused, match="below 100 %"):
        start_batch(
            stage="dilution",
            version=make.version("dilution"),
            loss=D(loss),
            on=date(2026, 1, 5),
            by=make.owner(),
        )
