"""What is in a lot: followed from what went in, use by use, in the book's order."""

from datetime import date
from decimal import Decimal
from graphlib import CycleError

import pytest

from production.contents.domain.contents import (
    BatchFacts,
    Flow,
    LotFacts,
    Supplied,
    Value,
    contents,
)

D = Decimal
# Pure water, fat, hydroxide: figures that can be followed by hand.
SV = D("191.5")  # mg KOH for a gram of oil
MILLIGRAM = D("0.001")
# 1000 g of this oil take 191.5 g of pure KOH, which is 212.778 g at 90 %.
LYE = D("212.778")


def day(number):
    return date(2026, 3, number)


def used(batch, amount, on=2):
    return Flow("used", -D(amount), day(on), batch)


def went(kind, amount, on=3):
    return Flow(kind, D(amount), day(on))


def supplied(code, started, role, *flows, values=(), **facts):
    what = Supplied(role=role, item=facts.pop("item", role), values=values, **facts)
    return LotFacts(code, D(started), flows, supplied=what)


def oil(*flows, sv=SV, values=()):
    return supplied("OIL", "5000", "oil", *flows, sv=sv, values=values, item="rape")


def stated(what="purity", value="0.9", on=1):
    return Value(day(on), what, D(value))


TUB = (stated(), stated("carbonate", "0"))


def koh(*flows, values=TUB, alkali="KOH"):
    return supplied(
        "KOH", "5000", "alkali", *flows, alkali=alkali, values=values, item="lye"
    )


def water(*flows):
    return supplied("WATER", "9000", "water", *flows)


def made(code, started, batch, *flows):
    return LotFacts(code, D(started), flows, batch=batch)


def cooked(*flows, grams="1500", batch=None, alkali=None, fat=None):
    """Oil, its alkali in full, and 500 g of water: 1712.778 g in the pot."""
    lots = [
        fat or oil(used("COOK", "1000")),
        alkali or koh(used("COOK", LYE)),
        water(used("COOK", "500")),
        made("PASTE", grams, "COOK", *flows),
    ]
    return lots, [batch or BatchFacts("COOK", "cook", D(grams))]


def thinned(*flows, take="750", grams=None):
    """The paste, what happened to it, and then a use of it in a dilution."""
    lots, batches = cooked(*flows, used("THIN", take, 9))
    lots.append(made("THINNED", grams or take, "THIN"))
    batches.append(BatchFacts("THIN", "dilution", D(grams or take)))
    return contents(lots, batches)


def near(value):
    return pytest.approx(D(value), abs=MILLIGRAM)


def parts(held, *kinds):
    return {kind: held.finished.of_kind(kind) for kind in kinds}


