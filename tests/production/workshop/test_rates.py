"""What an hour, power and a year cost.

What the maker expects: the rate of a person holds from its day on and is proposed for
work of that day; what is in the book keeps the rate it was written with. A slip is
taken back with its deed, or a figure of one row is put right.
"""

from datetime import date
from decimal import Decimal as D

import pytest
from django.urls import reverse

from costing.reads import whole_book
from production.batches.actions.overhead import state_overhead
from production.batches.actions.working import note_work
from production.batches.reads.overhead import year_overhead
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.undoing import undo_deed
from production.models import Batch, Deed, Equipment, HourRate, OverheadPaid, Work
from production.record.reads.restated import as_now
from production.workshop.actions.rates import (
    add_equipment,
    budget_overhead,
    change_equipment,
    say_hour_rate,
    say_tariff,
)
from production.workshop.reads.rates import rates_on
from production.yields.domain.hours_and_losses import NewWork
from tests import make
from tests.make import act, day
from tests.production.batches.started import started
from tests.production.writing import fill, holds, typed

pytestmark = pytest.mark.django_db
WHY = {"reason": "a slip"}


def hour(person="Ines", rate="24", since=None, **facts):
    return say_hour_rate(
        person=person, rate=D(rate), since=since or day(1), **facts, **act()
    )


def rows():
    return [
        (row.kind, row.by_whom, row.hours, row.rate, row.power)
        for row in as_now(Work.objects.order_by("pk"))
    ]


class TestFromWhichDay:
    def test_the_latest_day_that_has_come_counts(self):
        hour(rate="20", since=day(1))
        hour(rate="26", since=day(10))
        assert [rates_on(day(n)).of("ines").rate for n in (1, 9, 10, 31)] == [
            *(20, 20),
            *(26, 26),
        ]
        assert rates_on(date(2026, 2, 28)).of("Ines") is None

    def test_of_two_words_for_one_day_the_one_written_last_counts(self):
        hour(rate="20")
        hour(rate="21")
        assert rates_on(day(1)).of("INES ").rate == 21

    def test_a_slip_taken_back_leaves_what_stood_before(self):
        hour(rate="20")
        row = hour(rate="2000")
        undo_deed(undone=row.deed, **act(3, **WHY))
        assert rates_on(day(5)).of("Ines").rate == 20

    def test_a_change_never_costs_old_batches_anew(self):
        hour(rate="20")
        lot = make.batch(
            uses=[(make.lot(grams="1000", price="10.00"), "1000")],
            work=[NewWork("labour", D(1), D(20), "Ines")],
        )
        before = whole_book().valuation.lots[lot.code].unit_cost
        hour(rate="90")
        hour(rate="90", unpaid=True)
        assert whole_book().valuation.lots[lot.code].unit_cost == before

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"person": "  "}, "whose hour"),
            ({"rate": "-1"}, "less than nothing"),
        ],
    )
    def test_what_is_no_rate_is_refused(self, facts, says):
        with make.refused(says):
            hour(**facts)

    def test_power_and_overhead_are_refused_where_they_cannot_be(self):
        with make.refused("less than nothing"):
            say_tariff(price=D(-1), since=day(1), **act())
        with make.refused("hours of work of a normal year"):
            budget_overhead(year=2026, budget=D(1), normal=D(0), **act())
        with make.refused("no year"):
            budget_overhead(year=26, budget=D(1), normal=D(1), **act())
        with make.refused("above zero"):
            add_equipment(name="kettle", power=D(0))


