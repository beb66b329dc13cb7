"""What a maker expects of the scale: no more comes out than went in.

A gram too many is the scale, and stands as a weighing difference. A kilogram is water
that nobody wrote down, or a slip of the hand: the book asks for the water and writes
nothing, with or without a recipe, whatever the reason. Pieces weigh what is in them;
where nobody knows that, nothing is judged.
"""

from decimal import Decimal as D

import pytest

from config.audit import audit
from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.record.domain.text import write
from production.workshop.actions.cards import add_item
from production.yields.domain.hours_and_losses import NewLoss
from production.yields.reads import outturn
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _what_is_made():
    make.item("soap", kind="made")
    make.item("hand soap 250", kind="made", unit="piece")


def soap(grams="5000"):
    return make.proven(grams=grams, item=make.item("diluted soap", kind="made"))


def thin(used, made, **facts):
    return make.batch(uses=[(soap(), used)], makes="soap", amount=made, **facts)


@pytest.mark.parametrize(
    ("used", "made"), [("1", "1000000"), ("1", "590"), ("1000", "1005.001")]
)
@pytest.mark.parametrize("reason", ["", "it was so"])
def test_more_out_than_in_asks_for_the_water_and_is_refused(used, made, reason):
    lot = soap()
    with make.refused("Was water forgotten", "cannot come out of nothing"):
        make.batch(uses=[(lot, used)], makes="soap", amount=made, reason=reason)


def test_a_recipe_is_no_way_round_it():
    version = make.version("dilution", makes=make.item("soap", kind="made"))
    lot = soap()
    with make.refused("Was water forgotten"):
        make.batch(
            uses=[(lot, "1000")],
            makes="soap",
            amount="1100",
            version=version,
            reason="it was so",
        )


@pytest.mark.parametrize(("used", "made"), [("1000", "1005"), ("5", "5.1")])
def test_a_surplus_within_the_scales_error_is_a_weighing_difference(used, made):
    lot = thin(used, made)
    assert outturn(lot.batch).balance.difference == D(used) - D(made)


def test_a_recipe_with_a_wider_band_allows_more():
    version = make.version(
        "dilution", makes=make.item("soap", kind="made"), band=D("0.02")
    )
    assert thin("1000", "1015", version=version, reason="scale").batch


def test_forty_bottles_of_a_quarter_do_not_come_out_of_a_kilogram():
    lot, glass = soap(), make.bottles(pieces="100")
    facts = {"unit": "piece", "makes": "hand soap 250", "amount": "40"}
    uses = [(lot, "1000"), (glass, "40")]
    with make.refused("10000 g came out of 1000 g", "Was water forgotten"):
        make.batch("filling", uses=uses, net_mass="250", **facts)
    assert make.batch("filling", uses=uses, **facts), "of an unknown mass"


def test_what_was_lost_on_the_way_went_in_too():
    lot = soap()
    with make.refused("100 g were lost on the way", "90 g cannot"):
        make.batch(
            uses=[(lot, "1000")],
            makes="soap",
            amount="990",
            losses=[NewLoss("spill", D(100))],
        )


def test_water_from_the_tap_went_in():
    tap = add_item(name="tap water", category="water", on_tap=True, tap_price=D(1))
    lot = run_batch(
        stage="dilution",
        uses=[Use(D(400), soap()), Use(D(600), item=tap)],
        output=Output(D(1000), make.item("soap", kind="made")),
        **act(),
    )
    assert outturn(lot.batch).balance.difference == 0


class TestWhatIsMendedLater:
    def test_a_use_put_right_is_judged_likewise(self):
        lot = thin("1000", "1000")
        use = lot.batch.movements.get(kind="used")
        with make.refused("Was water forgotten"):
            correct_movement(movement=use, amount=D(900), **act(3, reason="ink"))
        correct_movement(movement=use, amount=D(996), **act(3, reason="ink"))

    def test_what_came_out_put_right_is_judged_likewise(self):
        lot = thin("1000", "1000")
        made = lot.batch.movements.get(kind="made")
        with make.refused("Was water forgotten"):
            correct_movement(
                movement=made, amount=D(10000), **act(3, reason="a nought too many")
            )

    def test_a_use_is_not_taken_back_from_under_what_came_of_it(self):
        water = make.lot(item=make.item("water", category="water"), grams="900")
        oil = make.lot(item=make.item("rapeseed oil", category="oil"), grams="900")
        lot = make.batch(
            "preparation", uses=[(oil, "500"), (water, "500")], makes="x", amount="990"
        )
        use = lot.batch.movements.filter(kind="used").first()
        with make.refused("Was water forgotten"):
            reverse_movement(movement=use, **act(3, reason="not that one"))


class TestAPastThatIsTakenOver:
    def test_it_comes_in_as_it_was_and_the_audit_names_it(self):
        thin("1000", "1000")
        events = history_events()
        for event in events:
            if event["type"] == "batch":
                event["makes"]["amount"] = "1200"
                event["makes"]["lot"], event["code"] = "OLD-1", "OLD-B"
        new = [event for event in events if event["type"] in ("opening", "purchase")]
        for event in new:
            for line in event.get("lines", ()):
                line["lot"] = f"OLD-{line['lot']}"
            event["number"] = "OLD-9"
        for event in events:
            for use in event.get("uses", ()):
                use["lot"] = f"OLD-{use['lot']}"
        wanted = [e for e in events if e["type"] in ("purchase", "batch")]
        import_history(text=write("USD", wanted))
        [mass] = [f for f in audit() if f.law == "Mass is accounted for"]
        assert not mass.faults
        assert mass.apart == [
            "OLD-B: 200 g came out of nothing, in a past that was taken over"
        ]


def test_the_page_asks_and_shows_the_way_to_the_water(desk):
    batch = start_batch(stage="dilution", **act())
    use_lots(batch=batch, uses=[Use(D(1), soap())], **act())
    sent = {"key": "k", "on": "2026-03-02", "amount": "590"}
    sent["item"] = make.item("soap", kind="made").pk
    for name in ("losses", "work"):
        sent |= {f"{name}-TOTAL_FORMS": "0", f"{name}-INITIAL_FORMS": "0"}
    page = desk.post(f"/batches/{batch.code}/make/", sent).content.decode()
    assert "Was water forgotten" in page
    assert f'href="/batches/{batch.code}/use/"' in page
    assert not batch.movements.filter(kind="made").exists()
