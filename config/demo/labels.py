"""What the bottles of the demo say, product by product."""

from decimal import Decimal

from config.demo.diary import item
from labels.actions import write_label_card, write_sheet
from labels.domain.sheets import centred
from labels.models import NUMBERS

CAUTIONS = (
    "For external use only. Avoid contact with eyes; if it gets in, rinse well with "
    "water. Keep out of reach of children."
)
BOTTLES = (
    ("Tideline 8 fl oz", "8 fl oz", "60", "90", "75", "160"),
    ("Tideline 16 fl oz", "16 fl oz", "80", "120", "115", "200"),
    ("Slipway 8 fl oz foamer", "8 fl oz", "60", "90", "75", "160"),
)


def write_labels() -> None:
    """One card a product."""
    for name, declared, width, height, panel, round_it in BOTTLES:
        write_label_card(
            item=item(name),
            identity="Liquid soap",
            function="For hands and body",
            declared=declared,
            rules="us",
            width=Decimal(width),
            height=Decimal(height),
            directions="Wet, lather, rinse.",
            cautions=CAUTIONS,
            keeps_months=24,
            shape="round",
            panel_height=Decimal(panel),
            panel_across=Decimal(round_it),
        )
    for across, down, columns, rows in (("60", "90", 3, 3), ("80", "120", 2, 2)):
        sheet = centred(
            "Letter", Decimal(across), Decimal(down), columns, rows, Decimal(4)
        )
        write_sheet(**{name: getattr(sheet, name) for name in NUMBERS})
