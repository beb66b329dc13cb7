"""What a label declares is compared with what is in the bottle."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.fill import Fill, judge, single_packs, target
from labels.domain.net_contents import FLUID_OUNCE, read_contents
from labels.models import LabelCard
from labels.reads.fill import fill_found, fill_reasons
from labels.reads.rules import rule_set
from production.models import Measurement
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make

US = rule_set("us")


def told(typed, grams, density=None, rules="us"):
    known = Fill(
        None if grams is None else Decimal(grams),
        None if density is None else Decimal(density),
    )
    return judge(rule_set(rules).contents(read_contents(typed)), known)


# 8 fl oz are 236.5882365 mL, at 1.0312 g/mL 243.9698 g: the worked case N24.
@pytest.mark.parametrize(
    ("grams", "short"), [("243.9697", True), ("243.9698", False), ("245", False)]
)
def test_an_average_below_what_is_declared_is_short_to_the_last_milligram(grams, short):
    found = told("8 fl oz", grams, "1.0312")
    assert bool(found.short) is short
    assert bool(found.holds) is not short
    if short:
        assert "Fill 243.97 g or more on average, or declare less." in found.short


def test_both_figures_count_the_larger_one_more():
    # N22: 236.5 mL are enough for 236 mL and not for 8 fl oz.
    assert told("8 fl oz", "236.5", "1").short
    assert not told("8 fl oz", "236.5", "1", "eu").short
    # N21: who prints 237 mL owes 237 mL.
    assert told("237 mL", "236.8", "1").short


def test_no_tolerance_of_a_single_pack_excuses_an_average():
    # Directive 76/211/EEC Annex I 1.1: 241 mL may be one pack, never the average.
    assert told("250 mL", "249.9", "1", "eu").short
    contents = rule_set("eu").contents(read_contents("250 mL"))
    assert single_packs(contents) == (
        "Single packs: few below 241 mL, none below 232 mL; the average may not be "
        "below 250 mL."
    )
    assert single_packs(rule_set("eu").contents(read_contents("3 mL"))) == ""


def test_a_weight_needs_no_density():
    # 24 oz are 680.388555 g.
    assert told("24 oz", "680.388").short
    assert told("24 oz", "680.389").holds


def test_what_is_unknown_is_asked_for_and_never_guessed():
    assert told("8 fl oz", None).asks
    assert told("8 fl oz", "245").asks
    assert not told("8 fl oz", "245").short


@pytest.mark.parametrize(
    ("binding", "density", "division", "grams"),
    # The division of the scale: net_contents worked case N24, derived.
    [pytest.param("236.5882365", "1.0312", "0.1", "244.0", id="N24")],
)
def test_the_target_is_rounded_up_to_the_scale(binding, density, division, grams):
    found = target(Decimal(binding), Decimal(density), Decimal(division))
    assert found == Decimal(grams)


@given(
    st.decimals("1", "2000", places=2),
    st.decimals("0.8", "1.3", places=4),
    st.decimals("-1", "1", places=3),
)
def test_short_is_short_whatever_the_figures(ounces, density, more):
    contents = US.contents(read_contents(f"{ounces} fl oz"))
    grams = (contents.binding * density + more).quantize(Decimal("0.001"))
    # The other way round: what is inside, in ounces, against the ounces printed.
    inside = grams / density / FLUID_OUNCE
    declared = contents.binding / FLUID_OUNCE
    if abs(inside - declared) > Decimal("0.000001"):
        assert bool(judge(contents, Fill(grams, density)).short) is (inside < declared)


@pytest.fixture
def filled(owner):
    """Bottles of 245 g, filled from a bulk lot of which no density is known."""
    bulk = make.batch(uses=[(make.lot("FAT-1"), "900")], makes="bulk", code="BULK-1")
    return make.batch(
        "filling",
        uses=[(bulk, "490"), (make.bottles(), "2")],
        makes="soap 8 oz",
        unit="piece",
        amount="2",
        net_mass="245",
        code="FILL-1",
    )


def of_lot(lot, declared="8 fl oz", rules=US):
    return fill_found(LabelCard(item=lot.item, declared=declared), lot, rules)


def read(density, **of):
    reading = Reading(Measurement.What.DENSITY, Decimal(density))
    note_measurement(readings=[reading], **of, **make.act(3))


def test_without_a_density_a_volume_is_not_compared_and_the_lot_to_measure_named(
    filled,
):
    found, asks = of_lot(filled)
    assert found == ()
    assert asks == (
        "Not compared with the fill: measure the density at 20 °C and note it as a "
        "reading of BULK-1.",
    )


@pytest.mark.parametrize(("density", "short"), [("1.0355", False), ("1.0356", True)])
def test_the_density_measured_of_the_bulk_decides(filled, density, short):
    # 245 g / 1.0356 are 236.577 mL, 8 fl oz 236.588.
    bulk = filled.batch.movements.get(kind="used", lot__item__unit="g").lot
    read(density, lot=bulk)
    found, asks = of_lot(filled)
    assert asks == ()
    assert [one.missing for one in found] == [short]
    assert "BULK-1" in found[0].says


def test_a_reading_put_down_later_counts_and_so_does_one_of_the_batch(filled):
    bulk = filled.batch.movements.get(kind="used", lot__item__unit="g").lot
    read("1.0356", batch=bulk.batch)
    card = LabelCard(item=filled.item, declared="8 fl oz")
    assert fill_reasons(card, filled, US)
    read("1.02", lot=bulk)
    assert fill_reasons(card, filled, US) == ()
    # The bottle itself comes first.
    read("1.04", lot=filled)
    assert fill_reasons(card, filled, US)


def test_the_card_of_the_bulk_is_asked_where_nobody_measured(filled):
    make.item("bulk", kind="made").__class__.objects.filter(name="bulk").update(
        density="1.05"
    )
    found, asks = of_lot(filled)
    assert asks == ()
    assert found[0].missing


def test_who_declared_too_much_declares_less_and_the_draft_goes(filled):
    filled.item.__class__.objects.filter(name="bulk").update(density="1.02")
    found, _ = of_lot(filled, "9 fl oz")
    assert found[0].missing
    found, _ = of_lot(filled, "8 fl oz")
    assert not found[0].missing
    assert found[0].says.startswith("One of FILL-1 holds 245 g")
    assert "9 fl oz" not in found[0].says


def test_a_lot_without_a_net_mass_or_in_grams_is_asked_about(filled, owner):
    filled.net_mass = None
    assert "how many grams one piece holds" in of_lot(filled)[1][0]
    jar = make.batch(uses=[(make.lot("FAT-2"), "900")], makes="jar of soap")
    assert "counted in grams" in of_lot(jar)[1][0]


def test_of_several_lots_in_one_bottle_the_densest_counts(owner):
    lots = [
        make.batch(
            uses=[(make.lot(f"FAT-{n}"), "900")], makes=f"bulk {n}", code=f"B-{n}"
        )
        for n in (1, 2)
    ]
    made = make.batch(
        "filling",
        uses=[*((one, "245") for one in lots), (make.bottles(), "2")],
        makes="soap 8 oz",
        unit="piece",
        amount="2",
        net_mass="245",
        code="FILL-2",
    )
    read("1.0356", lot=lots[0])
    assert "reading of B-2" in of_lot(made)[1][0]
    read("1.01", lot=lots[1])
    assert of_lot(made)[0][0].missing


def test_nothing_is_said_without_a_lot_or_contents(filled):
    assert fill_found(LabelCard(item=filled.item, declared="8 fl oz"), None, US) == (
        (),
        (),
    )
    assert of_lot(filled, "") == ((), ())
    assert of_lot(filled, "giant 8 fl oz") == ((), ())
