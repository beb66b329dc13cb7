"""A form sent twice: the same content is one entry, other content is always asked.

A maker double-clicks, or presses Back and sends again: the book holds it once. A maker
presses Back, mends a figure and sends again: the book must not say that this is written
while it holds the old figure, nor write a second entry by itself. It asks.
"""

import inspect
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.models import Deed, Item, Movement
from production.record.actions.deeds import DEEDS, Retold
from production.record.actions.digest import told
from tests import make

pytestmark = pytest.mark.django_db
COUNT = ("key", "on", "found", "reason")


def test_a_row_is_told_by_its_number_whatever_was_written_of_it_since():
    """The first sending changed the lot; the second still means the same one."""
    before, after = Item(pk=1, name="olive oil"), Item(pk=1, name="olive oil, new")
    assert told("form-1", {"item": before}) == told("form-1", {"item": after})
    assert told("form-1", {"item": before}) != told("form-1", {"item": Item(pk=2)})


def test_a_row_that_is_not_written_yet_is_told_by_what_it_says():
    one, other = Item(name="olive oil"), Item(name="castor oil")
    assert told("form-1", {"item": one}) != told("form-1", {"item": other})
    again = Item(name="olive oil")
    assert told("form-1", {"item": one}) == told("form-1", {"item": again})


def any_value(parameter):
    """Something that may stand in this argument, and something else."""
    kind = str(parameter.annotation)
    if "date" in kind:
        return make.day(3), make.day(4)
    if "Decimal" in kind:
        return Decimal("1.50"), Decimal("1.51")
    if "bool" in kind:
        return False, True
    if "Sequence" in kind or "Iterable" in kind:
        return [Decimal(1), "a"], [Decimal(1), "b"]
    if parameter.name in ("lot", "movement", "batch", "item"):
        return Item(pk=1), Item(pk=2)
    return "one", "another"


@pytest.mark.parametrize("verb", sorted(DEEDS))
def test_no_deed_answers_once_one_argument_is_another(verb):
    act = DEEDS[verb]
    parameters = list(inspect.signature(act).parameters.values())[1:]
    values = {
        one.name: any_value(one)
        for one in parameters
        if one.kind is not one.VAR_KEYWORD
    }
    values |= {"reason": ("because", "why not"), "on": (make.day(3), make.day(5))}
    values["by"] = make.owner(), make.maker()
    first = {name: pair[0] for name, pair in values.items()}
    digest = told("k", first)
    signed = {name: first[name] for name in ("on", "by", "reason")}
    Deed.objects.create(key="k", verb=verb, typed=digest, **signed)
    with pytest.raises(Retold):
        act(**first | {"reason": "because "}, key="k")
    for name, (_, other) in values.items():
        with pytest.raises(Retold, match="written already"):
            act(**first | {name: other}, key="k")
    assert Deed.objects.count() == 1


@dataclass
class Weight:
    grams: Decimal
    of: object = None


@pytest.mark.parametrize(
    ("one", "same"),
    [
        ({"a": Decimal("1.50")}, {"a": Decimal("1.5")}),
        ({"a": Decimal("0.00")}, {"a": Decimal(0)}),
        ({"a": 1, "b": "x"}, {"b": "x", "a": 1}),
        ({"a": Weight(Decimal("100"))}, {"a": Weight(Decimal("1E+2"))}),
        ({"a": (1, 2)}, {"a": [1, 2]}),
        ({"a": {1, 2}}, {"a": {2, 1}}),
    ],
)
def test_the_same_said_in_another_way_is_the_same(one, same):
    assert told("k", one) == told("k", same)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"a": Decimal("1.5")}, {"a": Decimal("1.51")}),
        ({"a": None}, {"a": ""}),
        ({"a": Item(pk=1)}, {"a": Item(pk=2)}),
        ({"a": Item(name="salt")}, {"a": Item(name="citrate")}),
        ({"a": Weight(Decimal(1), Item(pk=1))}, {"a": Weight(Decimal(1), Item(pk=2))}),
        ({"a": date(2026, 3, 2)}, {"a": date(2026, 3, 3)}),
        ({"a": [1, 2]}, {"a": [2, 1]}),
        ({"a": True}, {"a": "True"}),
        ({"password": "kettle and spoon 7"}, {"password": "kettle and spoon 8"}),
    ],
)
def test_what_differs_is_told_apart(one, other):
    assert told("k", one) != told("k", other)


