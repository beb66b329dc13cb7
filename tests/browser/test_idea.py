"""A newcomer costs a product that does not exist, with two variants, box by box."""

from costing.models import ProductIdea
from costing.reads.planned_bottle import planned_bottle
from tests import make

# What somebody who has the recipe in mind and the price lists at hand types in all: 29
# boxes for the product, 2 prices that nobody had, 4 and 6 for the variants. At four
# seconds a box (own guess) that is under three minutes.
ENTRIES = 41


class Typist:
    """Counts the boxes that are filled in."""

    def __init__(self, walk):
        self.walk, self.boxes = walk, 0

    def types(self, **boxes):
        self.boxes += len(boxes)
        self.walk.fill(**boxes)


def say_the_product(walk, hand):
    walk.open("/ideas/")
    walk.follow("Cost a product that does not exist")
    hand.types(name="Lavender hand wash", pieces="40", fill="245 g")
    hand.types(superfat="3", water_per_alkali="2", koh_purity="90", soap_content="25")
    hand.types(oils__0__what="Coconut oil", oils__0__share="70")
    hand.types(oils__0__quote="35 lb for 78.50")
    hand.types(oils__1__what="Palm kernel oil", oils__1__quote="4 kg for 31")
    hand.types(finishing__0__what="Glycerin", finishing__0__share="3")
    hand.types(finishing__0__quote="6.40 per kg")
    hand.types(finishing__1__what="Lavender oil", finishing__1__share="0.4 %")
    hand.types(finishing__1__quote="100 g for 19")
    hand.types(packaging__0__what="Bottle", packaging__0__quote="0.78 each")
    hand.types(packaging__1__what="Label", packaging__1__quote="300 for 55.20")
    hand.types(minutes_batch="90", minutes_piece="1.5", rate="18")
    hand.types(loss_cook="4", loss_dilution="1", loss_finishing="0.5 %")
    hand.types(loss_filling="2")
    walk.press("Work out what a bottle costs")
    walk.sees("Not known yet: Water, Potassium hydroxide have no price.")
    walk.sees("at least")


def write_the_quotes(walk, hand):
    """Of what goes in by itself: the two that the plan asks for."""
    for name, quote in {
        "Water": "1 kg for 0.002",
        "Potassium": "5 kg for 27.50",
    }.items():
        box = walk.page.get_by_label(f"Quote for {name}")
        hand.types(**{box.get_attribute("name"): quote})
    walk.press("Use these prices")
    walk.sees("One bottle", "What 10 % more on each line does to one bottle")
    walk.sees("One bottle, by the size of the batch")


def make_a_variant(walk, hand, name, **boxes):
    walk.follow("Copy it as a variant")
    hand.types(name=name)
    walk.press("Copy it")
    hand.types(**boxes)
    walk.press("Work it out again")


def test_a_newcomer_costs_a_product_with_two_variants(walk):
    make.owner()
    hand = Typist(walk)
    say_the_product(walk, hand)
    write_the_quotes(walk, hand)
    make_a_variant(
        walk,
        hand,
        "In glass",
        packaging__0__what="Glass bottle",
        packaging__0__quote="1.29 each",
        loss_filling="3",
    )
    make_a_variant(
        walk,
        hand,
        "Milder",
        superfat="6",
        soap_content="20",
        finishing__0__share="6",
        oils__0__share="60",
        oils__1__share="40",
    )
    walk.follow("Side by side with its variants")
    walk.sees("Lavender hand wash", "In glass", "Milder", "Glass bottle", "+0.51")
    assert hand.boxes == ENTRIES
    found = {row.name: planned_bottle(row) for row in ProductIdea.objects.all()}
    assert not any(one.missing for one in found.values())
    assert found["In glass"].unit_cost > found["Lavender hand wash"].unit_cost
