"""While the database is silent the house says so, and first aid is still there."""

from contextlib import contextmanager
from unittest.mock import patch

from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from config.middleware import POLICY


@contextmanager
def silence():
    """Nothing is heard of the database inside."""
    fault = OperationalError("server closed the connection unexpectedly")
    with patch.object(connection, "cursor", side_effect=fault):
        yield


def test_a_page_says_that_the_house_is_closed_for_a_moment(desk):
    desk.raise_request_exception = False
    with silence():
        answer = desk.get(reverse("lots"))
    assert answer.status_code == 503
    assert answer["Retry-After"] == "60"
    assert answer["Content-Security-Policy"] == POLICY
    assert "Closed for a moment" in answer.content.decode()


def test_first_aid_is_there_all_the_same(desk):
    desk.raise_request_exception = False
    for reader in (desk, Client()):
        with silence():
            answer = reader.get(reverse("splash"))
        assert answer.status_code == 200
        assert "at least 15 minutes" in answer.content.decode()
        assert "Call your local emergency number" in answer.content.decode()


def test_any_other_fault_is_not_called_so(desk, monkeypatch):
    def fall(*args, **kwargs):
        raise ZeroDivisionError

    desk.raise_request_exception = False
    monkeypatch.setattr("production.lots.views.lots.list_page", fall)
    answer = desk.get(reverse("lots"))
    assert answer.status_code == 500
    assert "Something broke here" in answer.content.decode()
