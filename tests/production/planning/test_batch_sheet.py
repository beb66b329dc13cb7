"""What stands on a batch sheet: order, running totals, units, checks, the page."""

from dataclasses import replace
from datetime import date, time
from decimal import Decimal

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.titration import DROP_TEST
from production.planning.domain.batch_sheet import (
    BatchSheet,
    Check,
    running,
    weighing_order,
)
from production.planning.domain.lines import SheetLine, Tare, in_units, shown
from production.quantities.domain.refusal import Refused
from production.recipes.domain.clock_steps import parse_steps
from production.record.domain.taste_tests import goes_by_tongue

D = Decimal


def line(item, grams, kind="material", **more):
    return SheetLine(item, more.pop("lot", ""), D(grams), kind=kind, **more)


# Tideline, the invented recipe of the demo, with the alkali typed before the water.
TIDELINE = (
    line("High-oleic safflower", "4200", "oil", lot="SAF-1", expires=date(2027, 8, 1)),
    line("Potassium hydroxide", "1329.2", "alkali", lot="KOH-1"),
    line("Babassu", "1320", "oil", lot="BAB-1"),
    line("Fragrance", "50", "fragrance", lot="FRA-1"),
    line("Oleic acid", "480", "oil", lot="OLE-1"),
    line("Distilled water", "2924.3", "water", lot="DW-1"),
)
KETTLE = Tare("Kettle", D("3180"))
HEAD = {
    "workshop": "Wrackline Soap Works",
    "version": "Tideline v3",
    "digest": "4f1c9a7b23de88aa01",
    "date": date(2026, 11, 25),
    "emergency": ("Poison centre 1-800-222-1222", "Ambulance 911"),
}
COOK = BatchSheet(
    **HEAD,
    stage="cook",
    makes="Tideline paste",
    batch_mark="PASTE-T1",
    start=time(9, 0),
    lines=tuple(one for one in TIDELINE if one.kind != "fragrance"),
    tare=KETTLE,
    steps=parse_steps("Melt at 70 °C\n0:25 Thick trace\n2:40 Drop test", time(9, 0)),
    checks=(
        Check("neutrality"),
        Check("free alkali", None, D("0.05"), "% KOH", "Titrate 10 g."),
    ),
    expected=D("9935.6"),
    loss_text="Expected to cook off: 317.9 g.",
    remarks=("The tub was opened on 2026-11-02.",),
)
FINISHING = BatchSheet(
    **HEAD,
    stage="finishing",
    makes="Tideline gel",
    batch_mark="TIDE-FIN-1",
    start=time(23, 0),
    lines=(
        line("Diluted soap", "14886", "soap", lot="TIDE-DIL-1"),
        line("Glycerin", "482", "additive", lot="GLY-1"),
        line("Fragrance", "193", "fragrance", lot="FRA-1", expires=date(2026, 11, 24)),
        line("Brine", "514", "additive", lot="BRINE-1", note="last, in portions"),
    ),
    tare=Tare("Dilution pot", D("2460")),
    steps=parse_steps("0:10 Glycerin\n2:10 Brine\n0:40 Stir", time(23, 0)),
    checks=(
        Check("thickness", D("2600"), D("3400"), "mPa·s", "20 °C"),
        Check("pH", D("9"), D("10.2")),
        Check("clarity", how="Jar against print"),
    ),
    expected=D("15985"),
)
FILLING = BatchSheet(
    **HEAD,
    stage="filling",
    makes="Tideline 8 fl oz",
    batch_mark="TIDE-8OZ-1",
    lines=(
        line("Tideline gel", "9824", "soap", lot="TIDE-FIN-1"),
        line("Bottle and cap", "40", "packaging", unit="piece", lot="BOT-1"),
    ),
    checks=(Check("contents", D("244.5"), D("247"), "g"),),
    expected=D(40),
    expected_unit="piece",
)


def items(stage, lines):
    return [one.item for one in weighing_order(stage, lines)]


def test_a_cook_weighs_oils_then_water_then_alkali_then_what_comes_late():
    assert items("cook", TIDELINE) == [
        "High-oleic safflower",
        "Babassu",
        "Oleic acid",
        "Distilled water",
        "Potassium hydroxide",
        "Fragrance",
    ]


