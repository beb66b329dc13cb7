"""Who comes in, how often it may be tried, and what stays behind afterwards.

Standards: RFC 9111 section 5.2.2.5 (no-store). A count for each known device is common
practice (OWASP, Authentication Cheat Sheet: from memory).
"""

import io
import logging
import sys
from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from config import password_tries, signing_in
from production.models import Deed, Restated
from production.record.actions.people import is_owner
from production.workshop.actions.people import add_owner, unlock
from tests import make
from tests.production.writing import fill

GOOD, NEW = "kettle and spoon 7", "spoon and kettle 8"


@pytest.fixture
def ines(owner):
    owner.set_password(GOOD)
    owner.save()
    return owner


def try_in(seat, password=GOOD, name="ines", at="203.0.113.5"):
    sent = {"username": name, "password": password}
    return seat.post(reverse("login"), sent, REMOTE_ADDR=at).status_code


def wrong(times, **facts):
    return [try_in(Client(), "wrong", **facts) for _ in range(times)]


def later(monkeypatch, by):
    then = timezone.now() + by
    monkeypatch.setattr(password_tries.timezone, "now", lambda: then)


class TestTries:
    def test_whoever_types_her_name_elsewhere_shuts_no_owner_out(self, ines):
        home = Client()
        assert try_in(home, at="192.0.2.1") == 302
        home.post(reverse("logout"))
        assert wrong(6)[4:] == [429, 429]
        for number in range(30):
            wrong(1, at=f"198.51.100.{number}")
        # Her own browser, from wherever; and even at the address that was shut.
        assert try_in(home, at="203.0.113.5") == 302

    def test_her_own_browser_counts_too(self, ines):
        home = Client()
        try_in(home)
        home.post(reverse("logout"))
        assert [try_in(home, "wrong") for _ in range(5)] == [200] * 4 + [429]
        assert try_in(home) == 429
        # Another browser at the same address is another place.
        assert try_in(Client()) == 302

    def test_a_browser_of_one_is_a_stranger_to_the_other(self, ines):
        tobias = make.maker()
        tobias.set_password(GOOD)
        tobias.save()
        seat = Client()
        assert try_in(seat, name="tobias") == 302
        seat.post(reverse("logout"))
        assert [try_in(seat, "wrong") for _ in range(5)][-1] == 429
        assert try_in(Client()) == 429
        assert try_in(seat, name="tobias") == 302

    def test_a_made_up_device_is_none(self, ines):
        seat = Client()
        seat.cookies["device"] = f"mine/{ines.pk}"
        assert [try_in(seat, "wrong") for _ in range(5)][-1] == 429
        assert try_in(Client()) == 429

    def test_one_address_goes_through_no_list_of_names(self, ines):
        for number in range(20):
            last = wrong(1, name=f"name{number}")
        assert last == [429]
        assert try_in(Client()) == 429
        assert try_in(Client(), at="203.0.113.6") == 302

    def test_one_name_is_only_slowed_from_everywhere(self, ines, monkeypatch):
        for number in range(20):
            wrong(1, at=f"198.51.100.{number}")
        assert try_in(Client(), at="192.0.2.1") == 429
        later(monkeypatch, timedelta(seconds=31))
        assert try_in(Client(), at="192.0.2.1") == 302

    def test_an_hour_later_it_is_forgotten(self, ines, monkeypatch):
        wrong(5)
        assert try_in(Client()) == 429
        later(monkeypatch, timedelta(minutes=61))
        assert try_in(Client()) == 302

    def test_a_network_of_long_addresses_is_one_place(self, ines):
        for number in range(5):
            last = wrong(1, at=f"2001:db8::{number + 1}")
        assert last == [429]
        assert try_in(Client(), at="2001:db8:0:1::1") == 302

    def test_no_name_and_no_password_is_kept(self, ines):
        wrong(1, name="my secret by mistake")
        rows = str(list(AccessAttempt.objects.values()))
        assert "secret" not in rows
        assert "wrong" not in rows

    def test_the_page_says_how_long(self, ines):
        wrong(4)
        sent = {"username": "ines", "password": "wrong"}
        shut = Client().post(reverse("login"), sent, REMOTE_ADDR="203.0.113.5")
        assert (shut.status_code, shut["Retry-After"]) == (429, "30")
        assert "manage.py unlock NAME" in shut.text


