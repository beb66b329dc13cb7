"""The book that is fuzzed: the demo's year, with codes as an older book holds them."""

from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from typing import Any

from django.db import connection, transaction
from django.urls import URLPattern, URLResolver, get_resolver

from tests.fuzz.nasties import CODES


@contextmanager
def left_as_it_was() -> Iterator[None]:
    """What an input writes is rolled back, so that each meets the same book."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def odd_codes() -> list[str]:
    """Give some lots and batches codes that an older book let in; what was given."""
    from production.models import Batch, Lot

    given = []
    usable = [code for code in CODES if code.strip() and "\x00" not in code]
    for rows in (Lot, Batch):
        keys = list(rows.objects.order_by("-pk").values_list("pk", flat=True))
        for pk, code in zip(keys[::2], usable, strict=False):
            rows.objects.filter(pk=pk).update(code=code[:60])
            given.append(code[:60])
    return given


def addresses() -> list[tuple[str, dict[str, str]]]:
    """Every named path of the house, as (name, what each part of it is)."""
    found: list[tuple[str, dict[str, str]]] = []

    def walk(patterns: list[Any], space: str) -> None:
        for one in patterns:
            if isinstance(one, URLResolver):
                inner = f"{space}{one.namespace}:" if one.namespace else space
                walk(one.url_patterns, inner)
            elif isinstance(one, URLPattern) and one.name:
                parts = getattr(one.pattern, "converters", {})
                kinds = {n: type(c).__name__ for n, c in parts.items()}
                found.append((f"{space}{one.name}", kinds))

    walk(get_resolver().url_patterns, "")
    return found


class Page(HTMLParser):
    """The links and the forms of a page, as a browser would send them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.forms: list[dict[str, Any]] = []
        self._select = self._area = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        name = said.get("name", "")
        for key in ("href", "hx-get"):
            if said.get(key, "").startswith(("/", "?")):
                self.links.append(said[key])
        if tag == "form":
            form = {"to": said.get("action", ""), "fields": {}, "choices": {}}
            form |= {"method": said.get("method", "get").lower(), "files": []}
            self.forms.append(form)
        if not self.forms:
            return
        form = self.forms[-1]
        if tag == "input" and name:
            if said.get("type") == "file":
                form["files"].append(name)
            elif said.get("type") not in ("checkbox", "radio") or "checked" in said:
                form["fields"][name] = said.get("value", "")
            else:
                form["choices"].setdefault(name, []).append(said.get("value", "on"))
        elif tag == "button" and name:
            form["choices"].setdefault(name, []).append(said.get("value", ""))
        elif tag == "select" and name:
            self._select = name
            form["fields"].setdefault(name, "")
        elif tag == "option" and self._select:
            form["choices"].setdefault(self._select, []).append(said.get("value", ""))
            if "selected" in said:
                form["fields"][self._select] = said.get("value", "")
        elif tag == "textarea" and name:
            self._area = name
            form["fields"][name] = ""

    def handle_data(self, data: str) -> None:
        if self._area and self.forms:
            self.forms[-1]["fields"][self._area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""


def fresh_book() -> None:
    """A test database with the demo in it."""
    from config.demo import fill

    connection.creation.create_test_db(verbosity=0)
    fill("only for a test")


def told() -> str:
    """The whole book as a history file."""
    from production.exchange.reads import history_events
    from production.models import Workshop
    from production.record.domain.text import write

    return write(Workshop.objects.get().currency, history_events())