class TestACook:
    def test_what_went_in_is_listed_by_lot_in_grams(self):
        found = contents(*cooked())["PASTE"]
        assert found.added == {"OIL": 1000, "KOH": LYE, "WATER": 500}
        assert found.missing == ()

    def test_the_grams_of_what_it_holds_are_the_grams_that_were_made(self):
        assert contents(*cooked())["PASTE"].finished.total == near(1500)

    def test_an_unnamed_loss_is_evaporation_and_takes_water_only(self):
        dry = contents(*cooked(grams="1500"))["PASTE"]
        wet = contents(*cooked(grams="1712.778"))["PASTE"]
        for kind in ("soap", "glycerol", "unsaponified"):
            assert dry.finished.of_kind(kind) == near(wet.finished.of_kind(kind))
        lost = wet.finished.of_kind("water") - dry.finished.of_kind("water")
        assert lost == near("212.778")

    def test_steam_that_was_named_is_evaporation_too(self):
        batch = BatchFacts("COOK", "cook", D(1500), steam=D("212.778"))
        named, unnamed = contents(*cooked(batch=batch)), contents(*cooked())
        kinds = ("soap", "water", "glycerol")
        assert parts(named["PASTE"], *kinds) == pytest.approx(
            parts(unnamed["PASTE"], *kinds), abs=MILLIGRAM
        )

    def test_a_named_loss_takes_all_constituents_alike(self):
        spilt = BatchFacts("COOK", "cook", D(1500), other_losses=D("212.778"))
        found = contents(*cooked(batch=spilt))["PASTE"]
        whole = contents(*cooked(grams="1712.778"))["PASTE"]
        for kind in ("soap", "water", "glycerol"):
            part = whole.finished.of_kind(kind) * 1500 / D("1712.778")
            assert found.finished.of_kind(kind) == near(part)

    def test_steam_and_spill_are_told_apart(self):
        batch = BatchFacts(
            "COOK", "cook", D(1500), steam=D(100), other_losses=D("112.778")
        )
        found = contents(*cooked(batch=batch))["PASTE"]
        whole = contents(*cooked(grams="1712.778"))["PASTE"]
        soap = whole.finished.of_kind("soap") * 1500 / D("1612.778")
        assert found.finished.of_kind("soap") == near(soap)

    def test_as_added_keeps_the_water_that_boiled_off(self):
        found = contents(*cooked(grams="1300"))["PASTE"]
        assert found.added["WATER"] == 500
        assert sum(found.added.values()) == D("1712.778")
        assert found.finished.total == near(1300)

    def test_the_superfat_is_worked_back_from_what_was_used(self):
        alkali = koh(used("COOK", LYE * D("0.95")))
        found = contents(*cooked(alkali=alkali, grams="1702"))["PASTE"]
        assert found.superfat == pytest.approx(D("0.05"), abs=D("0.00001"))

    def test_below_zero_it_is_free_alkali(self):
        alkali = koh(used("COOK", LYE * D("1.02")))
        found = contents(*cooked(alkali=alkali))["PASTE"]
        assert found.superfat == pytest.approx(D("-0.02"), abs=D("0.00001"))
        assert found.finished.of_kind("alkali") == near("3.83")

    def test_more_steam_than_water_is_said_of_the_batch(self):
        found = contents(*cooked(grams="900"))["PASTE"]
        assert found.finished is None
        assert found.missing[0].startswith("COOK: Only ")
        assert "Check the weighing" in found.missing[0]

    def test_a_little_more_made_than_weighed_in_is_a_weighing_difference(self):
        found = contents(*cooked(grams="1713"))["PASTE"]
        assert found.finished.total == near(1713)
        assert found.superfat == pytest.approx(0, abs=D("0.00001"))


class TestAnyOtherStage:
    def test_an_unnamed_loss_takes_all_alike(self):
        found = thinned(take="750", grams="700")["THINNED"]
        paste = contents(*cooked())["PASTE"]
        soap = paste.finished.of_kind("soap") * 700 / 1500
        assert found.finished.of_kind("soap") == near(soap)

    def test_steam_that_was_named_is_water(self):
        lots, batches = cooked(used("THIN", "750", 9))
        lots.append(made("THINNED", "700", "THIN"))
        batches.append(BatchFacts("THIN", "dilution", D(700), steam=D(50)))
        found = contents(lots, batches)["THINNED"]
        paste = contents(*cooked())["PASTE"]
        assert found.finished.of_kind("soap") == near(
            paste.finished.of_kind("soap") / 2
        )

    def test_pieces_without_a_net_mass_hold_what_went_in(self):
        lots, batches = cooked(used("FILL", "750", 9))
        lots.append(made("BOTTLES", "3", "FILL"))
        batches.append(BatchFacts("FILL", "filling", None))
        assert contents(lots, batches)["BOTTLES"].finished.total == near(750)

    def test_packaging_is_no_part_of_it(self):
        lots, batches = cooked(used("FILL", "750", 9))
        lots.append(supplied("CAPS", "50", "packaging", used("FILL", "3", 9)))
        lots.append(made("BOTTLES", "3", "FILL"))
        batches.append(BatchFacts("FILL", "filling", D(750)))
        found = contents(lots, batches)["BOTTLES"]
        assert "CAPS" not in found.added
        assert found.finished.total == near(750)

    def test_what_stays_what_it_is_stays_so(self):
        scent = supplied("SCENT", "100", "material", used("THIN", "15", 9))
        lots, batches = cooked(used("THIN", "750", 9))
        lots += [scent, made("THINNED", "765", "THIN")]
        batches.append(BatchFacts("THIN", "finishing", D(765)))
        found = contents(lots, batches)["THINNED"]
        assert found.finished.of_kind("material") == 15
        assert found.added["SCENT"] == 15