class TestUnlock:
    def test_at_the_machine(self, ines, capsys):
        wrong(5)
        call_command("unlock", "ines")
        assert capsys.readouterr().out.strip() == "ines may try again."
        assert try_in(Client()) == 302
        deed = Deed.objects.get(verb="let somebody in again")
        assert (deed.by, deed.reason) == (ines, "By unlock, at the machine itself.")

    def test_where_nothing_is_shut_or_nobody_is(self, ines):
        with pytest.raises(CommandError, match="is not shut out"):
            call_command("unlock", "ines")
        with pytest.raises(CommandError, match="no person wren"):
            call_command("unlock", "wren")
        assert not Deed.objects.exists()

    def test_on_a_page_with_its_line(self, desk, owner):
        tobias = make.maker()
        tobias.set_password(GOOD)
        tobias.save()
        wrong(5, name="tobias")
        fill(desk, reverse("person-unlock", args=[tobias.pk]), reason="he rang")
        assert try_in(Client(), name="tobias") == 302
        card = desk.get(reverse("person", args=[tobias.pk])).text
        assert "wrong passwords: forgotten. Why: he rang" in card
        assert reverse("person-unlock", args=[tobias.pk]) in desk.get("/workshop/").text

    def test_a_maker_does_it_for_nobody_else(self, ines):
        wrong(5)
        with make.refused("Only an owner may let somebody in again"):
            unlock(person=ines, **make.act(by=make.maker()))


@pytest.mark.django_db
class TestAddOwner:
    def run(self, monkeypatch, name="ines", password=GOOD):
        monkeypatch.setattr(sys, "stdin", io.StringIO(f"{password}\n"))
        call_command("add_owner", name)
        return get_user_model().objects.get(username=name)

    def test_the_first_owner_is_told_by_a_deed(self, monkeypatch):
        ines = self.run(monkeypatch)
        assert is_owner(ines)
        assert not ines.is_superuser
        assert try_in(Client()) == 302
        deed = Deed.objects.get(verb="let an owner in at the machine")
        assert deed.by == ines
        said = dict(Restated.objects.filter(deed=deed).values_list("field", "value"))
        assert said == {"group": "owner", "active": "yes"}

    def test_an_owner_who_forgot_all_comes_in_again(self, monkeypatch, ines):
        ines.is_active = False
        ines.save()
        wrong(5)
        again = self.run(monkeypatch, password=NEW)
        assert again == ines
        assert try_in(Client(), NEW) == 302
        said = Restated.objects.values_list("field", "before", "value")
        assert set(said) == {
            ("active", "no", "yes"),
            ("password", "", "a new one was given"),
        }

    def test_a_password_may_be_piped_twice(self, monkeypatch):
        self.run(monkeypatch, password=f"{GOOD}\n{GOOD}")
        assert try_in(Client()) == 302

    @pytest.mark.parametrize(
        ("name", "password", "says"),
        [
            ("ines", "short", "too short"),
            ("in es!", GOOD, "valid username"),
            ("ines", f"{GOOD}\n{NEW}", "not the same: nothing was written"),
        ],
    )
    def test_what_is_refused_leaves_nobody(self, monkeypatch, name, password, says):
        with pytest.raises(CommandError, match=says):
            self.run(monkeypatch, name, password)
        assert not get_user_model().objects.exists()
        assert not Deed.objects.exists()

    @pytest.mark.parametrize("name", ["createsuperuser", "changepassword"])
    def test_the_frameworks_own_ways_are_shut(self, name):
        with pytest.raises(CommandError, match="add_owner NAME instead"):
            call_command(name)

    def test_who_signs_for_the_past_is_no_owner(self, monkeypatch):
        from production.exchange.actions.replaying import clerk

        with make.refused("only signs for a past"):
            add_owner(username=clerk().username, password=GOOD, on=make.day(2))