class TestTheWorkForm:
    """The page of a batch, where work is written."""

    def page(self):
        started(code="B1")
        return reverse("batch-work", args=["B1"])

    def test_the_rate_is_that_of_the_person_on_the_day(self, desk):
        hour(rate="20", since=day(1))
        hour(rate="26", since=day(10))
        fill(
            desk,
            self.page(),
            work__0__person="ines",
            work__0__hours="90 min",
            on="2026-03-09",
        )
        assert rows() == [("labour", "ines", D("1.5"), 20, None)]

    def test_a_rate_that_is_typed_counts(self, desk):
        hour()
        fill(
            desk,
            self.page(),
            work__0__person="Ines",
            work__0__hours="1 h 30 min",
            work__0__rate="19.50",
            on="2026-03-09",
        )
        assert rows() == [("labour", "Ines", D("1.5"), D("19.5"), None)]

    def test_an_hour_that_nobody_priced_is_asked_about_and_nothing_is_lost(self, desk):
        good = {"work-0-hours": "2", "work-0-rate": "18", "on": "2026-03-09"}
        bad = {"work-0-rate": "", "work-0-person": "Tobias"}
        says = "Write what an hour of Tobias costs"
        holds(desk, self.page(), good, bad, says)
        assert rows() == [("labour", "", 2, 18, None)]

    def test_the_owners_unpaid_time_is_kept_apart(self, desk):
        hour(unpaid=True)
        fill(
            desk,
            self.page(),
            work__0__person="Ines",
            work__0__hours="2",
            on="2026-03-09",
        )
        assert rows() == [("unpaid", "Ines", 2, 24, None)]
        assert b"unpaid time" in desk.get(reverse("batch", args=["B1"])).content

    def test_a_kettle_of_two_kilowatts_for_three_hours_and_a_half(self, desk):
        say_tariff(price=D("0.30"), since=day(1), **act())
        kettle = add_equipment(name="kettle", power=D(2))
        fill(
            desk,
            self.page(),
            work__0__kind="energy",
            work__0__equipment=kettle.pk,
            work__0__hours="3.5",
            on="2026-03-09",
        )
        change_equipment(equipment=kettle, power=D(3))
        say_tariff(price=D("0.90"), since=day(1), **act())
        assert rows() == [("energy", "kettle", D("3.5"), D("0.3"), 2)]
        # 2 kW x 3.5 h x 0.30 a kWh, by hand.
        assert Work.objects.get().cost == D("2.10")

    def test_power_without_a_card_or_without_a_price(self, desk):
        good = {
            "work-0-kind": "energy",
            "work-0-hours": "2",
            "work-0-power": "1.5",
            "work-0-rate": "0.25",
            "on": "2026-03-09",
        }
        bad = {"work-0-rate": ""}
        holds(desk, self.page(), good, bad, "Write what a kilowatt hour costs")
        assert Work.objects.get().cost == D("0.75")

    def test_power_beside_labour_is_asked_about(self, desk):
        good = {"work-0-hours": "2", "work-0-rate": "1", "on": "2026-03-09"}
        bad = {"work-0-power": "2"}
        holds(desk, self.page(), good, bad, "choose that kind")

    def test_overhead_is_a_tick_and_goes_by_the_hours_of_people(self, desk):
        budget_overhead(year=2026, budget=D(3000), normal=D(600), **act())
        hour()
        page = self.page()
        sent = typed(desk.get(page)) | {
            "work-0-person": "Ines",
            "work-0-hours": "2",
            "on": "2026-03-09",
        }
        assert "5.00 USD for each hour" in desk.get(page).content.decode()
        # The tick stands as it is proposed; another day's form goes without it.
        desk.post(page, sent | {"overhead": "on"})
        without = typed(desk.get(page)) | {"work-0-rate": "3", "work-0-hours": "1"}
        without |= {"on": "2026-03-09"}
        del without["overhead"]
        desk.post(page, without)
        assert rows() == [
            ("labour", "Ines", 2, 24, None),
            ("overhead", "", 2, 5, None),
            ("labour", "", 1, 3, None),
        ]

    def test_a_person_and_what_ran_are_put_right(self):
        started()
        note_work(
            batch=Batch.objects.get(),
            work=[NewWork("labour", D(2), D(24), "Tobias")],
            **act(3),
        )
        figures = {"person": "Ines", "kind": "unpaid"}
        put_right(
            of="work", row=Work.objects.get().pk, figures=figures, **act(4, **WHY)
        )
        assert rows() == [("unpaid", "Ines", 2, 24, None)]
        undo_deed(undone=Deed.objects.latest("pk"), **act(5, **WHY))
        assert rows() == [("labour", "Tobias", 2, 24, None)]


class TestOwnersTime:
    def test_it_is_in_no_cost_of_stock(self):
        oil = make.lot(grams="1000", price="10.00")
        lot = make.batch(
            uses=[(oil, "1000")],
            amount="1000",
            work=[
                NewWork("labour", D(1), D(20), "Tobias"),
                NewWork("unpaid", D(2), D(24), "Ines"),
            ],
        )
        # 10.00 of oil and 20.00 of labour in 1,000 g.
        assert whole_book().valuation.lots[lot.code].unit_cost == D("0.03")


def year(worked, *, normal="240", budget="1200", rate="5"):
    """A year of one batch: its overhead by so many hours."""
    budget_overhead(year=2025, budget=D(budget), normal=D(normal), **act())
    lot = make.batch(
        uses=[(make.lot(grams="1000", price=None, on=date(2025, 5, 1)), "1000")],
        on=date(2025, 5, 2),
        work=[NewWork("overhead", D(worked), D(rate))],
    )
    return lot


