"""A bottle that came back is not for sale until somebody has looked at it.

A maker takes back three bottles at the door. Nobody may sell, give or carry one of them
off before one look; a sealed one then stands with the others again, an opened one never
does: it is thrown away, sampled, or reworked. Stock, value and who has it know of them.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from costing.reads import whole_book
from production.batches.actions.batches import run_batch
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import open_stock
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.lots.actions.places import change_place
from production.models import Item, Place
from production.recipes.reads.packs import stock_view_of
from production.selling.actions.customers import ensure_customer
from production.selling.actions.returns import look_at_return
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot
from production.stock.reads.places_of_lots import standing_places
from production.stock.reads.stock import on_hand_by_place
from production.tracing.reads.family import holders
from production.tracing.reads.trace import trace
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.production.history_cases import file_of
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def soap():
    return make.filled("HS-1")


def came_back(soap, amount="3", then="apart", sold="5", **facts):
    line = make.sale(soap, sold).lines.get()
    return take_back(line=line, amount=Decimal(amount), then=then, **act(4), **facts)


def look(back, seen="sealed", amount=None, on=5, **facts):
    amount = None if amount is None else Decimal(amount)
    return look_at_return(back=back, seen=seen, amount=amount, **act(on), **facts)


def apart():
    return Place.objects.get(apart=True)


class TestPutApart:
    def test_it_stands_at_a_place_of_its_own_and_is_still_in_stock(self, soap):
        came_back(soap)
        assert on_hand_by_place(soap) == [("returns", 3), ("workshop", 15)]
        assert make.on_hand(soap) == 18
        [tin] = holders(trace(soap).deliveries)
        assert tin.kept == 2

    def test_it_is_not_offered(self, soap):
        came_back(soap)
        shelf = stock_view_of([soap.item], day(6))
        assert shelf.shares(soap.item_id, Decimal(16)) == ([("HS-1", 15)], 1)

    def test_a_lot_of_which_all_came_back_is_offered_nowhere(self, soap, client):
        came_back(soap, "20", sold="20")
        client.force_login(make.owner())
        assert "HS-1" not in client.get(reverse("sale-sell")).content.decode()

    def test_it_is_not_sold_given_used_or_carried_off(self, soap):
        came_back(soap)
        box = make.bottles("BOX")
        with make.refused("came back", "not sold from there", "Look at the return"):
            line = NewSaleLine(soap, Decimal(1), None, apart())
            sell(lines=[line], channel="stall", **act(6))
        for why, who in (("gift", ""), ("own use", ""), ("sample", "Ada")):
            with make.refused("nobody is given of it"):
                give(
                    lot=soap,
                    amount=Decimal(1),
                    why=why,
                    recipient=who,
                    place=apart(),
                    **act(6),
                )
        crate = ensure_place("crate")
        gift_set = make.item("set", kind="made", unit="piece")
        with make.refused("not carried away from there"):
            move_lot(lot=soap, amount=Decimal(1), place=apart(), to=crate, **act(6))
        with make.refused("not used from there"):
            run_batch(
                stage="packing",
                uses=[
                    Use(lot=soap, amount=Decimal(1), place=apart()),
                    Use(lot=box, amount=Decimal(1)),
                ],
                output=Output(Decimal(1), gift_set),
                **act(6),
            )

    def test_nothing_else_is_put_there(self, soap):
        came_back(soap)
        with make.refused("for what a customer brought back"):
            move_lot(lot=soap, amount=Decimal(1), to=apart(), **act(6))
        with make.refused("for what a customer brought back"):
            open_stock(
                item=soap.item,
                lot=NewLot(Decimal(4)),
                place=apart(),
                **act(6),
            )

    def test_nothing_leaves_before_it_was_looked_at(self, soap):
        back = came_back(soap)
        for deed in (
            lambda: discard(
                lot=soap, amount=Decimal(1), place=apart(), **act(6, reason="leaks")
            ),
            lambda: give(
                lot=soap, amount=Decimal(1), why="sample", place=apart(), **act(6)
            ),
        ):
            with make.refused("nobody has looked at it yet"):
                deed()
        look(back, "opened", "1")
        discard(lot=soap, amount=Decimal(1), place=apart(), **act(6, reason="opened"))
        assert on_hand_by_place(soap) == [("returns", 2), ("workshop", 15)]

    def test_goods_are_taken_from_where_the_others_stand(self, soap):
        """Three came back and wait apart: nobody is asked from where the rest goes."""
        assert standing_places([soap])[soap.pk].name == "workshop"
        came_back(soap)
        assert standing_places([soap])[soap.pk].name == "workshop"

    def test_where_all_of_it_came_back_it_stands_there(self, soap):
        came_back(soap, "20", sold="20")
        assert standing_places([soap]) == {soap.pk: apart()}

    def test_where_it_stands_at_two_places_somebody_says_which(self, soap):
        crate = ensure_place("crate")
        move_lot(lot=soap, amount=Decimal(5), to=crate, **act(3))
        assert standing_places([soap]) == {soap.pk: None}

    def test_the_place_is_not_given_to_a_customer(self, soap):
        came_back(soap)
        tin = ensure_customer("The Tin Lantern")
        with make.refused("what came back"):
            change_place(place=apart(), name="shop", customer=tin)

    def test_a_place_of_the_same_name_stays_what_it_was(self, soap):
        shelf = ensure_place("returns")
        came_back(soap)
        assert not Place.objects.get(pk=shelf.pk).apart
        assert on_hand_by_place(soap)[0] == ("returns, apart", 3)

    def test_what_was_looked_at_at_the_door_needs_no_second_step(self, soap):
        came_back(soap, then="restock")
        assert on_hand_by_place(soap) == [("workshop", 18)]
        assert not Place.objects.filter(apart=True).exists()

    def test_its_value_stays_at_cost(self, soap):
        def value():
            return whole_book().valuation.totals.stock

        before = make.on_hand(soap), value()
        back = came_back(soap, "5")
        assert (make.on_hand(soap), value()) == before
        look(back, "opened")
        assert (make.on_hand(soap), value()) == before


class TestLook:
    def test_sealed_ones_are_for_sale_again(self, soap):
        look(came_back(soap))
        assert on_hand_by_place(soap) == [("workshop", 18)]
        assert make.sale(soap, "18", on=day(6))

    def test_they_go_where_they_were_sold_from_or_where_one_says(self, soap):
        crate = ensure_place("crate")
        back = came_back(soap)
        look(back, amount="1", place=crate)
        look(back, amount="2")
        assert on_hand_by_place(soap) == [("crate", 1), ("workshop", 17)]

    @pytest.mark.parametrize("seen", ["opened", "refilled", "damaged"])
    def test_others_never_are(self, soap, seen):
        back = came_back(soap)
        look(back, seen, "1")
        look(back, "sealed", "2")
        assert on_hand_by_place(soap) == [("returns", 1), ("workshop", 17)]
        with make.refused("Nothing of", "waits to be looked at"):
            look(back, "sealed", "1")
        assert back.became == f"1 {seen}, 2 sealed and fine"

    def test_they_are_reworked(self, soap):
        look(came_back(soap), "damaged")
        paste = run_batch(
            stage="rework",
            uses=[Use(lot=soap, amount=Decimal(3), place=apart())],
            output=Output(Decimal(700), make.item("rescued", kind="made")),
            **act(6),
        )
        assert make.on_hand(paste) == 700
        assert make.on_hand(soap) == 15

    def test_no_more_is_seen_than_came_back(self, soap):
        back = came_back(soap)
        with make.refused("3 of", "wait to be looked at, not 4"):
            look(back, amount="4")
        with make.refused("came on 2026-03-04"):
            look(back, on=3)
        restocked = came_back(make.filled("HS-2"), then="restock")
        with make.refused("was not put apart"):
            look(restocked)

    def test_what_was_thrown_away_was_the_opened_one(self, soap):
        """The three that are left wait as before."""
        back = came_back(soap, "4")
        look(back, "opened", "1")
        discard(lot=soap, amount=Decimal(1), place=apart(), **act(6, reason="opened"))
        with make.refused("nobody has looked at it yet"):
            discard(lot=soap, amount=Decimal(1), place=apart(), **act(6, reason="more"))
        look(back, amount="3", on=7)
        assert on_hand_by_place(soap) == [("workshop", 18)]

    def test_it_is_taken_back_and_they_wait_again(self, soap):
        back = came_back(soap)
        seen = look(back)
        undo_deed(undone=seen.deed, **act(6))
        assert on_hand_by_place(soap) == [("returns", 3), ("workshop", 15)]
        look(back, "opened", on=7)
        assert back.became == "3 opened"

    def test_it_is_not_taken_back_under_what_rests_on_it(self, soap):
        seen = look(came_back(soap), "opened")
        discard(lot=soap, amount=Decimal(1), place=apart(), **act(6, reason="opened"))
        with make.refused("'discard goods'", "rests on it"):
            undo_deed(undone=seen.deed, **act(7))

    def test_the_return_is_not_taken_back_under_its_look(self, soap):
        back = came_back(soap)
        look(back, "opened")
        with make.refused("'look at a return'", "rests on it"):
            undo_deed(undone=back.deed, **act(7))

    def test_a_form_sent_twice_answers_once(self, soap):
        back = came_back(soap)
        make.sent_twice(
            look_at_return,
            back=back,
            seen="sealed",
            amount=Decimal(1),
            **act(5),
        )


class TestPages:
    @pytest.fixture
    def client(self, client):
        client.force_login(make.owner())
        return client

    def test_the_form_puts_them_apart_unless_told(self, soap, client):
        line = make.sale(soap, "5").lines.get()
        page = client.get(reverse("sale-take-back", args=[line.pk])).content.decode()
        assert page.count("checked") == 1
        assert 'value="apart"' in page.split("checked")[0].rsplit("<input", 1)[1]

    def test_start_and_lot_lead_to_the_look(self, soap, client):
        back = came_back(soap)
        link = reverse("return-look", args=[back.pk])
        for page in (reverse("start"), soap.get_absolute_url(), reverse("returns")):
            assert link in client.get(page).content.decode(), page
        sent = {"key": "l-1", "on": "2026-03-05", "seen": "opened", "amount": "3"}
        assert client.post(link, sent).status_code == 302
        for page in (reverse("start"), reverse("returns")):
            assert link not in client.get(page).content.decode(), page
        assert (
            "never for sale again"
            in client.get(soap.get_absolute_url()).content.decode()
        )
        sale = client.get(back.line.sale.get_absolute_url()).content.decode()
        assert "3 opened" in sale

    def test_rework_asks_which_of_them(self, soap, client):
        back = came_back(soap)
        look(back, "damaged")
        url = reverse("batch-run", args=["rework"])
        sent = typed(client.get(url)) | {
            "on": "2026-03-06",
            "uses-0-lot": "HS-1",
            "uses-0-amount": "3",
            "item": make.item("rescued", kind="made").pk,
            "amount": "700",
        }
        page = client.post(url, sent).content.decode()
        assert "Say from which: 3 pieces at returns, 15 at workshop." in page
        assert client.post(url, sent | {"uses-0-place": apart().pk}).status_code == 302
        assert on_hand_by_place(soap) == [("workshop", 15)]

    def test_where_all_of_it_came_back_nothing_is_offered(self, soap, client):
        came_back(soap, "20", sold="20")
        page = client.get(soap.get_absolute_url()).content.decode()
        assert "All of it came back and stands apart." in page
        assert "It may be sold" not in page

    def test_the_history_names_the_lot_and_the_sale(self, soap, client):
        seen = look(came_back(soap))
        page = client.get(reverse("deed", args=[seen.deed_id])).content.decode()
        assert soap.get_absolute_url() in page
        assert seen.back.line.sale.get_absolute_url() in page

    def test_short_counts_what_may_be_sold(self, soap, client):
        Item.objects.filter(pk=soap.item_id).update(low_at=Decimal(16))
        came_back(soap)
        assert "short below" in client.get(reverse("start")).content.decode()


def test_the_file_tells_where_each_went(soap):
    back = came_back(soap)
    look(back, amount="1", place=ensure_place("crate"))
    look(back, "opened", "1")
    told = [
        one for one in history_events() if one["type"] in ("return", "look", "move")
    ]
    assert [one["type"] for one in told] == ["return", "look", "look"]
    assert told[0]["then"] == "apart"
    assert told[0]["place"] == "returns"
    assert [one.get("place") for one in told[1:]] == ["crate", None]


def test_an_older_file_means_what_it_meant():
    """It knew two answers: back in stock at once, or destroyed."""
    soap = make.filled("HS-1")
    sale = make.sale(soap, "5")
    facts = {"type": "return", "date": "2026-03-04", "sale": sale.number, "line": 1}
    facts |= {"lot": "HS-1", "amount": "1"}
    import_history(
        text=file_of(
            [
                {**facts, "number": "RT-1", "then": "restock"},
                {**facts, "number": "RT-2", "then": "destroy"},
            ]
        )
    )
    assert on_hand_by_place(soap) == [("workshop", 16)]
    assert not Place.objects.filter(apart=True).exists()
