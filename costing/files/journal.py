"""The journal as a plain table of text: for any program that takes one in."""

import csv
import io
from collections.abc import Iterable, Mapping

from costing.domain.accounts import in_words
from costing.domain.journal import Booked, lacking
from production.quantities.domain.refusal import Refused

HEADINGS = ("date", "document", "text", "account", "debit", "credit")
# A spreadsheet program takes such a text for a formula.
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def journal_csv(entries: Iterable[Booked], codes: Mapping[str, str]) -> bytes:
    """One row for each account of an entry, in UTF-8; refused while a code is missing.

    Figures have a point and two places and no sign; the empty side stays empty. A text
    that a spreadsheet would take for a formula has an apostrophe before it.
    """
    entries = list(entries)
    if missing := lacking(entries, codes):
        raise Refused(
            "These accounts have no code yet: "
            f"{', '.join(in_words(account) for account in missing)}. "
            "Write your accountant's codes on their card first."
        )
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(HEADINGS)
    for entry in entries:
        for account, cents in entry.lines.items():
            rows.writerow(
                [
                    entry.on.isoformat(),
                    _plain(entry.document),
                    _plain(entry.text),
                    codes[account],
                    _money(cents),
                    _money(-cents),
                ]
            )
    return text.getvalue().encode()


def _plain(words: str) -> str:
    words = " ".join(words.split())
    return f"'{words}" if words.startswith(_STARTS_A_FORMULA) else words


def _money(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02d}" if cents > 0 else ""
