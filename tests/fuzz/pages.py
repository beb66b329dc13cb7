"""Every page and every form, as an owner, as a maker, and before signing in."""

from http.cookies import SimpleCookie
from random import Random
from typing import Any
from urllib.parse import urlencode

from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.signals import got_request_exception
from django.test import Client
from django.urls import NoReverseMatch, reverse

from tests.fuzz import nasties
from tests.fuzz.bench import Page, addresses, left_as_it_was
from tests.fuzz.files import papers
from tests.fuzz.found import Found

PER_NAME = 3
WORDS = (
    *("page", "per_page", "sort", "sheet", "find", "since", "on", "lot", "batch"),
    *("through", "from", "status", "kind", "stage", "done", "also", "place", "what"),
    *("into", "blind", "look", "rules", "print", "next", "version", "item", "stock"),
    *("add-uses", "sent", "a", "b", "day", "who", "beside", "key", "kept", "promoted"),
)
# What a person would type in a box that stands open, by the end of its name.
USUAL = {
    "amount": "10",
    "wanted": "10",
    "price": "12.50",
    "number": "N-1",
    "name": "anything",
    "share": "10 %",
    "purity": "90 %",
    "code": "C-1",
    "on": "2026-03-02",
    "found": "100",
    "minutes": "20",
    "hours": "1",
}


