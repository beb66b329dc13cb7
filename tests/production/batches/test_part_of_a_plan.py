"""What a maker expects of a yield.

Forty bottles were planned and soap for twenty-five went in: twenty-five is all that can
come, and nothing is lost. What is expected follows what went in, also when that is put
right later, unless somebody wrote a figure. Steam and what stays on the walls are part
of the work; a spill is a loss, its cost an expense, whether or not a recipe expects
anything. What is short is asked about when it is written, and its name can be mended.
"""

from decimal import Decimal as D

import pytest
from django.core.management import call_command

from costing.reads import book_behind
from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.losing import rename_loss
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.models import Batch, Loss
from production.quantities.domain.refusal import Unexplained
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.reads.experience import median_losses
from production.record.domain.text import write
from production.yields.domain.hours_and_losses import NewLoss
from production.yields.reads import outturn
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db


def filling(**terms):
    """250 g of soap and a bottle for each piece."""
    soap = make.item("diluted soap", kind="made")
    bottle = make.item("bottle 250", kind="packaging", unit="piece")
    lines = [
        NewVersionLine(soap, each=D(250)),
        NewVersionLine(bottle, each=D(1)),
    ]
    makes = make.item("hand soap 250", kind="made", unit="piece")
    return make.version("filling", makes=makes, lines=lines, **{"loss": D(0)} | terms)


def fill(pieces, soap, *, version=None, **facts):
    """So many pieces out of so much soap, with its value in whole money."""
    tank = make.lot(
        grams="10000",
        price="100",
        item=make.item("diluted soap", kind="made"),
        readings=(make.check(),),
    )
    glass = make.bottles(pieces="100", price="100")
    return run_batch(
        stage="filling",
        version=version or filling(),
        uses=[Use(D(soap), tank), Use(D(pieces), glass)],
        output=Output(D(pieces), net_mass=D(250)),
        **act(),
        **facts,
    )


def dilute(out, *, version=None, parts=("400", "600"), **facts):
    """Paste and water, by a recipe that expects to lose 5 %."""
    soap = make.item("soap for tests", kind="made")
    if version is None:
        version = make.version(
            "dilution",
            makes=soap,
            lines=[NewVersionLine(paste(), share=D(1))],
            loss=D("0.05"),
        )
    goes_in = [make.proven(grams="5000", price="50", item=paste())]
    goes_in.append(make.lot(grams="5000", price="0", item=water()))
    return run_batch(
        stage="dilution",
        version=version or None,
        uses=[Use(D(amount), lot) for amount, lot in zip(parts, goes_in, strict=True)],
        output=Output(D(out), item=soap),
        **act(),
        **facts,
    )


def paste():
    return make.item("paste", kind="made")


def water():
    return make.item("distilled water", category="water")


def expensed(lot):
    """Money that is an abnormal loss of the batch of a lot."""
    value = book_behind(lot).valuation.lots[lot.code]
    return D(sum(value.abnormal.values())) / 10**9


def history_told():
    return write("USD", history_events())


class TestTheExpectedFollowsWhatWentIn:
    def test_inputs_for_twenty_five_of_forty_lose_nothing(self):
        lot = fill("25", "6250")
        assert outturn(lot.batch).expected == 25
        assert expensed(lot) == 0

    def test_what_somebody_wrote_stays_what_is_expected(self):
        lot = fill("25", "6250", expected=D(40))
        assert outturn(lot.batch).expected == 40
        assert expensed(lot) == D("87.5") * 15 / 40

    def test_a_recipe_that_says_no_loss_expects_nothing(self):
        lot = fill("25", "6250", version=filling(loss=None))
        assert outturn(lot.batch).expected is None

    def test_a_use_that_is_put_right_carries_the_expected_along(self):
        lot = dilute("950")
        assert outturn(lot.batch).expected == 950
        use = lot.batch.movements.standing().filter(kind="used").first()
        correct_movement(movement=use, amount=D(390), **act(3, reason="misread"))
        assert outturn(lot.batch).expected == D("940.5")
        assert expensed(lot) == 0

    def test_an_open_batch_says_what_should_come_of_what_is_in_it(self, desk):
        version = filling()
        batch = start_batch(stage="filling", version=version, **act())
        tank = make.proven(grams="10000", item=make.item("diluted soap", kind="made"))
        use = Use(D(2500), tank)
        use_lots(batch=batch, uses=[use], **act())
        assert outturn(batch).expected == 10
        page = desk.get(f"/batches/{batch.code}/make/").content.decode()
        assert "10 <small>pcs</small></span> should come out" in page


