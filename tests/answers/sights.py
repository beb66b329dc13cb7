"""What the pages of lots, batches, items, lists and recipes say."""

from collections.abc import Iterator
from itertools import pairwise

from django.urls import reverse

from production.models import Batch, Item, Lot, Version
from tests.answers.pages import lines_of

LISTS = ("start", "lots", "batches", "items", "book-value")


def ask_pages(desk, picked) -> Iterator[tuple[str, str, object]]:
    for name in LISTS:
        yield "page list", name, seen(desk, reverse(name))
    for kind, rows in (("lot", Lot.objects), ("batch", Batch.objects)):
        for code in rows.order_by("pk").values_list("code", flat=True):
            if picked(code):
                yield f"page {kind}", code, seen(desk, reverse(kind, args=[code]))
    for item in Item.objects.order_by("pk"):
        if picked(item.name):
            yield "page item", item.name, seen(desk, reverse("item", args=[item.pk]))
    versions = Version.objects.select_related("formula").order_by("formula", "number")
    for one, other in pairwise(versions):
        two = {"a": one.pk, "b": other.pk}
        for name in ("compare", "compare-cost"):
            asked = f"{one} beside {other}"
            yield f"page {name}", asked, seen(desk, reverse(name), two)


def seen(desk, address: str, asked: dict | None = None) -> list[str]:
    """The lines of a page, and where it leads if it is none."""
    answer = desk.get(address, asked or {})
    if answer.status_code != 200:
        return [f"status {answer.status_code}"]
    return lines_of(answer.content.decode())
