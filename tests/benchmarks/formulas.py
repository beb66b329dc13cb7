"""A formula of thirty oils, worked out between two keystrokes."""

from decimal import Decimal as D

from production.chemistry.domain.profile import AcidShare
from production.recipes.domain.cooking import cook
from production.recipes.domain.pot import Fat, Line, Lye, Terms
from tests.benchmarks.measures import seconds

OILS = 30
ACIDS = ("C12:0", "C14:0", "C16:0", "C18:0", "C18:1", "C18:2", "C18:3", "C20:0")
# So many additions take about a millisecond on the machine of the bar.
BARE = 30_000


def rows():
    """Ours against plain additions; 5 ms and no more is asked for."""
    acids = tuple(AcidShare(acid, D("0.05"), D("0.125"), D("0.2")) for acid in ACIDS)
    lines = [
        Line(
            f"oil {at}", D(1) / OILS, fat=Fat(D(190 + at), D(185), D(225), acids=acids)
        )
        for at in range(OILS)
    ]
    terms = Terms(D("0.03"), water_per_alkali=D("2.2"), loss=D("0.03"))
    lyes = {"KOH": Lye(D("0.899"), D("0.004"))}
    yield (
        "a formula of 30 oils, worked out",
        seconds(lambda: cook(lines, terms, lyes, D(6000), D(1)), 25),
        f"{BARE:,} additions",
        seconds(_bare, 25),
        5,
    )


def _bare():
    total = 0
    for at in range(BARE):
        total += at
    return total