class TestWhatIsShortIsAskedAbout:
    def test_short_beyond_the_band_is_asked_by_its_grams(self):
        with pytest.raises(Unexplained, match=r"79 g less than expected .* steam"):
            dilute("871")

    def test_within_the_band_it_is_the_scale(self):
        lot = dilute("946")
        assert expensed(lot) == 0

    @pytest.mark.parametrize(
        ("name", "cost"),
        [("steam", 0), ("weighing difference", 0), ("spill", 4 * D(79) / D(950))],
    )
    def test_its_answer_says_where_the_money_goes(self, name, cost):
        lot = dilute("871", lost_as=name)
        [loss] = Loss.objects.all()
        assert (loss.kind, loss.amount) == (name, 79)
        assert expensed(lot) == round(cost, 9)

    def test_an_answer_where_nothing_is_missing_names_nothing(self):
        dilute("950", lost_as="spill")
        assert not Loss.objects.exists()

    def test_the_page_asks_keeps_what_was_typed_and_takes_the_answer(self, desk):
        batch = self.open()
        typed = {**self.sent(batch), "amount": "871"}
        page = desk.post(f"/batches/{batch.code}/make/", typed).content.decode()
        assert "79 g less than expected" in page
        assert 'name="lost_as"' in page
        assert 'value="871"' in page
        assert not batch.movements.filter(kind="made").exists()
        answer = desk.post(
            f"/batches/{batch.code}/make/", {**typed, "lost_as": "steam"}
        )
        assert answer.status_code == 302
        assert Loss.objects.get().amount == 79

    def open(self):
        soap = make.item("soap for tests", kind="made")
        version = make.version(
            "dilution",
            makes=soap,
            lines=[NewVersionLine(paste(), share=D(1))],
            loss=D("0.05"),
        )
        batch = start_batch(stage="dilution", version=version, **act())
        uses = [
            Use(D(400), make.proven(grams="5000", item=paste())),
            Use(D(600), make.lot(grams="5000", item=water())),
        ]
        use_lots(batch=batch, uses=uses, **act())
        return batch

    def sent(self, batch):
        rows = {
            f"{name}-{key}": value
            for name in ("losses", "work")
            for key, value in {"TOTAL_FORMS": "0", "INITIAL_FORMS": "0"}.items()
        }
        return {"key": "k-make", "on": "2026-03-02", "amount": "", **rows}