class Desk:
    """Three people at the door, and what each has seen."""

    def __init__(self, found: Found, dice: Random) -> None:
        from django.contrib.auth import get_user_model

        from production.models import Batch, Item, Lot

        self.found, self.dice = found, dice
        people = {
            user.groups.values_list("name", flat=True).first(): user
            for user in get_user_model().objects.filter(is_active=True)
        }
        self.clients = {"nobody": Client(raise_request_exception=False)}
        for group, user in sorted(people.items(), key=lambda one: str(one[0])):
            client = Client(raise_request_exception=False)
            client.force_login(user)
            self.clients[str(group)] = client
        # A door that was shut by one input stands open for the next.
        self.cookies = {
            w: {n: m.value for n, m in c.cookies.items()}
            for w, c in self.clients.items()
        }
        self.codes = sorted(Lot.objects.values_list("code", flat=True))
        self.marks = sorted(Batch.objects.values_list("code", flat=True))
        self.items = sorted(Item.objects.values_list("pk", flat=True))
        self.names = addresses()
        self.pages: dict[str, list[str]] = {}
        self.fault: BaseException | None = None
        got_request_exception.connect(self._heard)

    def close(self) -> None:
        got_request_exception.disconnect(self._heard)

    def _heard(self, **_: Any) -> None:
        import sys

        self.fault = sys.exc_info()[1]

    def ask(self, who: str, method: str, to: str, **words: Any) -> str:
        """Send one request and read the whole answer; its text, if it is a page."""
        self.fault, text = None, ""
        # Said so that it can be sent again.
        said = f"{who} {method} {to[:200]!r} {_short(words)}"
        with self.found.one(said):
            with left_as_it_was():
                client = self.clients[who]
                client.cookies = SimpleCookie(self.cookies[who])
                if method == "RAW":
                    # The client's own ``post`` would write it in that alphabet.
                    answer = client.generic("POST", to, **words)
                else:
                    answer = getattr(client, method.lower())(to, **words)
                content = b"".join(answer) if answer.streaming else answer.content
                self.found.count(answer.status_code)
                if "html" in answer.get("Content-Type", ""):
                    text = content.decode()
            if self.fault is not None:
                self.found.note(self.fault, said)
            elif answer.status_code >= 500:
                self.found.note_words(f"answered {answer.status_code}", said)
        return text

    def crawl(self, most: int = 400) -> None:
        """Follow the links from the start, a few pages of each name."""
        from django.urls import Resolver404, resolve

        owner = next(w for w in self.clients if "owner" in w.lower())
        waiting, seen, per_name = ["/"], set(), dict[str, int]()
        while waiting and len(seen) < most:
            to = waiting.pop(0)
            path = to.partition("?")[0]
            try:
                name = resolve(path).view_name
            except Resolver404:
                continue
            if to in seen or per_name.get(name, 0) >= PER_NAME:
                continue
            seen.add(to)
            per_name[name] = per_name.get(name, 0) + 1
            page = Page(self.ask(owner, "GET", to))
            self.pages.setdefault(name, []).append(to)
            waiting += [path + to if to[0] == "?" else to for to in page.links]

    def address(self) -> str:
        """The address of any page, mostly one that there is."""
        name, parts = self.dice.choice(self.names)
        if name.startswith("admin:"):
            name, parts = self.dice.choice(self.names)
        if self.pages.get(name) and self.dice.random() < 0.6:
            return self.dice.choice(self.pages[name])
        try:
            return reverse(name, kwargs={n: self._part(n, k) for n, k in parts.items()})
        except NoReverseMatch:
            return "/" + self.dice.choice(nasties.CODES).replace("\ud800", "")

    def _part(self, name: str, kind: str) -> Any:
        dice = self.dice
        if kind == "IntConverter":
            return dice.choice((0, 1, 1, 2, 3, 5, 8, 10**9, 10**18, 10**19, 10**40))
        if kind == "StageConverter":
            return dice.choice(("cook", "dilution", "finishing", "filling"))
        if name == "day":
            return dice.choice((*nasties.DAYS, "2026-01-31"))
        if name == "code" and dice.random() < 0.7:
            return dice.choice(self.codes if dice.random() < 0.6 else self.marks)
        if kind == "SlugConverter":
            return dice.choice(("lot", "batch", "purchase", "sale", "line", "x" * 90))
        text = dice.choice(nasties.ALL)[:300]
        return text.encode("utf-8", "replace").decode()

    def step(self) -> None:
        dice = self.dice
        who = dice.choice([w for w in self.clients if w != "nobody"] * 3 + ["nobody"])
        to = self.address()
        headers = {}
        if dice.random() < 0.15:
            key = dice.choice(sorted(nasties.HEADERS))
            if not (key == "HTTP_COOKIE" and who != "nobody"):
                headers[key] = dice.choice(nasties.HEADERS[key])
        match dice.randrange(10):
            case 0 | 1 | 2:
                self.query(who, to, headers)
            case 3:
                self.raw(who, to, headers)
            case _:
                self.form(who, to, headers)

    def query(self, who: str, to: str, headers: dict[str, str]) -> None:
        """An address with words behind it that no page has sent."""
        dice, words = self.dice, []
        path, _, rest = to.partition("?")
        for _ in range(dice.randint(1, 3)):
            words.append((dice.choice(WORDS), self._odd()))
        if rest and dice.random() < 0.7:
            pairs = [pair.partition("=") for pair in rest.split("&")]
            words += [(name, value) for name, _, value in pairs]
        self.ask(who, "GET", f"{path}?{_coded(words)}", **headers)

    def raw(self, who: str, to: str, headers: dict[str, str]) -> None:
        """A body that is no form."""
        self.ask(
            who,
            "RAW",
            to,
            data=self.dice.choice(nasties.BODIES),
            content_type=self.dice.choice(nasties.CONTENT_TYPES),
            **headers,
        )

    def form(self, who: str, to: str, headers: dict[str, str]) -> None:
        """A form of the page, filled as a person would, with a few odd boxes."""
        dice = self.dice
        text = self.ask(who, "GET", to, **headers)
        forms = [form for form in Page(text).forms if form["fields"]]
        if not forms:
            return
        form = dice.choice(forms[-2:])
        fields = self._filled(form)
        names = sorted(fields)
        for name in dice.sample(names, min(len(names), dice.randint(1, 3))):
            fields[name] = self._odd(fields[name])
        if dice.random() < 0.1:
            fields[dice.choice(WORDS)] = self._odd()
        if dice.random() < 0.1:
            fields.pop(dice.choice(names), None)
        for name in form["files"]:
            if dice.random() < 0.9:
                given, raw = dice.choice(papers(dice))
                fields[name] = SimpleUploadedFile(named(given), raw)
        path = form["to"] or to
        if form["method"] == "get":
            path = f"{path.partition('?')[0]}?{_coded(fields.items())}"
            self.ask(who, "GET", path, **headers)
            return
        if form["files"]:
            sent = {n: _sendable(v) for n, v in fields.items()}
            self.ask(who, "POST", path, data=sent, **headers)
            return
        kind = "application/x-www-form-urlencoded"
        self.ask(
            who, "POST", path, data=_coded(fields.items()), content_type=kind, **headers
        )

    def _filled(self, form: dict[str, Any]) -> dict[str, Any]:
        dice, fields = self.dice, dict(form["fields"])
        for name, choices in form["choices"].items():
            if not fields.get(name) and dice.random() < 0.7:
                fields[name] = dice.choice(choices)
        for name, value in fields.items():
            if value or dice.random() < 0.4:
                continue
            end = name.rpartition("-")[2]
            if end in ("lot", "soap", "fragrance", "diluted", "brine", "paste"):
                fields[name] = dice.choice(self.codes)
            else:
                last = end.rpartition("_")[2]
                fields[name] = USUAL.get(end) or USUAL.get(last, "")
        return fields

    def _odd(self, right: Any = "") -> str:
        dice = self.dice
        if isinstance(right, str) and right and dice.random() < 0.4:
            return nasties.bent(dice, right[:200])
        return dice.choice(nasties.ALL)


def _coded(pairs: Any) -> str:
    return urlencode([(n, str(v)) for n, v in pairs], errors="surrogatepass")


def _sendable(value: Any) -> Any:
    return value.encode("utf-8", "replace") if isinstance(value, str) else value


def _short(words: dict[str, Any]) -> str:
    shown = {n: v for n, v in words.items() if v not in ("", b"")}
    text = str(shown.pop("data", ""))
    pairs = [pair if len(pair) < 90 else f"{pair[:80]}..." for pair in text.split("&")]
    return f"{'&'.join(pairs)[:2000]} {shown or ''}"


def named(given):
    """A name that a client of Django's can send; others it refuses by itself."""
    return "x" if given.rpartition("/")[2] in ("", ".", "..") else given
