"""Batches written up as the days go by, and whole in one page."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.models import Batch, Lot, Measurement, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.release.actions.readings import note_measurement
from tests import make
from tests.production.writing import DROP_TEST, fill, holds, typed

DAY = "2026-03-02"


@pytest.fixture
def started(owner):
    return start_batch(stage="dilution", code="B1", on=make.DAY, by=make.owner())


def page(name):
    return reverse(name, args=["B1"])


def test_start_a_batch(desk, started):
    good = {"stage": "filling", "code": "B2", "expected": "40", "on": DAY}
    holds(desk, reverse("batch-start"), good, {"code": "B1"}, "a batch B1 already")
    assert Batch.objects.get(code="B2").expected == 40


def test_use_lots(desk, started):
    lot = make.lot("L1", grams="500")
    good = {"uses-0-lot": "L1", "uses-0-amount": "300 g", "on": DAY}
    holds(desk, page("batch-use"), good, {"uses-0-amount": "600 g"}, "Only 500 g of L1")
    assert Lot.objects.with_on_hand().get(pk=lot.pk).on_hand == 200


def test_more_than_the_book_said_is_counted_in_with_the_use(desk, started):
    lot = make.lot("L1", grams="500")
    fill(
        desk,
        page("batch-use"),
        uses__0__lot="L1",
        uses__0__amount="510 g",
        uses__0__surplus="10 g",
        on=DAY,
    )
    assert Lot.objects.with_on_hand().get(pk=lot.pk).on_hand == 0


def test_water_on_tap_is_used_by_its_name(desk, started):
    make.item("tap water", category="water", on_tap=True)
    fill(
        desk,
        page("batch-use"),
        uses__0__lot="tap water",
        uses__0__amount="2 kg",
        on=DAY,
    )
    assert started.movements.get(kind="used").amount == -2000


def test_note_a_check(desk, started):
    says = "Say whether the check was passed"
    url = f"{page('batch-measure')}?on={DAY}"
    good = {name: DROP_TEST[name] for name in DROP_TEST if name != "sampled"}
    holds(desk, url, good, {"passed": ""}, says)
    assert Measurement.objects.get().passed


def test_a_share_is_noted_in_percent(desk, started):
    fill(desk, page("batch-measure"), what="soap content", value="64.3", on=DAY)
    assert Measurement.objects.get().value == Decimal("0.643")


def test_note_a_step(desk, started):
    holds(desk, page("batch-step"), {"text": "melted"}, {"text": ""}, "required")
    assert started.steps.get().text == "melted"


def test_note_work(desk, started):
    good = {"work-0-hours": "2.5", "work-0-rate": "18.50"}
    holds(desk, page("batch-work"), good, {"work-0-hours": "0"}, "Hours are above zero")
    assert started.work.get().rate == Decimal("18.50")


def test_name_a_loss(desk, started):
    good = {"losses-0-kind": "spill", "losses-0-amount": "3 oz"}
    holds(
        desk, page("batch-loss"), good, {"losses-0-amount": "-1"}, "without the minus"
    )
    assert started.losses.get().amount == Decimal("85.049")


def test_make_the_lot(desk, started):
    use_lots(
        batch=started,
        uses=[Use(lot=make.lot(grams="2000"), amount=Decimal(1500))],
        on=make.DAY,
        by=make.owner(),
    )
    soap = make.item("soap", kind="made")
    good = {"item": str(soap.pk), "amount": "1.5 kg", "lot_code": "S1", "on": DAY}
    holds(desk, page("batch-make"), good, {"item": ""}, "Say what came out")
    assert Lot.objects.get(code="S1").batch == started


def test_promote_a_trial(desk):
    trial = make.cook(batch_code="B1", trial=True).batch
    refused = desk.post(
        page("batch-promote"), typed(desk.get(page("batch-promote"))) | {"reason": "x"}
    )
    assert "Look at it after a day or later" in refused.content.decode()
    make.seen(trial)
    checked = {"lot": trial.lot, "readings": [make.check()]}
    note_measurement(**checked, on=make.DAY, by=make.owner())
    holds(desk, page("batch-promote"), {"reason": "clear"}, {"reason": ""}, "required")
    assert trial.promotions.get().deed.reason == "clear"


def test_a_maker_is_refused_what_an_owner_decides(client, owner):
    start_batch(stage="cook", code="B1", trial=True, on=make.DAY, by=make.owner())
    client.force_login(make.maker())
    sent = typed(client.get(page("batch-promote"))) | {"reason": "clear"}
    answer = client.post(page("batch-promote"), sent)
    assert "Only an owner may accept a trial" in answer.content.decode()


RUNS = {
    "cook": ("paste", "g"),
    "preparation": ("brine", "g"),
    "dilution": ("diluted soap", "g"),
    "finishing": ("finished soap", "g"),
    "filling": ("hand wash", "piece"),
    "packing": ("gift set", "piece"),
    "rework": ("reworked soap", "g"),
}


@pytest.mark.parametrize("stage", RUNS)
def test_a_whole_batch_in_one_page(desk, stage):
    make.lot("L1", grams="500")
    name, unit = RUNS[stage]
    made = make.item(name, kind="made", unit=unit)
    good = {
        "uses-0-lot": "L1",
        "uses-0-amount": "400",
        "item": str(made.pk),
        "amount": "40",
        "lot_code": "NEW",
        "on": DAY,
    }
    url = reverse("batch-run", args=[stage])
    holds(desk, url, good, {"uses-0-lot": "L9"}, "There is no lot L9")
    assert Lot.objects.get(code="NEW").batch.stage == stage


def tideline(superfat="0.02"):
    """A recipe, and lots for it: two of olive, the older without an expiry."""
    published = ReferenceOil.objects.filter(name__icontains="olive").first()
    olive = make.item("olive oil", category="oil", oil=published)
    make.lot("LATE", grams="4000", item=olive)
    make.lot("SOON", grams="4000", item=olive, expires=make.day(30).replace(year=2040))
    make.item("tap water", category="water", on_tap=True)
    make.koh(code="K1")
    return write_version(
        name="Tideline",
        stage="cook",
        makes=make.item("paste", kind="made"),
        lines=[NewVersionLine(olive, Decimal(1))],
        superfat=Decimal(superfat),
        water_per_alkali=Decimal("2.2"),
        on=make.DAY,
        by=make.owner(),
    )


def planned(desk, **asked):
    return desk.get(reverse("batch-run", args=["cook"]), asked)


def test_lots_are_proposed_by_expiry_and_the_alkali_is_typed(desk):
    answer = planned(desk, version=tideline().pk, oils="6 kg")
    rows = [(row["lot"], row["amount"]) for row in answer.context["plan"].rows]
    assert rows == [("SOON", "4000 g"), ("LATE", "2000 g")]
    assert "Type the code of the KOH lot" in answer.content.decode()


def test_the_purity_of_the_alkali_lot_decides_how_much_is_weighed(desk):
    version = tideline()
    make.koh(code="WEAK", purity="0.85")
    weighed = {}
    for code in ("K1", "WEAK"):
        plan = planned(desk, version=version.pk, oils="6 kg", alkali_lot=code)
        rows = {row["lot"]: row for row in plan.context["plan"].rows}
        weighed[code] = rows[code]["exact"]
        # What the balance says is typed: a plan never passes as a weighing.
        assert rows[code]["amount"] == ""
    assert weighed["WEAK"] * 85 == pytest.approx(weighed["K1"] * 90)


def test_an_alkali_of_unknown_purity_is_not_planned_with(desk):
    version = tideline()
    make.koh(code="DARK", purity=None)
    page = planned(desk, version=version.pk, oils="6 kg", alkali_lot="DARK")
    assert "purity of DARK is not in the book" in page.content.decode()
    assert page.context["plan"].rows == []


def test_a_wrong_tub_is_noticed(desk):
    version = tideline()
    url = f"{reverse('batch-run', args=['cook'])}?version={version.pk}&oils=6+kg"
    url += "&alkali_lot=K1"
    make.lot("SALT", grams="9000", item=make.item("salt"))
    sent = typed(desk.get(url)) | {"uses-3-lot": "SALT", "amount": "9 kg", "on": DAY}
    page = desk.post(url, sent).content.decode()
    assert "SALT is salt; this row is for potassium hydroxide" in page
    assert not Batch.objects.exists()


def test_the_water_of_a_dilution_is_worked_out(desk):
    paste = make.batch("cook", uses=[(make.lot(), "500")], makes="paste", code="P1")
    make.item("tap water", category="water", on_tap=True)
    asked = {"version": "", "paste": "P1", "amount": "500 g", "target": "20"}
    url = reverse("batch-run", args=["dilution"])
    assert (
        "soap content of P1 is not in the book" in desk.get(url, asked).content.decode()
    )
    asked["soap_content"] = "64"
    rows = desk.get(url, asked).context["plan"].rows
    assert [(row["lot"], row["amount"]) for row in rows] == [
        (paste.code, "500 g"),
        ("tap water", "1100 g"),
    ]