class TestSession:
    def test_it_ends_by_idling_and_not_by_working(self, desk, owner, monkeypatch):
        row = Session.objects.get()
        span = row.expire_date - timezone.now()
        assert timedelta(hours=11, minutes=59) < span <= timedelta(hours=12)
        Session.objects.update(expire_date=timezone.now() + timedelta(minutes=5))
        clock = signing_in.time.time() + 120
        monkeypatch.setattr(signing_in.time, "time", lambda: clock)
        assert desk.get("/lots/").status_code == 200
        assert Session.objects.get().expire_date - timezone.now() > timedelta(hours=11)
        Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))
        assert desk.get("/lots/").status_code == 302

    def test_reading_on_writes_nothing_within_a_minute(self, desk):
        before = Session.objects.get().expire_date
        desk.get("/lots/")
        assert Session.objects.get().expire_date == before

    def test_ones_own_new_password_ends_the_other_screens(self, ines):
        here, there = Client(), Client()
        try_in(here), try_in(there)
        sent = {"old_password": GOOD, "new_password1": NEW, "new_password2": NEW}
        assert here.post(reverse("password"), sent).status_code == 302
        assert here.get("/lots/").status_code == 200
        assert there.get("/lots/").status_code == 302
        deed = Deed.objects.get(verb="change one's own password")
        assert deed.by == ines
        card = here.get(reverse("person", args=[ines.pk])).text
        assert "password: own, changed" in card
        assert NEW not in card

    def test_a_password_given_by_an_owner_ends_them_all(self, desk, owner):
        tobias = make.maker()
        seat = Client()
        seat.force_login(tobias)
        passwords = dict.fromkeys(["new_password1", "new_password2"], NEW)
        fill(desk, reverse("person-password", args=[tobias.pk]), **passwords)
        assert seat.get("/lots/").status_code == 302


class TestNothingStaysBehind:
    def test_pages_parts_and_papers(self, desk):
        lot = make.lot("K-1")
        paper = make.attachment(lot=lot)
        part = {"HX-Request": "true", "HX-Trigger-Name": "lot"}
        for answer in (
            desk.get("/"),
            desk.get("/lots/"),
            desk.get(f"{reverse('trace')}?lot={lot.code}"),
            desk.get(paper.get_absolute_url()),
            desk.get("/lots/?sheet=xlsx"),
            desk.get("/nowhere/"),
            desk.get(reverse("echo-lot"), {"lot": "K-1"}, headers=part),
        ):
            assert answer["Cache-Control"] == "no-store, private"

    def test_a_form_is_held_for_back_alone_and_goes_with_its_person(self, desk, owner):
        page = desk.get(reverse("lot-count", args=[make.lot("K-1").code]))
        assert page["Cache-Control"] == "private, max-age=0"
        seat = page.cookies["seat"]
        assert f'name="who" value="{seat.value}"' in page.text
        assert not seat["httponly"]
        out = desk.post(reverse("logout"))
        assert out["Clear-Site-Data"] == '"cache"'
        assert out.cookies["seat"].value == ""
        assert out["Cache-Control"] == "no-store, private"

    def test_what_nobody_signs_in_for_is_as_before(self, client, db):
        assert "no-store" not in client.get(reverse("splash")).get("Cache-Control", "")
        assert "no-store" not in client.get("/healthz").get("Cache-Control", "")


def test_a_line_for_each_deed_and_refusal_with_numbers_alone(desk, ines, caplog):
    log = logging.getLogger("kettlebook")
    log.propagate, level = True, log.level
    log.setLevel("INFO")
    try:
        tobias = make.maker()
        facts = {"person": tobias, "group": "owner", "active": True}
        from production.workshop.actions.people import change_person

        change_person(**facts, **make.act(reason="Ada asked"))
        with make.refused("It is so already"):
            change_person(**facts, **make.act())
        try_in(Client())
        wrong(1)
    finally:
        log.setLevel(level)
    deed = Deed.objects.get()
    lines = [one.getMessage() for one in caplog.records if "kettlebook" in one.name]
    day, who = make.day(2), ines.pk
    verb = "'change what a person may do'"
    assert lines == [
        f"deed id={deed.pk} verb={verb} on={day} by={who}",
        f"refused verb={verb} on={day} by={who}",
        f"sign-in by={who}",
        "sign-in refused",
    ]
    assert settings.LOGGING["loggers"]["axes"]["level"] == "CRITICAL"
