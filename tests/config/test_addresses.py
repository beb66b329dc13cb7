"""Every address: the noun first, then which of them, then what is done to it."""

from urllib.parse import unquote, urlsplit

import pytest
from django.urls import URLResolver, get_resolver, resolve, reverse
from hypothesis import example, given
from hypothesis import strategies as st

from production.quantities.domain.code_shape import FIXED

CODE = "<code:code>"
# There is one of each, or it is no thing at all.
SINGLE = frozenset(
    {"bench", "books", "day", "echo", "history", "plan", "restored", "splash", "trace"}
    | {"value", "workshop", "healthz", "login", "logout", "password", "accountant"}
)
# Pages that are about another noun than the first word of their name says.
ABOUT = {
    "start": "",
    "alkali-titrate": "lots",
    "batch-trials": "trials",
    "batch-trials-beside": "trials",
    "batch-trials-mix": "trials",
    "batch-run": "batches",
    "book-close": "history",
    "book-value": "value",
    "compare": "recipes",
    "compare-cost": "recipes",
    "deed": "history",
    "deed-made": "day",
    "deed-undo": "history",
    "filled": "lots",
    "formula": "recipes",
    "hint-change": "rules",
    "hint-write": "rules",
    "hints": "rules",
    "label-card": "items",
    "line-price": "purchases",
    "person": "workshop",
    "person-add": "workshop",
    "person-password": "workshop",
    "person-unlock": "workshop",
    "put-right": "figures",
    "put-right-done": "history",
    "run-sheet": "batches",
    "run-sheet-pdf": "batches",
    "run-superfat": "batches",
    "stock-open": "lots",
    "version": "recipes",
    "version-next": "recipes",
    "version-swap": "recipes",
    "vessel-add": "workshop",
    "vessel-change": "workshop",
}


def routes(patterns=None, before=""):
    """Each named path as (name, how it is written)."""
    for one in get_resolver().url_patterns if patterns is None else patterns:
        written = f"{before}{one.pattern}"
        if not isinstance(one, URLResolver):
            yield one.name, written
        elif not one.namespace:
            yield from routes(one.url_patterns, written)


ROUTES = dict(routes())
OF_A_CODE = {name: written for name, written in ROUTES.items() if CODE in written}
WORDS = sorted({word for written in ROUTES.values() for word in written.split("/")})
CODES = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
    st.sampled_from(WORDS),
    st.lists(st.sampled_from([*WORDS, "a", ".", "..", "%", "?", "~"])).map("/".join),
)


def noun(name):
    """What the page of that name is about, as its address is to begin with it."""
    head = ABOUT.get(name, name.partition("-")[0])
    if name in ABOUT or head in SINGLE or (head.endswith("s") and head != "loss"):
        return head
    if head.endswith("y"):
        return f"{head[:-1]}ies"
    return f"{head}es" if head.endswith(("ch", "s")) else f"{head}s"


@pytest.mark.parametrize("name", ROUTES)
def test_it_begins_with_the_noun_of_its_page(name):
    first = ROUTES[name].partition("/")[0]
    assert first == noun(name)
    assert first in SINGLE or first.endswith("s") or name == "start"


def test_no_page_is_about_another_noun_and_gone():
    assert set(ABOUT) <= set(ROUTES)


@pytest.mark.parametrize("name", OF_A_CODE)
def test_the_code_stands_behind_its_noun_and_the_deed_behind_it(name):
    shelf, code, deed = OF_A_CODE[name].split("/", 2)
    assert shelf in ("lots", "batches")
    assert code == CODE
    assert deed.count("/") == (deed != "" and "." not in deed)


def test_every_word_that_stands_where_a_code_may_is_known():
    shelves = {written.partition(CODE)[0] for written in OF_A_CODE.values()}
    words = {
        written.removeprefix(shelf).partition("/")[0]
        for shelf in shelves
        for written in ROUTES.values()
        if written.startswith(shelf)
    }
    assert words - {"", CODE} == FIXED


@given(CODES)
@example("filled")
@example("a/hold")
@example("hold")
@example("%2F")
@example("~")
@example("")
def test_each_code_has_an_address_that_leads_to_it_alone(code):
    for name, written in OF_A_CODE.items():
        link = reverse(name, args=[code])
        path = urlsplit(link).path
        assert path == link
        # No browser walks its dots, and no server cuts it elsewhere.
        assert not {".", "..", ""} & set(path.strip("/").split("/"))
        assert path.count("/") == 1 + written.count("/")
        found = resolve(unquote(path))
        assert (found.view_name, found.kwargs) == (name, {"code": code})


@pytest.mark.parametrize("name", [one for one in ROUTES if "<" not in ROUTES[one]])
def test_what_asks_for_no_code_leads_to_its_own_page(name):
    assert resolve(reverse(name)).view_name == name
