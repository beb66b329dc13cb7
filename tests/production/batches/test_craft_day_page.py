"""The page of a craft day, and of one soap in several scents."""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.batches.actions.working import note_work
from production.batches.forms.day_plan import filling_rows
from production.models import Batch, Deed, Item, Lot, Movement, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.make import act, on_hand
from tests.production import craft_morning as bench
from tests.production.writing import fill, holds, typed

DAY = "2026-03-03"
CHOSEN = "?paste=PASTE-1&amount=3+kg"
READ_OFF = {
    "finished_amount": "9560 g",
    "check": "passed",
    "check_method": "drop test",
    "check_spots": ["top", "wall"],
    "fillings-0-pieces": "38",
    "on": DAY,
}


def url(asked=CHOSEN):
    return reverse("day") + asked


def test_the_first_touch_is_the_paste(desk):
    bench.set_out()
    page = desk.get(url("")).content.decode()
    assert 'href="?paste=PASTE-1"' in page
    assert "<button>Write the day</button>" not in page


def test_a_paste_brings_its_recipes_and_the_open_packs(desk):
    bench.set_out()
    answer = desk.get(url())
    form = answer.context["form"]
    shown = {name: field for name, field in form.initial.items() if name != "key"}
    # 3,000 g x 64 % / 21.6 % = 8,888.9 g, of which 5,888.9 g is water.
    assert shown["water"] == "tap water"
    assert shown["water_amount"] == "5888.889 g"
    rows = [
        (row["lot"].value(), row["amount"].value()) for row in form.rows["additions"]
    ]
    # Of 8,888.9 / 0.93 = 9,558 g of finished soap.
    assert rows == [
        ("GLY-1", "286.738 g"),
        ("FRA-1", "95.579 g"),
        ("BRINE-1", "286.738 g"),
    ]
    [row] = form.rows["fillings"]
    assert row["net_mass"].value() == "245 g"
    assert (row["container"].value(), row["label"].value()) == ("BOT-1", "LAB-1")


def test_what_packaging_serves_as_is_asked_and_never_read_off_its_name(desk):
    bench.set_out()
    Item.objects.filter(name="label").update(serves_as="")
    Item.objects.filter(name="bottle").update(serves_as="box")
    answer = desk.get(url())
    page = unescape(answer.content.decode())
    assert "Say on the card of label what it serves as" in page
    [row] = answer.context["form"].rows["fillings"]
    assert (row["label"].value(), row["container"].value()) == (None, None)
    # What is proposed in the folded part is not hidden.
    assert (row["box"].value(), row.folded_open()) == ("BOT-1", True)


def test_a_second_pack_of_the_same_part_is_named(desk):
    bench.set_out()
    Item.objects.filter(name="label").update(serves_as="container")
    page = unescape(desk.get(url()).content.decode())
    assert "takes label, too: here is one box for each container" in page


@pytest.mark.django_db
@pytest.mark.parametrize("sizes", [1, 6])
def test_the_packs_of_every_size_are_found_in_as_many_questions(
    sizes, django_assert_num_queries
):
    bench.set_out()
    soap = Item.objects.get(name="finished")
    for number in range(1, sizes):
        bottle = make.item(
            f"bottle {number}", kind="packaging", unit="piece", serves_as="container"
        )
        make.lot(f"BOT-{number}0", grams="50", item=bottle)
        write_version(
            name=f"size {number}",
            stage="filling",
            makes=make.item(f"wash {number}", kind="made", unit="piece"),
            lines=[
                NewVersionLine(soap, each=Decimal(200)),
                NewVersionLine(bottle, each=Decimal(1)),
            ],
            **act(1),
        )
    remarks = []
    # Recipes, their lines, the items; candidates, open packs and their lots.
    with django_assert_num_queries(6):
        rows = filling_rows(soap, make.day(3), remarks)
    assert sorted(row["container"] for row in rows)[0] == "BOT-1"
    assert (len(rows), remarks) == (sizes, [])