class TestShares:
    def test_a_use_takes_its_share_of_everything(self):
        found = thinned(take="750")
        half, paste = found["THINNED"], found["PASTE"]
        assert half.added == {code: g / 2 for code, g in paste.added.items()}
        for kind in ("soap", "water", "glycerol"):
            whole = paste.finished.of_kind(kind)
            assert half.finished.of_kind(kind) == near(whole / 2)

    def test_as_added_keeps_the_water_that_boiled_off_further_down(self):
        assert sum(thinned(take="1500")["THINNED"].added.values()) == near("1712.778")

    def test_what_was_spilt_sold_or_given_leaves_the_rest_as_it_was(self):
        for kind in ("discarded", "sold", "given"):
            found = thinned(went(kind, "-500"), take="750")["THINNED"]
            assert found.added["OIL"] == near(500)

    def test_a_move_to_another_place_changes_nothing(self):
        flows = went("moved", "-500"), went("moved", "500")
        assert thinned(*flows)["THINNED"].added["OIL"] == near(500)

    def test_a_surplus_holds_what_the_lot_holds(self):
        found = thinned(went("counted", "30"), take="1530")["THINNED"]
        assert found.finished.total == near(1530)
        assert found.added["OIL"] == near(1020)

    def test_what_was_missing_at_a_count_took_all_alike(self):
        found = thinned(went("counted", "-30"), take="1470")["THINNED"]
        assert found.added["OIL"] == near(980)

    def test_what_comes_back_after_all_was_gone_is_what_had_left(self):
        flows = went("sold", "-1500"), went("returned", "750", 5)
        found = thinned(*flows, take="750")["THINNED"]
        assert found.added["OIL"] == near(500)
        assert found.finished.total == near(750)


class TestReweighed:
    def soap_and_water(self, *flows, take):
        found = thinned(*flows, take=take)["THINNED"]
        return found.finished.of_kind("soap"), found.finished.of_kind("water")

    def test_paste_that_dried_out_lost_water_only(self):
        soap, wet = self.soap_and_water(take="1500")
        same, drier = self.soap_and_water(went("reweighed", "-50"), take="1450")
        assert (same, drier) == (near(soap), near(wet - 50))

    def test_flakes_that_took_up_damp_gained_water_only(self):
        soap, wet = self.soap_and_water(take="1500")
        same, damp = self.soap_and_water(went("reweighed", "50"), take="1550")
        assert (same, damp) == (near(soap), near(wet + 50))

    def test_what_was_used_before_is_as_it_was(self):
        early = used("EARLY", "750", 2)
        lots, batches = cooked(
            early, went("reweighed", "-50", 5), used("THIN", "700", 9)
        )
        lots += [made("A", "750", "EARLY"), made("B", "700", "THIN")]
        batches += [
            BatchFacts("EARLY", "dilution", D(750)),
            BatchFacts("THIN", "dilution", D(700)),
        ]
        found = contents(lots, batches)
        first, second = found["A"].finished, found["B"].finished
        assert first.of_kind("soap") == near(second.of_kind("soap"))
        assert first.of_kind("water") == near(second.of_kind("water") + 50)

    def test_goods_stay_so_as_added_stays(self):
        found = thinned(went("reweighed", "-50"), take="1450")["THINNED"]
        assert found.added["OIL"] == near(1000)

    def test_less_than_what_is_dry_in_it_is_said_and_not_raised(self):
        found = thinned(went("reweighed", "-1000"), take="500")["THINNED"]
        assert found.finished is None
        assert "Check the weighing" in found.missing[0]

    def test_the_purity_of_a_drum_holds_from_the_day_it_was_restated(self):
        values = (stated(value="0.9"), stated(value="0.8", on=5))
        drum = koh(used("ONE", "100", 4), used("TWO", "100", 5), values=values)
        lots = [drum, made("A", "100", "ONE"), made("B", "100", "TWO")]
        batches = [
            BatchFacts("ONE", "preparation", D(100)),
            BatchFacts("TWO", "preparation", D(100)),
        ]
        found = contents(lots, batches)
        assert found["A"].finished.of_kind("alkali") == near(90)
        assert found["B"].finished.of_kind("alkali") == near(80)

    def test_before_its_first_reading_the_first_one_holds(self):
        drum = koh(used("ONE", "100", 2), values=(stated(on=8),))
        found = contents(
            [drum, made("A", "100", "ONE")],
            [BatchFacts("ONE", "preparation", D(100))],
        )
        assert found["A"].finished.of_kind("alkali") == near(90)