def test_liquids_and_acids_of_the_lye_go_into_the_water_before_the_alkali():
    lye = (
        line("KOH", "100", "alkali"),
        line("Sugar", "5", "additive", goes_in="lye"),
        line("Citric acid", "10", "acid"),
        line("Late acid", "3", "acid", goes_in="late"),
        line("Late oil", "30", "oil", goes_in="late"),
        line("Water", "220", "water"),
        line("Salt", "2", "additive"),
    )
    assert items("cook", lye) == [
        "Salt",
        "Water",
        "Citric acid",
        "Sugar",
        "KOH",
        "Late acid",
        "Late oil",
    ]


def test_other_stages_begin_with_the_soap_and_keep_the_recipes_order():
    lines = (
        line("Glycerin", "9", "additive"),
        line("Water", "5", "water"),
        line("Soap", "90", "soap"),
        line("Fragrance", "1", "fragrance"),
    )
    order = ["Soap", "Glycerin", "Water", "Fragrance"]
    assert items("finishing", lines) == items("rework", lines) == order


@pytest.mark.parametrize("stage", ["preparation", "rework"])
def test_lye_that_is_mixed_outside_a_cook_is_water_first_in_a_jug_too(stage):
    lines = (
        line("Flakes", "60", "alkali"),
        line("Water", "150", "water"),
        line("Paste", "9000", "soap"),
    )
    rows = running(stage, lines, KETTLE)
    assert [(row.line.item, row.place) for row in rows] == [
        ("Paste", "kettle"),
        ("Water", "jug"),
        ("Flakes", "jug"),
    ]


def test_only_the_water_marked_for_the_lye_goes_into_the_jug():
    lines = (
        line("Flakes", "60", "alkali"),
        line("Rinsing water", "500", "water"),
        line("Water", "150", "water", goes_in="lye"),
    )
    places = [(row.line.item, row.place) for row in running("rework", lines, None)]
    assert places[0] == ("Rinsing water", "kettle")


def test_the_kettle_and_the_jug_are_summed_apart():
    rows = running("cook", TIDELINE, KETTLE)
    assert [(row.place, row.total, row.shows) for row in rows] == [
        ("kettle", D("4200"), D("7380")),
        ("kettle", D("5520"), D("8700")),
        ("kettle", D("6000"), D("9180")),
        ("jug", D("2924.3"), None),
        ("jug", D("4253.5"), None),
        ("late", D("50"), None),
    ]


def test_a_jug_of_known_weight_shows_on_the_balance():
    rows = running("cook", TIDELINE, None, Tare("Jug", D("212.5")))
    assert [row.shows for row in rows] == [None] * 3 + [
        D("3136.8"),
        D("4466.0"),
        None,
    ]


def test_pieces_and_fillings_have_no_running_total():
    assert {row.total for row in running("filling", FILLING.lines, None)} == {None}


amounts = st.decimals("0.001", "99999", places=3)


@given(st.lists(amounts, min_size=1, max_size=9), amounts)
def test_running_totals_are_sums_of_the_exact_values(grams, tare):
    lines = [SheetLine("x", "", one) for one in grams]
    rows = running("dilution", lines, Tare("Pot", tare))
    for n, row in enumerate(rows, 1):
        assert row.total == sum(grams[:n])
        assert row.shows == tare + sum(grams[:n])


def test_what_is_shown_is_rounded_from_the_exact_sum_and_not_from_what_was_shown():
    lines = tuple(line("x", "100.04") for _ in range(5))
    (part,) = replace(FINISHING, lines=lines).parts
    assert [row.target.text for row in part.rows] == ["100.0"] * 5
    assert part.rows[-1].total.text == "500.2"
    assert part.rows[-1].total.exact == D("500.20")


@pytest.mark.parametrize(
    ("grams", "text"),
    [
        ("14886", "14,886.0"),
        ("1329.25", "1,329.3"),
        ("100", "100.0"),
        ("99.996", "100.0"),
        ("99.994", "99.99"),
        ("5.125", "5.13"),
        ("0.996", "1.00"),
        ("0.25", "0.250"),
        ("0.001", "0.001"),
    ],
)
def test_grams_show_as_fine_as_the_balance_and_never_as_nothing(grams, text):
    assert in_units(D(grams), "metric").text == text


@pytest.mark.parametrize(
    ("grams", "beside"),
    [
        # Exact pound and ounce: international agreement of 1959.
        ("453.59237", "1 lb 0.00 oz"),
        ("1000", "2 lb 3.27 oz"),
        ("453.59", "1 lb 0.00 oz"),
        ("453.4", "15.99 oz"),
        ("28.349523125", "1 oz"),
        ("5", "0.176 oz"),
        ("0.001", ""),
    ],
)
def test_a_us_workshop_reads_pounds_and_ounces_beside_the_grams(grams, beside):
    figure = in_units(D(grams), "us")
    assert (figure.beside, figure.exact) == (beside, D(grams))
    assert in_units(D(grams), "metric").beside == ""