def test_the_soap_content_is_worked_out_of_the_pot_where_it_can_be(desk):
    olive = ReferenceOil.objects.get(key="olive-oil")
    oil = make.lot(grams="5000", item=make.item("olive", category="oil", oil=olive))
    water = make.lot("DW", grams="9000", item=make.item("water", category="water"))
    uses = [(oil, "1000"), (make.koh(), "210"), (water, "420")]
    make.batch("cook", uses=uses, makes="paste", amount="1600", code="P1")
    page = desk.get(url("?paste=P1")).content.decode()
    assert "Soap in P1, worked out from its pot" in page
    said = Reading("soap content", Decimal("0.5"))
    note_measurement(lot=bench.lot("P1"), readings=[said], **act(2))
    page = desk.get(url("?paste=P1")).content.decode()
    assert "Soap in P1, measured on" in page
    bench.set_out()
    page = desk.get(url()).content.decode()
    assert "Soap in PASTE-1, measured on 2026-03-02" in page


def test_a_day_keeps_what_every_page_promises(desk):
    bench.set_out()
    bad = {"paste_amount": "9 kg"}
    holds(desk, url(), READ_OFF, bad, "Only 8000 g of PASTE-1")
    deed = Deed.objects.get(verb="a craft day")
    assert str(deed.on) == DAY
    stages = Batch.objects.filter(deed=deed).order_by("pk")
    assert [batch.stage for batch in stages] == ["dilution", "finishing", "filling"]


def test_in_one_pot_the_diluted_soap_weighs_what_went_in_less_the_steam(desk):
    bench.set_out()
    fill(desk, url(), **written(lost="88.9 g"))
    diluted = Batch.objects.get(stage="dilution")
    assert diluted.movements.get(kind="made").amount == Decimal("8799.989")
    assert (diluted.losses.get().kind, diluted.losses.get().amount) == (
        "steam",
        Decimal("88.9"),
    )


def written(**more):
    """As ``fill`` names them."""
    good = {name.replace("-", "__"): value for name, value in READ_OFF.items()}
    good["finished_amount"] = "9470 g" if "lost" in more else "9560 g"
    return good | more


def test_a_fault_in_a_row_is_told_at_the_top(desk):
    bench.set_out()
    sent = typed(desk.get(url())) | READ_OFF | {"fillings-0-net_mass": ""}
    page = desk.post(url(), sent).content.decode()
    assert "Nothing is written yet" in page
    assert "This field is required" in page
    assert not Batch.objects.filter(stage="dilution").exists()


def test_minutes_work_and_steps_stand_with_their_batches(desk):
    bench.set_out()
    steps = "08:40 paste in\n10:15 clear"
    more = {"minutes": "95", "rate": "18", "dilution_steps": steps, "sample": "20"}
    fill(desk, url(), **written(**more))
    work = Batch.objects.get(stage="finishing").work.get()
    assert (work.hours, work.rate) == (Decimal("1.5833"), 18)
    lines = Batch.objects.get(stage="dilution").steps.all()
    assert [step.text for step in lines] == ["08:40 paste in", "10:15 clear"]
    assert Batch.objects.get(stage="finishing").losses.get().kind == "bench sample"


def test_minutes_ask_for_their_rate(desk):
    bench.set_out()
    sent = typed(desk.get(url())) | READ_OFF | {"minutes": "30"}
    assert "Write what an hour costs" in desk.post(url(), sent).content.decode()


def test_the_rate_is_proposed_as_it_was_the_last_time(desk):
    bench.set_out()
    batch = start_batch(stage="cook", **act(2))
    hour = NewWork("labour", Decimal(1), Decimal("18.50"))
    note_work(batch=batch, work=[hour], **act(2))
    assert desk.get(url()).context["form"]["rate"].value() == "18.5"


