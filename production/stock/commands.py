"""``remake_stock``: make what is kept in stock anew from the entries."""

from production.pages.commands import HouseCommand
from production.stock.actions.stock_rows import remake_stock


class Command(HouseCommand):
    help = (
        "Make what is kept of every lot and place anew from the entries. Only needed "
        "where audit says that the two differ."
    )
    example = """\
  python manage.py remake_stock
"""

    def answer(self, **options):
        rows = remake_stock()
        one = rows == 1
        return f"{rows} {'row' if one else 'rows'} made from the entries."
