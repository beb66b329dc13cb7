"""The sheet of deposits: taken and paid back in the period, and owed at its end."""

from costing.files.tables import Plain, Table
from costing.reads.year_file import YearFile


def deposits(table: Table, found: YearFile) -> None:
    """Taken is less what went back with full bottles; paid back is for empty ones."""
    table.headings("on", "paper", "whose", "taken", "paid back")
    for one in found.deposits:
        words = (one.on, one.paper, one.who)
        table.write(*words, *((None, one.money) if one.empty else (one.money, None)))
    table.foot("DE")
    table.write()
    table.headings("owed at the end", "pieces", "", "owed")
    for party in found.deposits_owed:
        table.write(party.name, Plain(party.with_them), "", party.owed)
    table.foot("D")
