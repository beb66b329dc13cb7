"""Recipes: a version never changes, a better one is written beside it."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction

from production.models import Formula, Stage, Version
from production.recipes.actions.formulas import (
    NewVersionLine,
    version_digest,
    write_version,
)
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db
Line = NewVersionLine


def oils(*shares):
    return [
        Line(make.item(f"oil {place}", category="oil"), share=Decimal(share))
        for place, share in enumerate(shares)
    ]


def paste():
    return make.item("paste", kind="made")


def cook(**facts):
    facts = {"name": "winter paste", "stage": "cook", "makes": paste(), **facts}
    return write_version(
        **{"lines": oils("0.7", "0.3"), "superfat": Decimal("0.03"), **facts}, **act()
    )


class TestWhatItWrites:
    def test_the_formula_its_first_version_and_its_lines_in_order(self):
        version = cook(rest_days=14, steps="Melt. Cook. Test.")
        assert (str(version), version.formula.makes) == ("winter paste v1", paste())
        assert (version.superfat, version.rest_days) == (Decimal("0.03"), 14)
        shares = version.lines.values_list("position", "item__name", "share")
        assert list(shares) == [
            (1, "oil 0", Decimal("0.7")),
            (2, "oil 1", Decimal("0.3")),
        ]

    def test_the_next_version_stands_beside_the_first(self):
        first, second = cook(), cook(lines=oils("0.5", "0.5"))
        assert second.number == 2
        assert second.formula == first.formula
        assert list(first.lines.values_list("share", flat=True)) == [
            Decimal("0.7"),
            Decimal("0.3"),
        ]

    def test_its_digest_is_found_again_from_the_rows(self):
        version = cook()
        read = Version.objects.get(pk=version.pk)
        assert (
            version_digest(read, read.lines.all(), read.checks.all()) == version.digest
        )

    def test_another_wording_has_another_digest(self):
        first = cook()
        assert cook(superfat=Decimal("0.04")).digest != first.digest

    def test_pieces_for_each_one_made_stand_beside_shares(self):
        bottle = make.item("bottle 250", kind="packaging", unit="piece")
        lines = [Line(make.item(), share=Decimal(1)), Line(bottle, each=Decimal(1))]
        version = make.version("filling", lines=lines)
        assert [line.each for line in version.lines.all()] == [None, 1]

    def test_below_zero_the_superfat_is_lye_excess(self):
        version = cook(superfat=Decimal("-0.02"), lye_excess=True)
        assert (version.superfat, version.lye_excess) == (Decimal("-0.02"), True)

    def test_what_goes_into_the_lye_and_what_comes_after_the_cook(self):
        acid, scent = make.item("citric", category="acid"), make.item("scent")
        late = Line(scent, share=Decimal("0.01"), goes_in="late")
        lye = Line(acid, share=Decimal("0.02"), goes_in="lye")
        version = cook(lines=[*oils("1"), lye, late], lye_strength=Decimal("0.3"))
        assert [line.goes_in for line in version.lines.all()] == ["", "lye", "late"]

    def test_the_same_key_writes_one_version(self):
        version = make.sent_twice(
            write_version,
            name="winter paste",
            stage="cook",
            makes=paste(),
            lines=oils("1"),
            **act(),
        )
        assert list(Version.objects.all()) == [version]


class TestInk:
    def test_a_version_is_not_saved_again(self):
        version = cook()
        version.superfat = Decimal(0)
        with pytest.raises(ValidationError, match="written in ink"):
            version.save()

    def test_a_line_is_not_deleted(self):
        line = cook().lines.first()
        with pytest.raises(ValidationError, match="written in ink"):
            line.delete()

    @pytest.mark.parametrize(
        "query",
        [
            "UPDATE production_version SET superfat = 0",
            "DELETE FROM production_versionline",
        ],
    )
    def test_the_database_refuses_too(self, query):
        cook()
        with (
            pytest.raises(DatabaseError, match="written in ink"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(query)


class TestWhatItRefuses:
    @pytest.mark.parametrize(
        ("shares", "says"),
        [
            ([], "at least one line"),
            (["0.7", "0.2"], "add up to 90 %"),
            (["0.7", "0.4"], "add up to 110 %"),
            (["1.2"], "oil 0: a share"),
            (["1", "0"], "oil 1: a share"),
        ],
    )
    def test_oils_that_do_not_make_up_the_whole(self, shares, says):
        lines, makes = oils(*shares), paste()
        with make.refused(says):
            write_version(
                name="winter paste", stage="cook", makes=makes, lines=lines, **act()
            )

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({}, "one of both"),
            ({"share": Decimal(1), "each": Decimal(1)}, "one of both"),
            ({"each": Decimal(0)}, "above zero"),
            ({"each": Decimal(-1)}, "above zero"),
        ],
    )
    def test_a_line_without_one_clear_amount(self, facts, says):
        lines, makes = [Line(make.item(), **facts)], paste()
        with make.refused("rapeseed oil", says):
            write_version(
                name="hand soap", stage="filling", makes=makes, lines=lines, **act()
            )

    def test_a_name_that_another_recipe_has(self):
        cook()
        lines, other = oils("1"), make.item("other paste", kind="made")
        for stage, makes in (("rework", paste()), ("cook", other)):
            with make.refused("winter paste is a cook", "a name of its own"):
                write_version(
                    name="winter paste", stage=stage, makes=makes, lines=lines, **act()
                )

    def test_a_term_that_no_version_has(self):
        lines, makes = oils("1"), paste()
        with make.refused("no term colour"):
            write_version(
                name="x", stage="cook", makes=makes, lines=lines, colour="red", **act()
            )

    @pytest.mark.parametrize(
        "terms",
        [
            {"superfat": Decimal("-0.02")},
            {"superfat": Decimal("0.02"), "lye_excess": True},
            {"superfat": Decimal(0), "lye_excess": True},
        ],
    )
    def test_a_lye_excess_that_is_not_declared_or_none(self, terms):
        lines, makes = oils("1"), paste()
        with make.refused("Declare a superfat below zero as lye excess"):
            write_version(
                name="x", stage="cook", makes=makes, lines=lines, **act(), **terms
            )

    def test_a_lye_excess_of_nobody_knows_how_much(self):
        lines, makes = oils("1"), paste()
        with make.refused("how large the lye excess is"):
            write_version(
                name="x",
                stage="cook",
                makes=makes,
                lines=lines,
                lye_excess=True,
                **act(),
            )

    def test_the_lye_water_said_twice(self):
        lines, makes = oils("1"), paste()
        with make.refused("Set the lye water once"):
            write_version(
                name="x",
                stage="cook",
                makes=makes,
                lines=lines,
                water_per_alkali=Decimal(2),
                lye_strength=Decimal("0.3"),
                **act(),
            )

    @pytest.mark.parametrize(
        ("stage", "item", "goes_in", "says"),
        [
            ("cook", {"category": "oil"}, "late", "is an oil: it goes in with"),
            ("cook", {"category": "alkali", "alkali": "KOH"}, "", "out of the lines"),
            ("finishing", {}, "late", "only a cook tells apart"),
            ("finishing", {}, "lye", "only a cook tells apart"),
        ],
    )
    def test_a_line_at_the_wrong_time(self, stage, item, goes_in, says):
        odd = Line(make.item("odd", **item), share=Decimal("0.1"), goes_in=goes_in)
        lines, makes = [*oils("1"), odd], paste()
        with make.refused("odd", says):
            write_version(name="x", stage=stage, makes=makes, lines=lines, **act())

    @pytest.mark.parametrize("superfat", ["1", "-1", "5"])
    def test_a_superfat_that_is_not_a_fraction(self, superfat):
        lines, makes = oils("1"), paste()
        with make.refused("superfat"):
            write_version(
                name="x",
                stage="cook",
                makes=makes,
                lines=lines,
                superfat=Decimal(superfat),
                **act(),
            )
        assert not Formula.objects.exists()

    @pytest.mark.parametrize(
        "stage", sorted(set(Stage.values) - {"preparation", "dilution"})
    )
    def test_release_on_making_anywhere_but_in_a_preparation_or_a_dilution(self, stage):
        lines, makes = oils("1"), paste()
        with make.refused("released on making", "by a passed check or by hand"):
            write_version(
                name="x",
                stage=stage,
                makes=makes,
                lines=lines,
                release="making",
                **act(),
            )
