"""Files that are not what they say, at every door that takes one."""

import io
import json
import zipfile
from collections.abc import Callable
from functools import cache
from random import Random
from typing import Any

from openpyxl import Workbook

from production.buying.domain.purchase_sheet import lay_out
from production.papers.domain.papers import read_paper
from production.papers.files.sheets_in import read_sheet
from production.quantities.domain.refusal import Refused
from tests.fuzz import nasties
from tests.fuzz.bench import left_as_it_was
from tests.fuzz.found import Found

HEAD = ("Arrived", "Supplier", "Invoice", "Item", "Amount", "Price", "Own code")
ROW = ("2026-03-02", "Northmere", "N-77", "rapeseed oil", "1 kg", "12.50", "")
NAMES = ("a.xlsx", "a.pdf", "a.csv", "a.txt", "a.png", "\u202efdp.exe", "..", "x" * 300)


def _book(rows: list[tuple[Any, ...]]) -> bytes:
    book, kept = Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(kept)
    return kept.getvalue()


def _zip(parts: dict[str, bytes]) -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return kept.getvalue()


def with_part(raw: bytes, name: str, content: bytes) -> bytes:
    """An xlsx with one of its parts put in place of another."""
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        parts = {part: archive.read(part) for part in archive.namelist()}
    return _zip(parts | {name: content})