def test_pieces_are_counted_in_any_units():
    assert shown(D("40.000"), "piece", "us").text == "40"
    assert [shown(D(n), "piece", "us").unit for n in (1, 2)] == ["pc", "pcs"]


def test_an_amount_of_nothing_is_refused():
    with pytest.raises(Refused, match="Salt has no amount"):
        line("Salt", "0")


@pytest.mark.parametrize(
    ("low", "high", "unit", "says"),
    [
        ("9", "10.20", "", "9 to 10.2"),
        (None, "0.05", "% KOH", "at most 0.05 % KOH"),
        ("0", None, "g", "at least 0 g"),
        ("7", "7", "", "7"),
        (None, None, "", "pass or not"),
    ],
)
def test_limits_in_words(low, high, unit, says):
    limits = [None if edge is None else D(edge) for edge in (low, high)]
    assert Check("x", *limits, unit).limits == says


def test_a_neutrality_check_tells_the_drop_test_and_has_a_blank_for_each_spot():
    check = Check("neutrality", how="Use the spot plate.")
    assert check.told == ("Use the spot plate.", *DROP_TEST[1:])
    assert Check("neutrality", how=DROP_TEST).told == DROP_TEST[1:]
    assert check.alcohol == DROP_TEST[0]
    assert "burns" in check.alcohol
    assert {"bottom", "next day", "diluted"} <= set(check.blanks)
    assert Check("pH").blanks == ("result",)
    assert [Check(what).title for what in ("pH", "free alkali")] == [
        "pH",
        "Free alkali",
    ]


@pytest.mark.parametrize("sheet", [COOK, FINISHING, FILLING])
def test_every_figure_is_on_the_page_in_the_order_of_the_work(sheet):
    html = page(sheet)
    at = 0
    for part in sheet.parts:
        for row in part.rows:
            at = html.index(row.line.item, at)
            assert html.index(row.target.text, at) < html.index("</tr>", at)
            if row.total:
                assert html.index(row.total.text, at) < html.index("</tr>", at)
    for check in sheet.checks:
        assert check.limits in html
    assert sheet.made.text in html
    assert sheet.version in html


def page(*sheets):
    return render_to_string(
        "production/planning/batch_sheet.html", {"sheets": sheets, "pdf": "/sheet.pdf"}
    )


def test_the_page_has_no_blanks_and_links_to_the_print():
    html = page(COOK, FINISHING)
    assert "Initials" not in html
    assert 'href="/sheet.pdf"' in html
    assert html.count("<caption") == html.count("<table")
    assert html.count("<th ") == html.count("<th scope=")
    assert "style=" not in html


def test_lye_is_cautioned_about_right_above_its_table():
    html = page(COOK)
    warned, jug = html.index("Danger: lye"), html.index("Lye jug")
    assert html.index("Oleic acid") < warned < jug
    assert warned < html.index("Water first, at once") < jug
    assert html.index("Ambulance 911") < jug
    assert html.index("Hot paste sticks") < html.index("Thick trace")
    assert html.index(DROP_TEST[0]) < html.index("Neutrality")


def test_soap_that_still_holds_lye_is_cautioned_about_before_anything_else():
    html = page(replace(FINISHING, still_caustic=True))
    assert html.index("still holds lye") < html.index("Diluted soap")
    assert "treat the soap as lye" in html
    assert "still holds lye" not in page(FINISHING)


def test_cautions_of_the_caller_come_before_the_weighing():
    html = page(replace(FILLING, cautions=("Fan on & door open",)))
    assert html.index("Fan on &amp; door open") < html.index("Tideline gel")


def test_a_lot_past_its_day_and_a_time_that_runs_backwards_are_marked():
    html = page(FINISHING)
    assert "EXPIRED 2026-11-24" in html
    assert "next day" in html
    assert "Earlier than the step above it" in html
    assert "EXPIRED" not in page(COOK)


def test_without_emergency_numbers_the_local_one_is_asked_for():
    assert "Call your local emergency number" in page(replace(COOK, emergency=()))


@pytest.mark.parametrize("sheet", [COOK, FINISHING, FILLING])
def test_no_sheet_asks_for_a_test_by_mouth(sheet):
    said = page(sheet).replace(DROP_TEST[-1], "")
    assert not goes_by_tongue(said)