class TestWhatIsMissing:
    def test_a_purity_that_is_not_in_the_book_is_named(self):
        alkali = koh(used("COOK", LYE), values=())
        found = contents(*cooked(alkali=alkali))["PASTE"]
        assert found.finished is found.superfat is None
        assert "purity of KOH (lye) is not in the book" in found.missing[0]
        assert "There is no usual value" in found.missing[0]
        assert found.added["KOH"] == LYE

    def test_a_saponification_value_that_is_not_in_the_book_is_named(self):
        fat = oil(used("COOK", "1000"), sv=None)
        found = contents(*cooked(fat=fat))["PASTE"]
        assert "OIL (rape) has no saponification value" in found.missing[0]
        assert found.finished is None

    def test_the_lots_own_value_outranks_the_published_one(self):
        fat = oil(
            used("COOK", "1000"),
            sv=D(250),
            values=(stated("saponification value", "191.5"),),
        )
        assert contents(*cooked(fat=fat))["PASTE"].superfat == pytest.approx(
            0, abs=D("0.00001")
        )

    def test_both_are_named_where_both_are_missing(self):
        fat = oil(used("COOK", "1000"), sv=None)
        alkali = koh(used("COOK", LYE), values=())
        assert len(contents(*cooked(fat=fat, alkali=alkali))["PASTE"].missing) == 2

    def test_an_alkali_that_is_neither_is_named(self):
        alkali = koh(used("COOK", LYE), alkali="")
        missing = contents(*cooked(alkali=alkali))["PASTE"].missing
        assert "whether it is KOH or NaOH" in missing[0]

    def test_a_carbonate_that_is_not_stated_is_only_noted(self):
        alkali = koh(used("COOK", LYE), values=(stated(),))
        found = contents(*cooked(alkali=alkali))["PASTE"]
        assert found.notes == (
            "The carbonate of KOH is not stated; it is taken as none.",
        )
        assert found.finished is not None

    def test_an_item_of_which_nobody_has_said_what_it_is_is_named(self):
        lots = [supplied("X", "100", "", used("ONE", "50"), item="grandma's mix")]
        lots.append(made("A", "50", "ONE"))
        found = contents(lots, [BatchFacts("ONE", "preparation", D(50))])["A"]
        assert "Say of grandma's mix what it is" in found.missing[0]

    def test_an_acid_without_its_kind_or_purity_is_named(self):
        lots = [supplied("X", "100", "acid", used("ONE", "50"), item="sour")]
        lots.append(made("A", "50", "ONE"))
        found = contents(lots, [BatchFacts("ONE", "preparation", D(50))])["A"]
        assert "which acid X (sour) is, and its purity" in found.missing[0]

    def test_it_is_handed_on_to_all_that_came_of_it(self):
        lots, batches = cooked(
            used("THIN", "750", 9), alkali=koh(used("COOK", LYE), values=())
        )
        lots.append(made("THINNED", "750", "THIN"))
        batches.append(BatchFacts("THIN", "dilution", D(750)))
        found = contents(lots, batches)["THINNED"]
        assert found.finished is None
        assert "purity" in found.missing[0]
        assert found.added["OIL"] == near(500)

    def test_lots_that_go_in_a_circle_are_refused(self):
        lots = [
            made("A", "10", "ONE", used("TWO", "5")),
            made("B", "10", "TWO", used("ONE", "5")),
        ]
        batches = [
            BatchFacts("ONE", "rework", D(10)),
            BatchFacts("TWO", "rework", D(10)),
        ]
        with pytest.raises(CycleError):
            contents(lots, batches)