def test_a_pack_that_runs_out_goes_on_in_the_next_and_says_so(desk):
    bench.set_out()
    make.lot("LAB-2", grams="50", item=bench.lot("LAB-1").item, on=make.day(3))
    given = Use(lot=bench.lot("LAB-1"), amount=Decimal(80))
    batch = start_batch(stage="packing", **act(2))
    use_lots(batch=batch, uses=[given], **act(2))
    answer = fill(desk, url(), **written())
    page = desk.get(answer.url).content.decode()
    assert "LAB-1 (label) ran out: 18 from LAB-2." in unescape(page)
    assert on_hand(bench.lot("LAB-1")) == 0
    assert on_hand(bench.lot("LAB-2")) == 32


def test_two_sizes_share_one_pack_of_labels(desk):
    bench.set_out()
    sent = typed(desk.get(url())) | {"add-fillings": "4"}
    sent = typed(desk.post(url(), sent)) | READ_OFF
    again = {"what": sent["fillings-0-what"], "pieces": "20", "net_mass": "100 g"}
    again["label"] = "LAB-1"
    sent["fillings-0-pieces"] = "30"
    sent |= {f"fillings-1-{name}": value for name, value in again.items()}
    assert desk.post(url(), sent).status_code == 302
    assert on_hand(bench.lot("LAB-1")) == 50
    assert Batch.objects.filter(stage="filling").count() == 2


def test_another_lot_is_taken_where_one_is_chosen(desk):
    bench.set_out()
    other = make.lot("GLY-2", item=bench.lot("GLY-1").item, on=make.day(3))
    fill(desk, url(), **written(additions__0__lot="GLY-2"))
    assert on_hand(other) == Decimal("713.262")
    assert on_hand(bench.lot("GLY-1")) == 3000


def test_another_lot_does_not_go_on_in_a_third(desk):
    bench.set_out()
    make.lot("GLY-2", grams="10", item=bench.lot("GLY-1").item, on=make.day(3))
    sent = typed(desk.get(url())) | READ_OFF | {"additions-0-lot": "GLY-2"}
    assert "Only 10 g of GLY-2" in desk.post(url(), sent).content.decode()


def test_a_wrong_tub_is_noticed_and_an_alkali_is_looked_at_twice(desk):
    bench.set_out()
    make.koh(code="K1")
    sent = typed(desk.get(url())) | READ_OFF
    page = desk.post(url(), sent | {"additions-0-lot": "K1"}).content.decode()
    assert "this row is for glycerin" in page
    assert "I have read: potassium hydroxide, 90 %, lot K1" in page
    assert page.index("Never water onto alkali") < page.index('name="additions-0-lot"')
    for field, says in (("water", "not water"), ("paste", "no paste")):
        page = desk.post(url(), sent | {field: "K1"}).content.decode()
        assert f"K1 is potassium hydroxide, {says}" in page
    page = desk.post(url(), sent | {"fillings-0-closure": "K1"}).content.decode()
    assert "no packaging" in page


def test_an_alkali_does_not_go_on_in_a_tub_that_nobody_read(desk):
    bench.set_out()
    make.koh(code="K1", grams="5")
    make.koh(code="K2", grams="500")
    asked = f"{CHOSEN}&dilution=&finishing="
    sent = typed(desk.get(url(asked))) | {"add-additions": "4"}
    sent = typed(desk.post(url(asked), sent)) | READ_OFF
    sent |= {"additions-3-lot": "K1", "additions-3-amount": "20 g"}
    sent |= {"water_amount": "6000", "finished_amount": "9020", "on": DAY}
    sent |= {
        f"{name}_item": str(make.item(name).pk) for name in ("diluted", "finished")
    }
    del sent["fillings-0-pieces"]
    sent["additions-3-read"] = "potassium hydroxide, 90 %, lot K1"
    page = desk.post(url(asked), sent).content.decode()
    assert "Only 5 g of K1" in page


