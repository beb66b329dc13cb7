"""Recipes and papers of a random workshop."""

from decimal import Decimal

from production.fragrance.actions import note_document
from production.models import Item
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.recipes.domain.limits import NewCheck

STAGES = ("cook", "preparation", "dilution", "finishing")


class Recipes:
    def write_recipe(self, dice):
        stage = dice.one(STAGES)
        makes = Item.objects.get(name="finished soap")
        release = ["check", "hand"] + ["making"] * (stage == "dilution")
        write_version(
            name=f"our {stage}",
            stage=stage,
            makes=makes,
            lines=self.recipe_lines(dice, stage),
            checks=self.checks(dice),
            release=dice.one(release),
            band=Decimal(dice.one((5, 50, 200))) / 1000,
            rest_days=dice.roll(3),
            shelf_days=dice.one((None, 2, 300)),
            **self.alkali(dice, stage),
            **self.when(dice),
        )

    def lye_heavy_recipe(self, dice):
        oil = Item.objects.get(name="rapeseed oil")
        write_version(
            name="lye-heavy paste",
            stage="cook",
            makes=Item.objects.get(name="paste"),
            lines=[NewVersionLine(oil, share=Decimal(1))],
            superfat=Decimal(-1 - dice.roll(4)) / 100,
            lye_excess=True,
            **self.when(dice),
        )

    def recipe_lines(self, dice, stage):
        """The whole, and in a cook now and then something beside the oils."""
        item = Item.objects.get(name="rapeseed oil" if stage == "cook" else "paste")
        lines = [NewVersionLine(item, share=Decimal(1))]
        if dice.chance(3):
            beside = Item.objects.get(name=dice.one(("sea salt", "lavender oil")))
            goes_in = dice.one(("late", "lye", ""))
            share = Decimal(1 + dice.roll(20)) / 1000
            lines.append(NewVersionLine(beside, share=share, goes_in=goes_in))
        return lines

    def checks(self, dice):
        checks = []
        if dice.chance(2):
            checks.append(NewCheck("neutrality", how="in warm alcohol"))
        if dice.chance(2):
            low, high = (Decimal(dice.roll(100)) / 100 for _ in range(2))
            checks.append(NewCheck(dice.one(("pH", "soap content")), low, high))
        return checks

    def alkali(self, dice, stage):
        """A superfat, or a lye excess: declared, and now and then not."""
        if stage != "cook" or dice.chance(3):
            return {}
        terms = {"superfat": Decimal(dice.roll(9) - 4) / 100}
        if terms["superfat"] < 0:
            terms["lye_excess"] = not dice.chance(5)
        if dice.chance(2):
            terms["lye_strength"] = Decimal(20 + dice.roll(30)) / 100
        return terms

    def note_document(self, dice):
        """A paper of a fragrance, with what it names, or one that says little."""
        act = self.when(dice)
        lot = self.lot(dice, item__name="lavender oil")
        parts = {"Linalool": dice.cents(60), "Limonene": dice.cents(60)}
        known = not dice.chance(3)
        note_document(
            lot=lot,
            edition=f"rev. {dice.roll(9)}",
            dated=act["on"] if dice.chance(3) else None,
            flash_point=Decimal(400 + dice.roll(500)) / 10 if known else None,
            vanillin=dice.cents(9) if known else None,
            most=dice.cents(5) if known else None,
            constituents=parts if known else {},
            **act,
        )
