"""How many entries a person makes: what stands in a field already is not one.

Counted in a browser's own terms: from the page as it opens to the post that is taken,
every field whose value had to be typed, chosen or ticked.
"""

from decimal import Decimal
from urllib.parse import urlencode

from django.urls import reverse

from production.models import Batch, Item, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine, write_version
from tests import make
from tests.make import act
from tests.production import craft_morning as bench
from tests.production.writing import typed

COOK_MOST = 14
DAY_MOST = 20


class Hand:
    """Types into the pages and counts what it typed; weights are told apart."""

    def __init__(self, desk):
        self.desk, self.entries, self.weights = desk, [], []

    def ask(self, url, **asked):
        """Fill in the upper sheet, which plans; its answer is the page to post from."""
        self.entries += [name for name in asked if name != "amount"]
        self.weights += [name for name in asked if name == "amount"]
        self.url = f"{url}?{urlencode(asked)}"
        return self.desk.get(self.url)

    def post(self, page, weights=(), **entries):
        sent = typed(page)
        for name, value in {**entries, **dict(weights)}.items():
            name = name.replace("__", "-")
            assert name in sent, (name, sorted(sent))
            assert sent[name] != value, f"{name} stood there already"
            sent[name] = value
        self.entries += list(entries)
        self.weights += list(dict(weights))
        answer = self.desk.post(self.url, sent)
        assert answer.status_code == 302, answer.content.decode()[-6000:]
        return answer


def oils():
    """Three oils with a published value each, as a recipe has them."""
    found = {}
    for key in ("safflower-seed-oil-high-oleic", "babassu-oil", "oleic-acid"):
        oil = ReferenceOil.objects.get(key=key)
        found[key] = make.item(key, category="oil", oil=oil)
        make.lot(key[:3].upper(), grams="20000", item=found[key])
    return list(found.values())


def test_a_cook_takes_at_most_fourteen_entries(desk):
    make.koh(code="KOH-1")
    make.item("tap water", category="water", on_tap=True)
    shares = zip(oils(), ("0.70", "0.22", "0.08"), strict=True)
    version = write_version(
        name="Tideline",
        stage="cook",
        makes=make.item("paste", kind="made"),
        lines=[NewVersionLine(oil, Decimal(share)) for oil, share in shares],
        superfat=Decimal("0.02"),
        water_per_alkali=Decimal("2.2"),
        **act(1),
    )
    hand = Hand(desk)
    url = reverse("batch-run", args=["cook"])
    page = hand.ask(url, version=version.pk, oils="6 kg", alkali_lot="KOH-1")
    alkali = next(row.prefix for row in page.context["form"].rows["uses"] if row.is_lye)
    read = {f"{alkali}-read": "potassium hydroxide, 90 %, lot KOH-1"}
    hand.post(
        page,
        weights=[(f"{alkali}-amount", "1329 g")],
        **read,
        on="2026-03-02",
        steps="9:40 thick trace\n12:20 clear",
        amount="9940 g",
        losses__0__amount="310 g",
        work__0__hours="3.5",
        work__0__rate="18",
    )
    assert len(hand.entries) <= COOK_MOST, hand.entries
    cooked = Batch.objects.get(stage="cook")
    assert cooked.movements.filter(kind="used").count() == 5


def test_from_dilution_to_bottles_takes_at_most_twenty_and_the_weights(desk):
    bench.set_out()
    hand = Hand(desk)
    page = hand.ask(reverse("day"), paste="PASTE-1", amount="3 kg")
    hand.post(
        page,
        weights=[
            ("water_amount", "5892 g"),
            ("lost", "12 g"),
            ("additions__0__amount", "285 g"),
            ("additions__1__amount", "95 g"),
            ("additions__2__amount", "288 g"),
            ("finished_amount", "9540 g"),
            ("sample", "8 g"),
        ],
        on="2026-03-03",
        check="passed",
        check_method="drop test",
        check_spots=["top", "wall"],
        fillings__0__pieces="38",
        minutes="95",
        rate="18",
        dilution_steps="8:40 paste in",
        finishing_steps="10:15 clear",
    )
    assert len(hand.entries) <= DAY_MOST, hand.entries
    assert Batch.objects.filter(stage="filling").count() == 1


def test_without_any_recipe_a_day_stays_within_the_same_budget(desk):
    bench.set_out()
    hand = Hand(desk)
    page = hand.ask(
        reverse("day"), paste="PASTE-1", amount="3 kg", dilution="", finishing=""
    )
    made = {item.name: item.pk for item in Item.objects.filter(kind="made")}
    grams = [("water_amount", "5892 g"), ("finished_amount", "9560 g")]
    grams += [
        (f"additions__{n}__amount", g) for n, g in enumerate(("288", "95", "285"))
    ]
    hand.post(
        page,
        weights=[*grams, ("fillings__0__net_mass", "245 g")],
        on="2026-03-03",
        diluted_item=str(made["diluted"]),
        finished_item=str(made["finished"]),
        check="passed",
        check_method="drop test",
        check_spots=["top", "wall"],
        fillings__0__what=f"i{made['hand wash']}",
        fillings__0__pieces="38",
        fillings__0__container="BOT-1",
        fillings__0__label="LAB-1",
        minutes="95",
        rate="18",
    )
    assert len(hand.entries) <= DAY_MOST, hand.entries
