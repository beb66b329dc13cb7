"""The page where a making is planned: refusals, from what is there, losses, links."""

import re
from decimal import Decimal as D
from html import unescape

import pytest
from django.urls import reverse

from production.recipes.actions.formulas import NewVersionLine
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.cards import add_vessel
from tests import make
from tests.production import tideline
from tests.production.tracing.forty_by_hand import COOK, FLAKES, PASTE, POT, TIMES

ASKED = ("plan", "plan-sheets", "plan-sheets-pdf")


@pytest.fixture
def shop(db):
    return tideline.workshop(bottles="200")


def asked(shop, **more):
    """Forty bottles, from a Monday on, unless told otherwise."""
    return {"version1": shop.filling.pk, "amount1": "40", "on": "2026-03-16"} | more


def ask(desk, shop, **more):
    return desk.get(reverse("plan"), asked(shop, **more))


def says(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def planned(answer):
    """Each stage of the plan by its kind; a refusal is shown in place of a plan."""
    plan = answer.context["planned"]
    assert plan, says(answer)
    return {row.plan.stage.stage: row.plan for row in plan.stages}


def bottles(answer):
    return planned(answer)["filling"].comes_out


# --- What cannot be planned, and why -------------------------------------------------
def soda():
    kind = make.item("sodium hydroxide", category="alkali", alkali="NaOH")
    make.lot("SODA-1", item=kind)


def circle():
    """A soap that is made of what is made of it."""
    for makes, of in (("first soap", "second soap"), ("second soap", "first soap")):
        make.item(of, kind="made")
        made = tideline.write(
            f"{makes}, mixed", "finishing", makes, {of: "1"}, loss="0"
        )
    return {"version1": made.pk, "amount1": "1 kg"}


REFUSED = {
    "no amount": ({"amount1": ""}, "Write how much is wanted, or tell below what"),
    "nothing": ({"amount1": "0"}, "0 is nothing: write an amount above zero"),
    "half a bottle": ({"amount1": "0.5"}, "0.5 is not a whole number of pieces"),
    "unknown lot": ({"alkali_lot": "NOBODYS"}, "NOBODYS"),
    "soda for potash": ({"alkali_lot": "SODA-1"}, "sodium hydroxide, not KOH"),
    "unknown purity": ({"alkali_lot": "KOH-0"}, "The purity of KOH-0 is not in the"),
    "unknown content": ({"paste": "PASTE-0"}, "The soap content of PASTE-0 is not"),
    "none of it": ({"amount1": "", "oils": "5 g"}, "does not make one piece"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_planned_says_what_to_do(desk, shop, case):
    soda()
    tideline.potash("KOH-0", purity=None)
    make.lot("PASTE-0", item=make.item("Tideline paste"))
    wrong, sentence = REFUSED[case]
    before = make.book()
    # Two tubs stand there: which of them is always said.
    answer = ask(desk, shop, **{"alkali_lot": "KOH-1", **wrong})
    assert answer.status_code == 200
    assert answer.context["planned"] is None
    assert sentence in says(answer)
    # What was typed is kept.
    for name, value in wrong.items():
        assert answer.context["form"][name].value() == value
    assert make.book() == before


def test_a_loss_of_everything_is_refused_at_its_field(desk, shop):
    name = f"loss{shop.dilution.pk}"
    answer = ask(desk, shop, **{name: "100 %"})
    assert answer.context["planned"] is None
    assert answer.context["form"].errors
    assert answer.context["form"][name].value() == "100 %"


def test_recipes_that_go_in_a_circle_are_named(desk, shop):
    answer = desk.get(reverse("plan"), circle())
    assert answer.context["planned"] is None
    assert "first soap, mixed" in says(answer)
    assert "circle" in says(answer)


def test_without_any_tub_it_asks_for_one(desk, db):
    version = make.version(
        superfat=D("0.02"),
        water_per_alkali=D("2.2"),
        loss=D(0),
        lines=[NewVersionLine(tideline.oils()["Babassu oil"], share=D(1))],
    )
    answer = desk.get(reverse("plan"), {"version1": version.pk, "amount1": "1 kg"})
    assert "Type the code of the KOH lot" in says(answer)


# --- The kettle ----------------------------------------------------------------------
def a_cook(shop, code="PASTE-1", grams="1650"):
    """A batch of the recipe in the book, so that the next is no first cook."""
    oil = make.lot(grams="1000", item=make.item("Babassu oil"))
    return make.batch(
        "cook",
        version=shop.cook,
        uses=[(oil, "1000"), (shop.potash, "220"), (tap(), "490")],
        makes="Tideline paste",
        amount=grams,
        code=code,
        status="",
        lost_as="steam",
    )


def tap():
    return make.lot(grams="100000", item=make.item("water from afar", category="water"))


@pytest.mark.parametrize(("times", "known"), [(3, False), (2, True)])
def test_a_kettle_too_small_says_so_with_the_figures(desk, shop, times, known):
    """Lauric and myristic acid are a seventh of these oils: 22 % of babassu, of which
    44.5 and 16.5 % (Codex CXS 210-1999, Table 1, its middle): no rich blend, and the
    8 % of oleic acid, whose composition no table says, could not make it one."""
    if known:
        a_cook(shop)
    small = add_vessel(name="Pot, 6 L", volume=D(6000))
    answer = ask(desk, shop, vessel=small.pk)
    oils = 6000 / times / POT * 1000
    [said] = answer.context["planned"].remarks
    assert said.startswith(f"{float(TIMES * 1000):.3f} g of oils are too much")
    assert f"should hold {times} times the batch: 6 L take {6000 // times} g" in said
    assert f"of which {float(oils):.3f}".rstrip("0") in said
    assert said in says(answer)
    sheets = desk.get(reverse("plan-sheets"), asked(shop, vessel=small.pk))
    # Read before anything is weighed, and on the cook's sheet alone.
    text = says(sheets)
    assert text.count(said) == 1
    cook = text.index("Cook: Tideline paste")
    assert cook < text.index(said) < text.index("Lye jug, weighed apart")


def test_a_blend_rich_in_lauric_acid_needs_more_room(desk, shop):
    """Babassu alone: 61 % lauric and myristic acid, from the same table."""
    rich = tideline.write(
        "Foam, cook",
        "cook",
        "Foam paste",
        {"Babassu oil": "1"},
        superfat="0.02",
        water_per_alkali="2.2",
        loss="0.03",
    )
    shop.cook = rich
    make.item("Foam paste")
    a_cook(shop)
    pot = add_vessel(name="Pot, 6 L", volume=D(6000))
    query = {"version1": rich.pk, "amount1": "2.5 kg", "vessel": pot.pk}
    [said] = desk.get(reverse("plan"), query).context["planned"].remarks
    assert "With much lauric and myristic acid, which foams" in said


# --- From what is there --------------------------------------------------------------
def test_as_much_as_the_tub_gives(desk, shop):
    """5,000 g of flakes: 10.233 g of them are in a bottle."""
    each = TIMES * FLAKES / 40
    answer = ask(desk, shop, amount1="", tub="on")
    assert bottles(answer) == 5000 // each
    assert "potassium hydroxide runs out first" in says(answer)


@pytest.mark.parametrize(("less", "made"), [(0, 40), (1, 39)])
def test_as_much_as_oil_or_paste_gives(desk, shop, less, made):
    oils = f"{float(TIMES * 1000) + 0.001 - less:.3f} g"
    paste = f"{float(PASTE) + 0.001 - less:.3f} g"
    assert bottles(ask(desk, shop, amount1="", oils=oils)) == made
    assert bottles(ask(desk, shop, amount1="", paste_left=paste)) == made


@pytest.mark.parametrize(("first", "batch"), [("", 12000), ("on", 8000)])
def test_as_much_as_the_kettle_takes(desk, shop, first, batch):
    """Half of its 24 L at 1.0 g/mL, a third on a first cook; the batch boils down."""
    a_cook(shop)
    losses = {f"loss{shop.cook.pk}": "3.1 %"}
    answer = ask(
        desk, shop, amount1="", vessel=shop.kettle.pk, first_cook=first, **losses
    )
    assert bottles(answer) == batch // (COOK / 40)
    assert not answer.context["planned"].remarks


def ready_paste(grams="1000"):
    """A little thinner than what the cook gives."""
    return make.lot(
        "PASTE-0",
        grams=grams,
        item=make.item("Tideline paste"),
        readings=(
            Reading("soap content", D("0.60"), "measured"),
            make.check(),
        ),
    )


def test_paste_that_stands_ready_is_used_first(desk, shop):
    ready_paste()
    answer = ask(desk, shop, ready="on")
    plan = planned(answer)
    # 600 g of soap stand ready in it, so 600 g less are cooked.
    soap = D("9184.695") * D("0.216")
    cooked = D(float(PASTE)) - 600 * D(float(PASTE)) / soap
    assert abs(plan["cook"].comes_out - cooked) < D("0.001")
    assert "PASTE-0 1 000 g the stage before" in says(answer)
    # Without the word it stays where it is.
    assert "PASTE-0 1 000 g" not in says(ask(desk, shop))


def test_where_all_the_paste_stands_ready_nothing_is_cooked(desk, shop):
    """Of 60 % soap: 9,184.695 x 21.6 / 60 = 3,306.490 g of it."""
    ready_paste("5000")
    answer = ask(desk, shop, ready="on", paste="PASTE-0")
    plan = planned(answer)
    assert "cook" not in plan
    thin = plan["dilution"]
    assert thin.goes_in[0].to_weigh == D("3306.490")
    [link] = [link for row, link in answer.context["stages"] if row.plan is thin]
    page = desk.get(link)
    paste = page.context["plan"].rows[0]
    assert (paste["lot"], paste["exact"]) == ("PASTE-0", D("3306.490"))


def test_two_sizes_from_one_finished_soap(desk, shop):
    large = tideline.filling("Tideline 490 g", "490")
    answer = ask(desk, shop, version2=large.pk, amount2="10")
    plan = answer.context["planned"]
    stages = [row.plan.stage.stage for row in plan.stages]
    assert sorted(stages) == sorted(
        ["preparation", "cook", "dilution", "finishing", "filling", "filling"]
    )
    # 40 x 245 + 10 x 490
    assert planned(answer)["finishing"].comes_out == 14700
    head = says(answer).split("To buy first")[0].split("Print the batch sheets")[0]
    assert "Tideline 245 g 40 pcs" in head
    assert "Tideline 490 g 10 pcs" in head


# --- Losses --------------------------------------------------------------------------
def test_losses_come_from_experience_and_can_be_changed(desk, shop):
    soap = make.proven("DIL-1", grams="3000", item=make.item("Tideline, diluted"))
    make.batch(
        "finishing",
        version=shop.finishing,
        uses=[(soap, "1000")],
        makes="Tideline, finished",
        amount="980",
        status="",
        lost_as="left on the walls",
    )
    name = f"loss{shop.finishing.pk}"
    first = ask(desk, shop)
    assert first.context["form"][name].value() == "2 %"
    assert planned(first)["finishing"].together == D(9800) / D("0.98")
    assert "loss 2 % , the last batch" in says(first)
    changed = ask(desk, shop, **{name: "1.5 %"})
    assert changed.context["form"][name].value() == "1.5 %"
    assert abs(planned(changed)["finishing"].together - D(9800) / D("0.985")) < 1e-9
    assert "loss 1.5 % , as typed" in says(changed)


def test_an_unknown_loss_is_asked_for_and_never_taken_as_nothing(desk, shop):
    bare = tideline.write("Bare", "finishing", "Bare soap", {"Glycerin": "0.5"})
    answer = desk.get(reverse("plan"), {"version1": bare.pk, "amount1": "1 kg"})
    assert answer.context["planned"] is None
    assert "Write the loss to expect" in says(answer)
    name = f"loss{bare.pk}"
    told = {"version1": bare.pk, "amount1": "990 g", name: "1 %"}
    assert planned(desk.get(reverse("plan"), told))["finishing"].together == 1000


# --- A question, and where it leads --------------------------------------------------
@pytest.mark.parametrize("lots", [2, 25])
def test_it_asks_the_same_however_many_lots_there_are(
    desk, shop, lots, django_assert_max_num_queries
):
    """The first page of a process may ask for one thing more that is then kept."""
    for number in range(lots):
        make.lot(f"GLY-A{number}", grams="20", item=make.item("Glycerin"))
    query = asked(shop, vessel=shop.kettle.pk)
    for name, most in (("plan", 23), ("plan-sheets", 30)):
        with django_assert_max_num_queries(most):
            desk.get(reverse(name), query)


@pytest.mark.parametrize("name", ASKED)
def test_it_is_asked_by_get_and_writes_nothing(desk, shop, name):
    before = make.book()
    assert desk.get(reverse(name), asked(shop)).status_code == 200
    assert desk.head(reverse(name), asked(shop)).status_code == 200
    assert desk.post(reverse(name), asked(shop)).status_code == 405
    assert make.book() == before


def test_the_sheets_are_one_link_away_and_back(desk, shop):
    answer = ask(desk, shop, at="09:00")
    html = unescape(answer.content.decode())
    for name in ("plan-sheets", "plan-sheets-pdf"):
        [link] = re.findall(f'href="({reverse(name)}[?][^"]*)"', html)
        assert desk.get(link).status_code == 200
    # Where nothing can be planned there is no sheet, and the plan says why.
    for name in ("plan-sheets", "plan-sheets-pdf"):
        back = desk.get(reverse(name), asked(shop, amount1="0.5"))
        assert back.status_code == 302
        assert "not a whole number of pieces" in says(desk.get(back.url))


def test_each_stage_opens_where_it_is_written_up_in_the_order_of_its_sheet(desk, shop):
    """Paste, diluted and finished soap do not exist yet: their rows wait for a code."""
    answer = ask(desk, shop, at="09:00", vessel=shop.kettle.pk)
    sheets = desk.get(reverse("plan-sheets"), asked(shop)).context["sheets"]
    stages = answer.context["stages"]
    assert len(stages) == len(sheets) == 5
    for (row, link), sheet in zip(stages, sheets, strict=True):
        page = desk.get(link)
        assert page.status_code == 200
        assert not page.context["plan_form"].errors
        rows = page.context["plan"].rows
        if row.plan.stage.stage == "dilution":
            paste = page.context["plan_form"]["amount"].value()
            assert D(paste) == row.taken[0].need.amount
            continue
        on_sheet = [
            (one.line.item, one.line.target)
            for part in sheet.parts
            for one in part.rows
        ]
        written = [(one["item"].name, one["exact"]) for one in rows]
        assert [name for name, _ in written] == [name for name, _ in on_sheet], sheet
        for (name, mine), (_, theirs) in zip(written, on_sheet, strict=True):
            assert abs(mine - theirs) <= D("0.002"), (sheet.stage, name)
        expected = page.context["plan"].expected
        assert abs(expected - row.plan.comes_out) < D("0.002")
        assert page.context["sheet"]


def test_the_sheet_of_one_batch_weighs_brine_last_as_well(desk, shop):
    """It is no soap: what is made here is weighed first only where soap is made."""
    query = {"version": shop.finishing.pk, "amount": "9849.246"}
    [sheet] = desk.get(reverse("run-sheet", args=["finishing"]), query).context[
        "sheets"
    ]
    [part] = sheet.parts
    names = [row.line.item for row in part.rows]
    assert names[0] == "Tideline, diluted"
    assert names[-1] == "Brine, 20 %"