class TestAYearsOverhead:
    """IAS 2.13, and case figures by hand: 1,200 over 240 hours is 5.00 an hour."""

    @pytest.mark.parametrize(
        ("worked", "stock", "unshared"),
        [("180", 900, 300), ("240", 1200, 0), ("300", 1200, 0)],
    )
    def test_few_hours_leave_an_expense_and_many_lower_the_rate(
        self, worked, stock, unshared
    ):
        year(worked)
        state_overhead(year=2025, actual=D(1200), **act())
        found = year_overhead(2025, day(2))
        assert (found.applied, found.unshared) == (stock, unshared)
        [row] = as_now(Work.objects.all())
        assert row.cost == stock
        assert row.rate == (4 if worked == "300" else 5)

    def test_what_was_stated_is_taken_back_and_stated_anew(self):
        year("300")
        state_overhead(year=2025, actual=D(120), **act())
        with make.refused("stated already", "Take that back"):
            state_overhead(year=2025, actual=D(1200), **act())
        undo_deed(undone=OverheadPaid.objects.get().deed, **act(3, **WHY))
        assert [row.rate for row in as_now(Work.objects.all())] == [5]
        state_overhead(year=2025, actual=D(1200), **act(4))
        assert [row.rate for row in as_now(Work.objects.all())] == [4]

    def test_a_year_is_stated_when_it_is_over(self):
        with make.refused("not over"):
            state_overhead(year=2026, actual=D(1), **act())

    def test_a_running_year_is_held_against_the_days_that_passed(self):
        budget_overhead(year=2026, budget=D(3650), normal=D(365), **act())
        found = year_overhead(2026, date(2026, 1, 31))
        # 31 of 365 days at 10.00 a day.
        assert (found.due, found.unshared, found.applied) == (310, 310, 0)

    def test_more_than_was_paid_is_never_in_stock(self):
        """Seven hours of a normal year of six: the rate is rounded down."""
        year("7", normal="6", budget="100", rate="16.6666")
        state_overhead(year=2025, actual=D(100), **act())
        assert D("99.99") < year_overhead(2025, day(2)).applied <= 100


class TestThePage:
    def test_each_word_is_said_there_and_shown(self, desk):
        fill(desk, reverse("rate-say"), person="Ines", rate="24", since="2026-01-01")
        fill(desk, reverse("tariff-say"), price="0.30", since="2026-01-01")
        fill(desk, reverse("equipment-add"), name="kettle", power="2")
        fill(desk, reverse("overhead-budget"), budget="3000", normal="600")
        text = desk.get(reverse("rates")).content.decode()
        for said in ("Ines", "24.00", "kettle", "0.60", "5.00"):
            assert said in text
        assert HourRate.objects.get().since == date(2026, 1, 1)
        kettle = Equipment.objects.get()
        fill(desk, reverse("equipment-change", args=[kettle.pk]), power="2.2")
        kettle.refresh_from_db()
        assert kettle.power == D("2.2")

    @pytest.mark.parametrize(
        ("name", "power", "says"),
        [
            ("heat gun", "0", "Write what it draws in kW, above zero"),
            ("kettle", "2", "Kettle has a card already, in other capitals"),
        ],
    )
    def test_what_cannot_draw_power_is_said_in_words(self, desk, name, power, says):
        add_equipment(name="Kettle", power=D(2))
        sent = {"name": name, "power": power}
        answer = desk.post(reverse("equipment-add"), sent).content.decode()
        assert says in answer
        assert "Constraint" not in answer
        assert Equipment.objects.count() == 1

    def test_a_normal_year_of_less_than_an_hour_is_asked_about(self, desk):
        url = reverse("overhead-budget")
        good = {"year": "2026", "budget": "3000", "normal": "600"}
        holds(desk, url, good, {"normal": "0.0001"}, "less than an hour of work")

    def test_an_hour_is_paid_by_the_hour(self, desk):
        url = reverse("rate-say")
        good = {"person": "Ines", "rate": "18 per hour", "since": "2026-01-01"}
        holds(desk, url, good, {"rate": "18 per piece"}, "write the price of an hour")
        assert HourRate.objects.get().rate == 18

    def test_a_year_that_is_over_is_stated(self, desk):
        year("300")
        page = reverse("overhead", args=[2025])
        assert "State what 2025 came to" in desk.get(page).content.decode()
        fill(desk, reverse("overhead-state", args=[2025]), actual="1200")
        text = desk.get(page).content.decode()
        assert "1\u202f200.00" in text
        assert desk.get(reverse("overhead", args=[1066])).status_code == 404

    def test_a_year_without_a_budget_has_no_empty_bar(self, desk):
        make.batch(
            uses=[(make.lot(grams="1000", on=date(2025, 5, 1)), "1000")],
            on=date(2025, 5, 2),
            work=[NewWork("overhead", D(2), D(5))],
        )
        text = desk.get(reverse("overhead", args=[2025])).content.decode()
        assert "borne by batches" in text
        assert "the budget" not in text
        assert '<svg viewBox="0 0 1000 60"' not in text

    @pytest.mark.parametrize("count", [2, 25])
    def test_it_asks_the_same_however_long(
        self, desk, count, django_assert_num_queries
    ):
        for n in range(count):
            hour(person=f"P{n % 5}", rate=str(n), since=day(1 + n))
            add_equipment(name=f"kettle {n}", power=D(2))
            say_tariff(price=D(n), since=day(1), **act())
        desk.get(reverse("rates"))
        with django_assert_num_queries(ASKED):
            desk.get(reverse("rates"))


ASKED = 14