def test_a_day_without_a_recipe_says_what_comes_out(desk):
    bench.set_out()
    asked = f"{CHOSEN}&dilution=&finishing="
    sent = typed(desk.get(url(asked)))
    assert {sent[f"additions-{n}-lot"] for n in range(3)} == {
        "GLY-1",
        "FRA-1",
        "BRINE-1",
    }
    thin, fine = make.item("diluted").pk, make.item("finished").pk
    bottle = make.item("hand wash").pk
    sent |= {"water": "tap water", "water_amount": "6000", "additions-0-amount": "100"}
    sent |= {"fillings-0-what": f"i{bottle}", "fillings-0-pieces": "10"}
    sent |= {"fillings-0-net_mass": "250 g", "finished_amount": "9100", "on": DAY}
    page = desk.post(url(asked), sent)
    assert "required" in page.content.decode()
    sent |= {"diluted_item": str(thin), "finished_item": str(fine)}
    assert desk.post(url(asked), sent).status_code == 302
    assert Lot.objects.filter(batch__version=None, batch__stage="filling").exists()


def test_what_was_made_stands_with_its_codes_and_next_steps(desk):
    bench.set_out()
    answer = fill(desk, url(), **written())
    page = desk.get(answer.url).content.decode()
    for lot in Lot.objects.filter(
        batch__stage__in=["dilution", "finishing", "filling"]
    ):
        assert lot.code in page
    assert "Release it" in page
    deed = Deed.objects.get(verb="a craft day")
    fill(desk, reverse("deed-undo", args=[deed.pk]), reason="typed twice")
    assert on_hand(bench.lot("PASTE-1")) == 8000


def test_the_start_page_and_a_paste_lead_to_the_day(desk):
    bench.set_out()
    assert f'href="{reverse("day")}"' in desk.get(reverse("start")).content.decode()
    page = desk.get(reverse("lot", args=["PASTE-1"])).content.decode()
    assert f"{reverse('day')}?paste=PASTE-1" in page


class TestScents:
    def thin(self):
        paste = bench.set_out()
        return make.batch(
            "dilution", uses=[(paste, "900")], code="THIN", makes="diluted"
        )

    def good(self):
        fine = str(make.item("finished").pk)
        return {
            "scents-0-product": fine,
            "scents-0-soap": "400",
            "scents-0-fragrance_amount": "4 g",
            "scents-0-brine_amount": "12 g",
            "scents-1-product": fine,
            "scents-1-soap": "300",
            "on": DAY,
        }

    def test_one_save_makes_a_lot_for_each_scent(self, desk):
        thin, where = self.thin(), reverse("scents") + "?lot=THIN"
        form = desk.get(where).context["form"]
        assert form["brine"].value() == "BRINE-1"
        assert form.rows["scents"][0]["fragrance"].value() == "FRA-1"
        bad = {"scents-0-soap": "700"}
        holds(desk, where, self.good(), bad, "Only 200 g of THIN")
        made = Movement.objects.filter(kind="made", batch__stage="finishing")
        assert sorted(row.amount for row in made) == [300, 416]
        assert on_hand(thin) == 200

    @pytest.mark.parametrize(
        ("typed_in", "says"),
        [
            ({"brine": ""}, "Say which brine"),
            ({"scents-0-fragrance": ""}, "Say which fragrance"),
            ({"scents-0-fragrance_amount": ""}, "Write how much of it"),
            ({"scents-0-product": ""}, "Say what it becomes"),
            ({"scents-0-fragrance": "K1"}, "an alkali. It does not go into"),
        ],
    )
    def test_what_is_missing_is_said(self, desk, typed_in, says):
        self.thin()
        make.koh(code="K1")
        where = reverse("scents") + "?lot=THIN"
        sent = typed(desk.get(where)) | self.good() | typed_in
        assert says in desk.post(where, sent).content.decode()
        assert not Batch.objects.filter(stage="finishing").exists()
