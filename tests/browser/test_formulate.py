"""Two formulas on paper: written, worked out, planned back from bottles, laid beside
each other. Figures are those of the invented workshop, made by hand beforehand."""

from datetime import timedelta
from decimal import Decimal

from playwright.sync_api import expect

from production.models import Formula, Version
from production.record.reads.clock import today
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.wrackline import item_cards

# What stands on the shelf: its lot, and grams or pieces of it.
SHELF = {
    "High-oleic safflower oil": ("SAF-1", "15875"),
    "Babassu oil": ("BAB-1", "15875"),
    "Oleic acid": ("OLE-1", "3376"),
    "Canola oil": ("CAN-1", "15875"),
    "Palm kernel oil": ("PKO-1", "22679"),
    "Castor oil": ("CAS-1", "3628"),
    "Glycerin": ("GLY-1", "5000"),
    "Salt": ("SALT-1", "5000"),
    "Salt Marsh fragrance": ("FRA-1", "60"),
    "8 fl oz bottle and cap": ("BOT-1", "24"),
    "Label": ("LAB-1", "300"),
}
BOTTLE = "Tideline 8 fl oz"


def shelf():
    set_up_workshop(name="Harbour Soap", emergency="Ambulance: 911")
    item_cards()
    make.koh("0.899", carbonate="0.004", code="KOH-1", grams="22679")
    for name, (code, grams) in SHELF.items():
        make.lot(code, grams=grams, item=make.item(name))


def write_anew(walk, stage):
    walk.open("/recipes/")
    walk.follow("Write a recipe")
    walk.follow(stage)


def comes_to(walk, *words):
    """What is typed, worked out: by itself where scripts run, else by its button."""
    if not walk.scripts:
        walk.send("Work it out")
        return walk.sees(*words)
    walk.page.locator("main h1").click()
    for word in words:
        expect(walk.page.locator("#worked")).to_contain_text(word)
    return walk.look()


def kept(walk, **typed):
    for name, value in typed.items():
        field = walk.page.locator(f'main [name="{name.replace("__", "-")}"]')
        assert field.input_value() == value, name


def slip(walk, words, *, right, **typed):
    """Something is typed wrong: she reads what to change, and nothing is lost."""
    walk.fill(**typed)
    comes_to(walk, words)
    walk.send("Write the recipe")
    walk.sees(words)
    kept(walk, name="Tideline, cook", water_per_alkali="2.2", **typed)
    assert not Formula.objects.exists()
    walk.fill(**dict.fromkeys(typed, right))


def write_tideline(walk):
    write_anew(walk, "Cook")
    walk.sees("in percent of all oils, or by weight")
    walk.fill(name="Tideline, cook", makes="Tideline paste")
    walk.fill(superfat="2", water_per_alkali="2.2", loss="3.1")
    walk.fill(lines__0__item="High-oleic safflower", lines__0__share="70")
    walk.fill(lines__1__item="Babassu", lines__1__share="22")
    walk.fill(lines__2__item="Oleic acid")
    walk.fill(oils="6000", release="check", rest_days="1", shelf_days="730")
    slip(walk, "10 % more than the whole", lines__2__share="18", right="")
    slip(walk, "declare the lye excess", superfat="-2", right="2")
    slip(walk, "Is 0.899 % meant, or 89.9 %?", koh_purity="0.899", right="")
    comes_to(
        walk,
        "1\u202f329",
        "2\u202f924",
        "8 %",
        "64",
        "0.3 % to 4.5 %",
        "the test decides",
    )
    walk.press("Write the recipe")
    walk.sees("Tideline, cook", "70 %", "22 %", "8 %", "the test decides")


def write_slipway(walk):
    write_anew(walk, "Cook")
    walk.fill(name="Slipway, cook", makes="Slipway paste")
    walk.fill(superfat="2", water_per_alkali="2.2", loss="3.1")
    for row, (oil, grams) in enumerate(
        {"Canola": "1,800", "Palm kernel": "1.6 kg", "Castor": "600 g"}.items()
    ):
        walk.set(f"lines-{row}-item", oil)
        walk.set(f"lines-{row}-weight", grams)
    comes_to(walk, "1,800 can be read in two ways. Write 1800 or 1.8.")
    walk.fill(lines__0__weight="1800")
    walk.fill(release="check", rest_days="1")
    comes_to(walk, "4\u202f000 g", "910", "2\u202f002", "45 %", "It may be lye-heavy")
    walk.press("Write the recipe")
    walk.sees("45 %", "40 %", "15 %")


