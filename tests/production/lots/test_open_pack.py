"""The pack that stands open: what may, what is proposed, what when it runs out."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.batches.reads.bench import Bench, Part
from production.lots.actions import packs as packs_deeds
from production.lots.actions.lot_deeds import discard
from production.models import Batch, Deed, Lot, OpenPack, Place
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.reads.packs import open_pack, open_packs
from production.release.actions.statuses import hold_lot
from tests import make
from tests.make import act, on_hand, refused, sent_twice
from tests.production.writing import fill, holds, typed

pytestmark = pytest.mark.django_db


def glycerin(code, grams="1000", **facts):
    item = make.item("glycerin", category="additive")
    return make.lot(code, grams=grams, item=item, **facts)


class TestWhichMayStandOpen:
    def test_a_released_lot_with_something_in_it(self):
        lot = glycerin("G1")
        row = sent_twice(packs_deeds.open_pack, lot=lot, **act(2))
        assert (row.lot, row.deed.verb) == (lot, "open a pack")

    def test_never_an_alkali(self):
        tub = make.koh()
        with refused("An alkali never stands open", "looked at twice"):
            packs_deeds.open_pack(lot=tub, **act(2))

    def test_not_a_lot_that_waits(self):
        lot = glycerin("G1", status="quarantine")
        with refused("G1 was in quarantine on 2026-03-02, not released"):
            packs_deeds.open_pack(lot=lot, **act(2))

    def test_not_before_it_arrived(self):
        lot = glycerin("G1")
        with refused("not in the book yet on 2026-03-01"):
            packs_deeds.open_pack(lot=lot, **act(1))

    def test_not_one_that_expired(self):
        lot = glycerin("G1", expires=make.day(4))
        with refused("G1 expired on 2026-03-04"):
            packs_deeds.open_pack(lot=lot, **act(5))

    def test_not_an_empty_one(self):
        lot = glycerin("G1")
        discard(lot=lot, amount=Decimal(1000), reason="spilt", **act(2))
        with refused("Nothing is left of G1"):
            packs_deeds.open_pack(lot=lot, **act(3))


class TestWhichIsInForce:
    def test_the_latest_counts(self):
        first, second = glycerin("G1"), glycerin("G2")
        packs_deeds.open_pack(lot=first, **act(2))
        packs_deeds.open_pack(lot=second, **act(2))
        assert open_pack(first.item, make.day(3)) == second

    def test_one_that_was_opened_later_does_not_count_yet(self):
        lot = glycerin("G1")
        packs_deeds.open_pack(lot=lot, **act(5))
        assert open_pack(lot.item, make.day(4)) is None
        assert open_pack(lot.item, make.day(5)) == lot

    def test_an_empty_or_held_one_gives_way_to_the_one_before(self):
        first, second, third = glycerin("G1"), glycerin("G2"), glycerin("G3")
        for lot in (first, second, third):
            packs_deeds.open_pack(lot=lot, **act(2))
        discard(lot=third, amount=Decimal(1000), reason="spilt", **act(2))
        assert open_pack(first.item, make.day(3)) == second
        hold_lot(lot=second, reason="cloudy", **act(2))
        assert open_pack(first.item, make.day(3)) == first

    @pytest.mark.parametrize("rows", [2, 25])
    def test_all_are_found_in_the_same_number_of_questions(
        self, rows, django_assert_num_queries
    ):
        for number in range(rows):
            item = make.item(f"additive {number}", category="additive")
            packs_deeds.open_pack(lot=make.lot(f"A{number}", item=item), **act(2))
        with django_assert_num_queries(2):
            assert len(open_packs(make.day(3))) == rows

    def test_what_the_same_deed_takes_already_is_not_there_twice(self):
        lot, other = glycerin("G1", "100"), glycerin("G2", "100")
        packs_deeds.open_pack(lot=lot, **act(2))
        bench = Bench([lot], make.day(3))
        home = Place.objects.get(name="workshop")
        assert bench.take(lot, Decimal(90)) == [Part(lot, Decimal(90), home)]
        parts = bench.take(lot, Decimal(30))
        assert [(part.lot, part.amount) for part in parts] == [(lot, 10), (other, 20)]
        assert bench.remarks == ["G1 (glycerin) ran out: 20 from G2."]
        assert on_hand(other) == 100

    @pytest.mark.parametrize("rows", [1, 12])
    def test_a_deed_asks_as_often_whatever_it_takes(
        self, rows, django_assert_num_queries
    ):
        for number in range(rows):
            item = make.item(f"additive {number}", category="additive")
            make.lot(f"A{number}", item=item)
        lots = list(Lot.objects.select_related("item"))
        # Candidates, open packs, their lots, where they stand.
        with django_assert_num_queries(4):
            bench = Bench(lots, make.day(3))
            for lot in lots:
                assert bench.take(lot, Decimal(10))[0].lot == lot


class TestOnThePages:
    def test_the_button_of_a_lot_opens_it_with_one_press(self, desk):
        glycerin("G1")
        page = desk.get(reverse("lot", args=["G1"])).content.decode()
        assert "This pack stands open" in page
        sent = {"key": "open:G1:1"}
        for _ in range(2):
            answer = desk.post(reverse("lot-open", args=["G1"]), sent)
            assert answer.url == reverse("lot", args=["G1"])
        assert OpenPack.objects.count() == 1
        page = desk.get(reverse("lot", args=["G1"])).content.decode()
        assert "forms take from it without asking" in page
        assert "<button" not in page.split("forms take")[1].split("Stock entries")[0]

    def test_its_page_keeps_what_every_page_promises(self, desk):
        lot = glycerin("G1")
        url = reverse("lot-open", args=["G1"])
        holds(desk, url, {"on": "2026-03-02"}, {"on": "2026-03-01"}, "not in the book")
        assert OpenPack.objects.get().lot == lot

    @pytest.mark.parametrize("kind", ["alkali", "empty", "waiting"])
    def test_no_button_where_it_would_be_refused(self, desk, kind):
        lot = make.koh(code="L1") if kind == "alkali" else glycerin("L1")
        if kind == "empty":
            discard(lot=lot, amount=Decimal(1000), reason="spilt", **act(2))
        if kind == "waiting":
            hold_lot(lot=lot, reason="cloudy", **act(2))
        page = desk.get(reverse("lot", args=["L1"])).content.decode()
        assert "This pack stands open" not in page

    def test_a_recipe_proposes_the_open_pack_and_says_when_it_runs_out(self, desk):
        first = glycerin("SOON", expires=make.day(30).replace(year=2040))
        second = glycerin("OPEN", "100")
        packs_deeds.open_pack(lot=second, **act(2))
        soap = make.item("soap", kind="made")
        version = make.version(
            "finishing",
            makes=soap,
            lines=[NewVersionLine(first.item, Decimal("0.5"))],
        )
        url = reverse("batch-run", args=["finishing"])
        answer = desk.get(url, {"version": version.pk, "amount": "300 g"})
        plan = answer.context["plan"]
        rows = [(row["lot"], row["amount"]) for row in plan.rows]
        assert rows[:2] == [("OPEN", "100 g"), ("SOON", "50 g")]
        assert "glycerin: the open pack OPEN runs out, then 50 g from SOON." in (
            plan.remarks
        )

    def test_water_that_stands_open_comes_before_the_tap(self, desk):
        make.item("tap water", category="water", on_tap=True)
        distilled = make.lot("DW-1", item=make.item("distilled", category="water"))
        packs_deeds.open_pack(lot=distilled, **act(2))
        make.batch("cook", uses=[(make.lot(), "500")], makes="paste", code="P1")
        asked = {"version": "", "paste": "P1", "amount": "100 g"}
        asked |= {"target": "20", "soap_content": "60"}
        rows = (
            desk.get(reverse("batch-run", args=["dilution"]), asked)
            .context["plan"]
            .rows
        )
        assert [row["lot"] for row in rows] == ["P1", "DW-1"]


class TestTheSecondLook:
    """An alkali's name and purity are read back before anything is posted."""

    READ = "potassium hydroxide, 90 %, lot K1"

    def sent(self, desk, **more):
        make.koh(code="K1")
        make.lot("OIL", grams="5000", item=make.item("olive", category="oil"))
        paste = make.item("paste", kind="made")
        sent = typed(desk.get(reverse("batch-run", args=["cook"])))
        sent |= {"uses-0-lot": "OIL", "uses-0-amount": "1000", "on": "2026-03-02"}
        sent |= {"uses-1-lot": "K1", "uses-1-amount": "190"}
        return sent | {"item": str(paste.pk), "amount": "1100"} | more

    def test_the_page_comes_back_with_the_name_to_confirm(self, desk):
        url, sent = reverse("batch-run", args=["cook"]), self.sent(desk)
        deeds = Deed.objects.count()
        page = desk.post(url, sent).content.decode()
        assert f"I have read: {self.READ}" in page
        assert "Look at the tub a second time" in page
        assert Deed.objects.count() == deeds
        done = desk.post(url, sent | {"uses-1-read": self.READ})
        assert done.status_code == 302
        assert (
            Batch.objects.get(stage="cook").movements.filter(kind="used").count() == 2
        )

    def test_what_was_read_of_another_tub_does_not_count(self, desk):
        sent = self.sent(desk)
        make.koh(code="K2", purity="0.85")
        sent |= {"uses-1-lot": "K2", "uses-1-read": self.READ}
        page = desk.post(reverse("batch-run", args=["cook"]), sent).content.decode()
        assert "Is it potassium hydroxide, 85 %, lot K2?" in page
        assert not Batch.objects.filter(stage="cook").exists()

    def test_the_same_where_lots_are_used_piece_by_piece(self, desk):
        make.koh(code="K1")
        batch = start_batch(stage="cook", code="B1", **act(2))
        url, row = reverse("batch-use", args=["B1"]), {"uses-0-lot": "K1"}
        row |= {"uses-0-amount": "100 g", "on": "2026-03-02"}
        sent = typed(desk.get(url)) | row
        assert self.READ in desk.post(url, sent).content.decode()
        assert desk.post(url, sent | {"uses-0-read": self.READ}).status_code == 302
        assert batch.movements.get().lot.code == "K1"

    def test_the_caution_stands_before_the_field_of_the_alkali(self, desk):
        page = desk.get(reverse("batch-run", args=["cook"])).content.decode()
        caution = page.index("Never water onto alkali")
        assert caution < page.index('name="alkali_lot"') < page.index("uses-0-lot")

    def test_a_caution_comes_with_an_alkali_where_none_was_expected(self, desk):
        make.koh(code="K1")
        url = reverse("batch-run", args=["finishing"])
        sent = typed(desk.get(url)) | {"uses-0-lot": "K1", "uses-0-amount": "1"}
        assert "Never water onto alkali" in desk.post(url, sent).content.decode()

    @pytest.mark.parametrize("share", ["1", "0"])
    def test_the_other_alkali_than_the_recipe_says_is_refused(self, share):
        soda = make.item("sodium hydroxide", category="alkali", alkali="NaOH")
        lye = make.lot("SODA", item=soda) if share == "1" else make.koh(code="POT")
        version = make.version(koh_share=Decimal(share))
        batch = start_batch(stage="cook", version=version, **act(2))
        uses = [Use(lot=lye, amount=Decimal(10))]
        other = "KOH" if share == "1" else "NaOH"
        with refused(f"is cooked with {other} alone", "Put the tub back"):
            use_lots(batch=batch, uses=uses, **act(2))

    def test_both_go_into_a_paste_of_both(self):
        soda = make.item("sodium hydroxide", category="alkali", alkali="NaOH")
        lyes = [make.lot("SODA", item=soda), make.koh()]
        version = make.version(koh_share=Decimal("0.6"))
        batch = start_batch(stage="cook", version=version, **act(2))
        uses = [Use(lot=lye, amount=Decimal(10)) for lye in lyes]
        use_lots(batch=batch, uses=uses, **act(2))
        assert batch.movements.count() == 2


def test_steps_of_a_cook_are_free_lines(desk):
    make.lot("L1", grams="500")
    paste = make.item("paste", kind="made")
    fill(
        desk,
        reverse("batch-run", args=["cook"]),
        uses__0__lot="L1",
        uses__0__amount="500",
        item=str(paste.pk),
        amount="490",
        steps="9:05 lye in\n\n 9:40 thick trace ",
        on="2026-03-02",
    )
    steps = Batch.objects.get().steps.all()
    assert [step.text for step in steps] == ["9:05 lye in", "9:40 thick trace"]