def cells(many: int, cell: bytes = b"<c><v>1</v></c>") -> bytes:
    """A sheet's part with so many cells in rows of fifty."""
    row = b"<row>" + cell * 50 + b"</row>"
    space = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return (
        b'<worksheet xmlns="' + space + b'"><sheetData>' + row * (many // 50)
    ) + b"</sheetData></worksheet>"


SHEET = "xl/worksheets/sheet1.xml"


@cache
def plain_book() -> bytes:
    return _book([HEAD, ROW])


@cache
def lies() -> list[tuple[str, bytes]]:
    """Files that lie about themselves, by name."""
    good = plain_book()
    space = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    sheet = b'<worksheet xmlns="' + space + b'"><sheetData>%s</sheetData></worksheet>'
    text = b'<row r="1"><c r="A1" t="inlineStr"><is><t>x</t></is></c></row>'
    return [
        ("good.xlsx", good),
        ("many.xlsx", with_part(good, SHEET, cells(1_400_000))),
        ("empty.xlsx", with_part(good, SHEET, cells(1_400_000, b"<c/>"))),
        ("far.xlsx", with_part(good, SHEET, sheet % text.replace(b"1", b"1048576"))),
        ("out.xlsx", with_part(good, SHEET, sheet % text.replace(b"1", b"9" * 30))),
        ("letters.xlsx", with_part(good, SHEET, sheet % text.replace(b"A", b"ZZZZZ"))),
        ("row.xlsx", with_part(good, SHEET, sheet % text.replace(b'"1"', b'"-5"'))),
        ("deep.xlsx", with_part(good, SHEET, sheet % (b"<a>" * 90_000))),
        ("strings.xlsx", with_part(good, "xl/sharedStrings.xml", b"<sst/>")),
        ("entity.xlsx", with_part(good, SHEET, b'<!DOCTYPE a [<!ENTITY x "y">]><a/>')),
        ("styles.xlsx", with_part(good, "xl/styles.xml", b"<a" + b" " * 9_000_000)),
        ("zeros.xlsx", _zip({"xl/workbook.xml": b"\0" * 50_000_000})),
        ("parts.xlsx", _zip({f"{n}.xml": b"" for n in range(2_000)})),
        ("none.xlsx", _zip({})),
        ("cut.xlsx", good[:700]),
        ("bits.xlsx", good[:60] + b"\xff" * 40 + good[100:]),
        ("cut.pdf", b"%PDF-1.7"),
        ("deep.pdf", b"%PDF-1.7\n" + b"[" * 100_000),
        ("other.pdf", b"\x89PNG\r\n\x1a\n"),
        ("big.txt", b"x" * (10 * 2**20 + 1)),
        ("nul.txt", b"a\0b"),
        ("wide.csv", b",".join(b"x" for _ in range(100_000))),
        ("long.csv", b"x" * 400_000),
        ("quote.csv", b'"' + b"x" * 200_000),
        ("rows.csv", b"a,b,c\n" * 6_000),
        ("utf16.csv", "a;b".encode("utf-16")),
        ("empty.csv", b""),
        ("cr.csv", b"a\rb\r\r"),
        ("kelvin.jpg", b"\xff\xd8\xff"),
        ("x.webp", b"RIFF....WEBP"),
    ]


def papers(dice: Random) -> list[tuple[str, bytes]]:
    """Files to send through a page: the small lies, and a sheet with odd cells."""
    small = [one for one in lies() if len(one[1]) < 300_000]
    raw = dice.choice(small)[1]
    return [dice.choice(small), (dice.choice(NAMES), raw), ("odd.xlsx", odd_book(dice))]


def odd_book(dice: Random) -> bytes:
    rows = [HEAD]
    for _ in range(dice.randint(1, 4)):
        row = list(ROW)
        for _ in range(dice.randint(1, 3)):
            text = dice.choice(nasties.ALL)[:300]
            row[dice.randrange(len(row))] = "".join(c for c in text if c.isprintable())
        rows.append(tuple(row))
    if dice.random() < 0.5:
        return _book(rows)
    lines = (";".join(str(cell) for cell in row) for row in rows)
    return "\n".join(lines).encode("utf-8", "replace")


def through_sheet(raw: bytes) -> None:
    from production.buying.forms.purchase_sheet.invoices import PurchaseSheet

    PurchaseSheet(lay_out(read_sheet(raw)))


@cache
def past() -> list[dict[str, Any]]:
    """The demo's own history, to be bent."""
    from production.record.domain.text import read
    from tests.fuzz.bench import told

    return [_renamed(dict(event.facts)) for event in read(told())[1]]


def _renamed(group: Any, key: str = "") -> Any:
    """The same past under other codes and numbers, so that it can be told twice."""
    if isinstance(group, dict):
        return {name: _renamed(inner, name) for name, inner in group.items()}
    if isinstance(group, list):
        return [_renamed(inner, key) for inner in group]
    named = isinstance(group, str) and group
    return f"{group}z" if named and key in NAMED else group


NAMED = ("code", "lot", "number", "batch", "sale", "purchase", "return", "invoice")


def bent_history(dice: Random) -> str:
    """A few events that were right, with something odd in one or two places."""
    events = [dict(one) for one in dice.sample(past(), min(len(past()), 3))]
    if dice.random() < 0.5:
        events = [dict(one) for one in past()[: dice.randint(1, 60)]]
    for _ in range(dice.randint(1, 2)):
        _bend(dice, events[-1] if dice.random() < 0.7 else dice.choice(events))
    head = {"format": "kettlebook-history", "version": 1, "currency": "USD"}
    return json.dumps(head | {"events": events})


def _bend(dice: Random, group: Any) -> None:
    """Somewhere in a group of JSON put something odd, drop it, or double it."""
    while True:
        keys = list(group) if isinstance(group, dict) else list(range(len(group)))
        if not keys:
            return
        key = dice.choice(keys)
        inner = group[key]
        if isinstance(inner, dict | list) and inner and dice.random() < 0.8:
            group[key] = type(inner)(inner)
            group = group[key]
            continue
        break
    match dice.randrange(6):
        case 0:
            del group[key]
        case 1:
            group[key] = dice.choice((None, True, 0, -1, 1.5, [], {}, [[]], "", 10**40))
        case 2 if isinstance(inner, str):
            group[key] = nasties.bent(dice, inner)
        case 3 if isinstance(group, list):
            group.append(inner)
        case _:
            group[key] = dice.choice(nasties.ALL)


def through_history(text: str) -> None:
    from production.exchange.actions.replaying import import_history

    import_history(text=text)


RECIPE = {
    "oils": [{"name": "olive", "grams": "600", "sv": "190.5", "kind": "fat"}],
    "acids": [{"kind": "citric", "grams": "10", "purity": "1"}],
    "superfat": "0.03",
    "koh_share": "0.5",
    "koh_purity": "0.90",
    "naoh_purity": "0.99",
    "lye_strength": "0.30",
}
TEXTS = (
    "",
    "[" * 200_000,
    '{"a":' * 90_000,
    "nul",
    "\ufeff{}",
    '"\\ud800"',
    "1" * 5000,
)


def bent_recipe(dice: Random) -> str:
    recipe: dict[str, Any] = json.loads(json.dumps(RECIPE))
    for _ in range(dice.randint(1, 3)):
        _bend(dice, recipe)
    text = json.dumps(recipe)
    return text.replace('"0.3', "1e999,", 1) if dice.random() < 0.05 else text


PARTS = {
    "parts": [
        {"inci": "Aqua", "percent": 70},
        {"inci": "Potassium Olivate", "percent": "29.2"},
        {"inci": "Parfum", "percent": "0.8", "role": "fragrance"},
        {"inci": "Linalool", "percent": "0.096", "role": "allergen"},
    ],
    "rinse_off": True,
}


def bent_parts(dice: Random) -> str:
    parts: dict[str, Any] = json.loads(json.dumps(PARTS))
    for _ in range(dice.randint(1, 2)):
        _bend(dice, parts)
    return json.dumps(parts)


class Files:
    """Every door for files, called as its page or command calls it."""

    def __init__(self, found: Found, dice: Random) -> None:
        self.found, self.dice = found, dice

    def all_lies(self) -> None:
        for name, raw in lies():
            self._one(f"sheet {name}", through_sheet, raw)
            self._one(f"paper {name}", lambda r, n=name: read_paper(n, r), raw)
        for text in TEXTS:
            self._one(f"history {text[:20]!r}", through_history, text)

    def step(self) -> None:
        dice = self.dice
        if dice.random() < 0.6:
            text = bent_history(dice)
            self._one(f"history {text[-1500:]}", through_history, text)
        else:
            raw = odd_book(dice)
            self._one(f"sheet {raw[:300]!r}", through_sheet, raw)

    def _one(self, said: str, door: Callable[[Any], object], what: Any) -> None:
        with self.found.one(said), left_as_it_was():
            try:
                door(what)
                self.found.count("taken")
            except Refused as fault:
                str(fault).encode()
                self.found.count("refused")