def write_the_stages_after(walk):
    """Brine, dilution, finishing and filling of Tideline."""
    write_anew(walk, "Preparation")
    walk.fill(name="Brine, 20 %", makes="Brine, 20 %", release="making")
    walk.fill(lines__0__item="Salt", lines__0__share="20")
    comes_to(walk, "Filtered tap water", "80 %", "800 g")
    walk.press("Write the recipe")
    write_anew(walk, "Dilution")
    walk.fill(name="Tideline, dilution", makes="Tideline, diluted", target_soap="21.6")
    walk.fill(lines__0__item="Tideline paste", lines__0__share="33.6", loss="0.7 %")
    walk.press("Write the recipe")
    write_anew(walk, "Finishing")
    walk.fill(name="Tideline, finishing", makes="Tideline, finished", loss="0.5 %")
    walk.fill(lines__0__item="Tideline, diluted", lines__0__share="92.6")
    walk.fill(lines__1__item="Glycerin", lines__1__share="3")
    walk.fill(lines__2__item="Salt Marsh fragrance", lines__2__share="1.2")
    walk.fill(lines__3__item="Brine, 20 %", lines__3__share="3.2")
    walk.press("Write the recipe")
    write_anew(walk, "Filling")
    walk.fill(name=f"{BOTTLE}, filling", makes=BOTTLE, rest_days="10")
    walk.fill(lines__0__item="Tideline, finished", lines__0__each="245")
    walk.fill(lines__1__item="8 fl oz bottle and cap", lines__1__each="1")
    walk.fill(lines__2__item="Label", lines__2__each="1")
    comes_to(walk, "24\u202f500 g")
    walk.press("Write the recipe")
    walk.sees("245 g", "10 days of rest")


def plan_forty_bottles(walk):
    on = today() + timedelta(days=1)
    walk.open("/recipes/")
    walk.follow("Plan a making")
    walk.ask(version1=BOTTLE, amount1="40", on=str(on), at="09:00")
    walk.send("Work it out")
    walk.sees("Write the loss to expect of", f"{BOTTLE}, filling", "Brine, 20 %")
    walk.page.get_by_label("filling: loss").fill("0.3 %")
    walk.page.get_by_label("Brine, 20 %: loss").fill("0")
    walk.press("Work it out")
    # A night for the paste and ten days for the bottles.
    walk.sees("40 pcs", "Oils", str(on + timedelta(days=11)), "To buy first")
    walk.sees("Salt Marsh fragrance", "16 pcs", "KOH-1", "SAF-1", "the stage before")
    paper = walk.page.get_by_role("link", name="Print the batch sheets")
    answer = walk.page.request.get(walk.base + paper.get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF")
    walk.follow("Look at them here")
    walk.sees("09:00", "KOH-1", "Babassu oil", "8 fl oz bottle and cap")


def exchange_an_oil(walk):
    written = Version.objects.get(formula__name="Tideline, cook")
    walk.open(written.get_absolute_url())
    walk.follow("Exchange an oil")
    walk.ask(out="Babassu", into="Palm kernel")
    walk.press("Work it out")
    walk.sees("Babassu oil", "Palm kernel oil", "22 %")
    walk.follow("Write it as the next version")
    comes_to(walk, "Palm kernel oil", "the test decides")
    walk.press("Write the recipe")
    walk.sees("version 2", "Palm kernel oil")


def lay_side_by_side(walk):
    walk.follow("Beside another version")
    walk.ask(b="Tideline, cook v1")
    walk.press("Lay them side by side")
    walk.sees("Babassu oil", "Palm kernel oil", "What goes in")
    walk.follow("With what they cost")
    walk.sees("Babassu oil", "In all", "Difference")


def work_out_a_brine(walk):
    walk.open("/bench/")
    walk.ask(brine__strength="20", brine__total="514")
    walk.press("Work it out")
    walk.sees("102.8", "411.2")


def test_two_formulas_from_paper_to_batch_sheets(walk):
    shelf()
    write_tideline(walk)
    write_slipway(walk)
    write_the_stages_after(walk)
    plan_forty_bottles(walk)
    exchange_an_oil(walk)
    lay_side_by_side(walk)
    work_out_a_brine(walk)
    assert Version.objects.filter(formula__name="Tideline, cook").count() == 2
    tideline = Version.objects.get(formula__name="Tideline, cook", number=1)
    shares = [line.share for line in tideline.lines.order_by("position")]
    assert shares == [Decimal("0.70"), Decimal("0.22"), Decimal("0.08")]