class TestALossByItsName:
    def test_a_spill_is_an_expense_without_any_recipe(self):
        lot = dilute("900", version=False, losses=[NewLoss("spill", D(100))])
        assert expensed(lot) == D("0.4")

    def test_steam_without_a_recipe_is_carried_by_what_is_left(self):
        lot = dilute("900", version=False, losses=[NewLoss("steam", D(100))])
        assert expensed(lot) == 0

    def test_a_boil_off_nobody_named_is_normal_from_the_first_batch_on(self):
        lot = make.cook(amount="900")
        assert expensed(lot) == 0

    def test_a_spill_of_bottled_soap_counts_as_so_many_bottles(self):
        spilt = [NewLoss("spill", D(500))]
        lot = fill("38", "10000", version=filling(), losses=spilt)
        assert expensed(lot) == D(138) * 2 / 40

    def test_a_spill_counts_where_the_mass_of_a_piece_is_unknown(self):
        tank = make.proven(grams="10000", price="100")
        lot = make.batch(
            "filling",
            uses=[(tank, "10000")],
            unit="piece",
            makes="hand soap",
            amount="36",
            losses=[NewLoss("spill", D(1000))],
        )
        assert expensed(lot) == 10

    def test_it_can_be_called_otherwise_with_a_reason(self):
        lot = dilute("871", lost_as="steam")
        [loss] = Loss.objects.all()
        with make.refused("reason"):
            rename_loss(loss=loss, kind="spill", **act(4))
        rename_loss(loss=loss, kind="spill", **act(4, reason="it was the floor"))
        assert [row.kind for row in Loss.objects.all()] == ["spill"]
        assert expensed(lot) == round(4 * D(79) / D(950), 9)

    def test_the_other_name_can_be_taken_back(self):
        dilute("871", lost_as="steam")
        [loss] = Loss.objects.all()
        row = rename_loss(loss=loss, kind="spill", **act(4, reason="floor"))
        again = rename_loss(loss=row, kind="burnt", **act(5, reason="stove"))
        undo_deed(undone=again.deed, **act(6, reason="no"))
        assert [row.kind for row in Loss.objects.all()] == ["spill"]
        undo_deed(undone=row.deed, **act(6, reason="no"))
        assert [row.kind for row in Loss.objects.all()] == ["steam"]

    def test_a_loss_taken_back_takes_its_later_names_along(self):
        lot = dilute("871", lost_as="steam")
        [loss] = Loss.objects.all()
        rename_loss(loss=loss, kind="spill", **act(4, reason="floor"))
        with make.refused("'call a loss otherwise' of 2026-03-04 rests on it"):
            undo_deed(undone=lot.deed, **act(6, reason="all wrong"))
        undo_deed(undone=lot.deed, along=True, **act(6, reason="all wrong"))
        assert not Loss.objects.exists()

    def test_it_is_not_called_what_it_is_called_already(self):
        dilute("871", lost_as="steam")
        with make.refused("called steam already"):
            rename_loss(loss=Loss.objects.get(), kind="steam", **act(4, reason="so"))

    def test_the_batch_page_offers_it_and_the_cost_says_what_changed(self, desk):
        lot = dilute("871", lost_as="steam")
        loss = Loss.objects.get()
        page = desk.get(lot.batch.get_absolute_url()).content.decode()
        assert f"/losses/{loss.pk}/rename/" in page
        sent = {"key": "k1", "on": "2026-03-04", "kind": "spill", "reason": "floor"}
        answer = desk.post(f"/losses/{loss.pk}/rename/", sent, follow=True)
        assert "are spill now, and no longer steam" in answer.content.decode()
        cost = desk.get(f"/lots/{lot.code}/cost/").content.decode()
        assert "Called steam until 2026-03-04" in cost
        assert "more is an expense and left this cost" in cost
        assert "0.3326" in cost

    def test_what_was_spilt_is_not_planned_with(self):
        lot = dilute("871", lost_as="spill")
        formula = lot.batch.version.formula
        assert median_losses([formula])[formula.pk].median == D("0.05")
        rename_loss(loss=Loss.objects.get(), kind="steam", **act(4, reason="no spill"))
        assert median_losses([formula])[formula.pk].median == D("0.129")


class TestTheHistoryFile:
    def test_all_of_it_goes_out_and_comes_in_again(self):
        lot = dilute("871", lost_as="steam")
        fill("25", "6250", expected=D(40))
        loss = Loss.objects.get(batch=lot.batch)
        rename_loss(loss=loss, kind="spill", **act(4, reason="it was the floor"))
        told, cost, code = history_told(), expensed(lot), lot.code
        assert '"follows": true' in told
        assert '"loss_renamed"' in told
        call_command("flush", interactive=False, verbosity=0)
        import_history(text=told)
        lot = Batch.objects.get(lot__code=code).lot
        assert (history_told(), expensed(lot)) == (told, cost)

    def test_nothing_expected_in_a_file_is_not_judged(self):
        lot = dilute("950", follows=False, reason="as ever")
        assert not lot.batch.follows
        assert outturn(lot.batch).expected is None