def test_a_password_is_kept_no_weaker_than_by_the_door(settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.ScryptPasswordHasher"]
    assert told("k", {"password": "x"}) != told("l", {"password": "x"})


def counted(lot, found, **facts):
    return count_lot(
        lot=lot,
        found=Decimal(found),
        by=make.owner(),
        **{"on": make.day(9), "reason": "spilt", **facts},
    )


def test_an_older_book_kept_no_digest_and_answers():
    lot = make.lot(grams="100")
    first = Deed.objects.create(
        key="old", verb="count a lot", on=make.day(9), by=make.owner()
    )
    assert counted(lot, "80", key="old") == first


def test_what_can_be_gone_through_once_is_told_and_done():
    lot = make.lot(grams="100")
    uses = [Use(lot=lot, amount=Decimal(40))]
    batch = start_batch(stage="dilution", **make.act(3))
    for _ in range(2):
        use_lots(batch=batch, uses=iter(uses), **make.act(3), key="k")
    assert make.on_hand(lot) == 60
    assert Movement.objects.filter(kind="used").count() == 1


class TestOnPages:
    @pytest.fixture
    def lot(self):
        return make.lot("K-1", grams="1000")

    @pytest.fixture
    def page(self, desk, lot):
        return reverse("lot-count", args=[lot.code])

    def sent(self, desk, page, **typed):
        form = desk.get(page).context["form"]
        return {"key": form["key"].value(), "on": str(form["on"].value())} | typed

    def test_the_same_content_sent_twice_is_one_entry(self, desk, page, lot):
        sent = self.sent(desk, page, found="999", reason="spilt")
        first, second = desk.post(page, sent), desk.post(page, sent | {"found": " 999"})
        assert first.url == second.url == lot.get_absolute_url()
        assert Deed.objects.filter(verb="count a lot").count() == 1

    def test_another_figure_under_the_same_key_is_asked(self, desk, page, lot):
        sent = self.sent(desk, page, found="999", reason="spilt")
        desk.post(page, sent)
        asked = desk.post(page, sent | {"found": "998"})
        text = asked.text
        first = Deed.objects.get(verb="count a lot")
        assert "written already" in text
        assert "Nothing more is written" in text
        assert reverse("deed", args=[first.pk]) in text
        assert "Mend the first" in text
        assert 'value="998"' in text
        assert "Write it as a second entry" in text
        assert Deed.objects.filter(verb="count a lot").count() == 1

    def test_a_second_entry_is_one_on_purpose_with_all_that_was_typed(self, desk, page):
        sent = self.sent(desk, page, found="999", reason="the top drawer")
        desk.post(page, sent)
        asked = desk.post(page, sent | {"found": "998"})
        form = asked.context["form"]
        assert form["key"].value() != sent["key"]
        assert form["reason"].value() == "the top drawer"
        again = {name: form[name].value() or "" for name in COUNT}
        beside = str(asked.context["beside"].pk)
        assert desk.post(page, again | {"beside": beside}).status_code == 302
        desk.post(page, again | {"beside": beside})
        assert Deed.objects.filter(verb="count a lot").count() == 2

    def test_a_refused_second_entry_still_says_beside_what_it_stands(self, desk, page):
        sent = self.sent(desk, page, found="999", reason="spilt")
        desk.post(page, sent)
        asked = desk.post(page, sent | {"found": "998"})
        again = {"key": asked.context["form"]["key"].value(), "found": "some"}
        beside = asked.context["beside"].pk
        refused = desk.post(page, again | {"on": sent["on"], "beside": beside})
        assert f'name="beside" value="{beside}"' in refused.text

    def test_the_same_after_it_was_taken_back_is_asked(self, desk, page, owner):
        sent = self.sent(desk, page, found="999", reason="spilt")
        desk.post(page, sent)
        first = Deed.objects.get(verb="count a lot")
        undo_deed(undone=first, on=first.on, by=owner, reason="wrong lot")
        asked = desk.post(page, sent)
        assert "taken back" in asked.text
        assert asked.status_code == 200
        assert Deed.objects.filter(verb="count a lot").count() == 1

    def test_the_same_of_another_lot_is_asked(self, desk, page):
        sent = self.sent(desk, page, found="999", reason="spilt")
        desk.post(page, sent)
        other = make.lot("K-2", grams="1000")
        asked = desk.post(reverse("lot-count", args=[other.code]), sent)
        assert "written already" in asked.text

    def test_spare_rows_change_nothing(self, desk):
        batch = start_batch(stage="cook", **make.act(3))
        page = reverse("batch-work", args=[batch.code])
        row = {"work-0-kind": "labour", "work-0-hours": "1", "work-0-rate": "18"}
        sent = self.sent(desk, page) | row
        counts = {"work-TOTAL_FORMS": "2", "work-INITIAL_FORMS": "0"}
        more = {"work-TOTAL_FORMS": "6", "work-INITIAL_FORMS": "0", "work-3-hours": ""}
        assert desk.post(page, sent | counts).status_code == 302
        assert desk.post(page, sent | more).status_code == 302
        assert batch.work.count() == 1

    def test_more_rows_are_given_under_a_known_key(self, desk):
        batch = start_batch(stage="cook", **make.act(3))
        page = reverse("batch-work", args=[batch.code])
        row = {"work-0-kind": "labour", "work-0-hours": "1", "work-0-rate": "18"}
        counts = {"work-TOTAL_FORMS": "2", "work-INITIAL_FORMS": "0"}
        sent = self.sent(desk, page) | row | counts
        desk.post(page, sent)
        more = desk.post(page, sent | {"add-work": "4"})
        assert len(more.context["form"].rows["work"].forms) == 6
        assert "written already" not in more.text

    def test_a_double_click_on_a_password_is_one_deed(self, desk, owner):
        page = reverse("person-add")
        form = desk.get(page).context["form"]
        sent = {"key": form["key"].value(), "username": "ada", "group": "maker"}
        sent |= dict.fromkeys(("password1", "password2"), "spoon and kettle 9")
        assert desk.post(page, sent).status_code == 302
        assert desk.post(page, sent).status_code == 302
        other = dict.fromkeys(("password1", "password2"), "spoon and kettle 8")
        assert "written already" in desk.post(page, sent | other).text


def test_days_are_part_of_it():
    lot = make.lot(grams="100")
    counted(lot, "90", key="k")
    with pytest.raises(Retold) as caught:
        counted(lot, "90", key="k", on=make.day(9) + timedelta(days=1))
    assert caught.value.first == Deed.objects.get(key="k")
