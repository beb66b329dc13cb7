"""What forty bottles take, worked out by hand: the sum that the tests compare with.

It uses nothing of the program: fractions, step by step, rounded once at the end.
Recipes, losses and stock are invented (``tideline.py``). Facts from outside:

- atomic weights: CIAAW (IUPAC), conventional standard atomic weights;
- saponification values, mg KOH per g: Codex CXS 210-1999, Table 2, safflower high
  oleic 186 to 194 (190 is taken) and babassu 245 to 256 (247); oleic acid USP-NF, acid
  value 196 to 204 (198.6);
- the ounce: 28.349523125 g exactly, NIST SP 811, Appendix B.
"""

import re
from fractions import Fraction as F
from typing import NamedTuple

HALF, OUNCE = F(1, 2), F("28.349523125")

# --- Molar masses, g/mol -------------------------------------------------------------
K, O, H, C = F("39.0983"), F("15.999"), F("1.008"), F("12.011")  # noqa: E741
KOH = K + O + H  # 56.1053
WATER = 2 * H + O  # 18.015
GLYCEROL = 3 * C + 8 * H + 3 * O  # 92.094

# --- One kilogram of oils ------------------------------------------------------------
SAFFLOWER, BABASSU, OLEIC = F(700), F(220), F(80)  # 70, 22 and 8 %
# Grams of KOH that each takes: grams x mg KOH per g / 1000.
TAKES = {
    "safflower": SAFFLOWER * 190 / 1000,  # 133.000
    "babassu": BABASSU * 247 / 1000,  # 54.340
    "oleic": OLEIC * F("198.6") / 1000,  # 15.888
}
# Superfat 2 %: that much of every oil stays as it is, and gets no alkali.
USED = F("0.98")
PURE = USED * sum(TAKES.values())  # 203.228 x 0.98 = 199.163
# Flakes of 89.9 % KOH; carbonate and water in them are weighed along.
FLAKES = PURE / F("0.899")  # 221.539
LYE_WATER = F("2.2") * FLAKES  # 487.386
POT = 1000 + FLAKES + LYE_WATER  # 1,708.925

# --- Its soap ------------------------------------------------------------------------
# A fat and three KOH give three soaps and one glycerol: soap = fat + KOH - glycerol.
# An acid and one KOH give one soap and one water:       soap = acid + KOH - water.
FAT_SOAP = sum(
    grams + TAKES[oil] - TAKES[oil] / KOH / 3 * GLYCEROL
    for oil, grams in (("safflower", SAFFLOWER), ("babassu", BABASSU))
)  # 1,004.844 at full saponification
ACID_SOAP = OLEIC + TAKES["oleic"] - TAKES["oleic"] / KOH * WATER  # 90.786
SOAP = USED * (FAT_SOAP + ACID_SOAP)  # 1,073.717
# 3.1 % of the pot boils off, all of it water.
PASTE_OF_POT = F(1) - F("0.031")
CONTENT = SOAP / (POT * PASTE_OF_POT)  # 0.648

# --- From forty bottles back to the kettle --------------------------------------------
FINISHED = F(40 * 245)  # 9,800; nothing is lost in filling
FINISHING = FINISHED / (1 - F("0.005"))  # 9,849.246
DILUTED, GLYCERIN, SCENT, BRINE = (
    FINISHING * share for share in (F("0.926"), F("0.030"), F("0.012"), F("0.032"))
)  # 9,120.402, 295.477, 118.191, 315.176
SALT, SALT_WATER = BRINE * F("0.2"), BRINE * F("0.8")  # 63.035, 252.141
DILUTION = DILUTED / (1 - F("0.007"))  # 9,184.695
# Soap stays: paste x its content = diluted soap x 21.6 %.
PASTE = DILUTION * F("0.216") / CONTENT  # 3,059.7
THINNING = DILUTION - PASTE
COOK = PASTE / PASTE_OF_POT
TIMES = COOK / POT  # so many kilograms of oils


class Row(NamedTuple):
    item: str
    lot: str
    amount: F
    unit: str = "g"


class Sheet(NamedTuple):
    """Rows by vessel; what is mixed, what comes out of it, the loss, the first day."""

    parts: tuple
    together: F
    out: F
    loss: str
    day: str = "2026-03-16"
    tare: F = F(0)
    unit: str = "g"


BEFORE = "from the stage before"
BY_HAND = {
    "preparation": Sheet(
        ((Row("Salt", "SALT-1", SALT), Row("Filtered tap water", "tap", SALT_WATER)),),
        BRINE,
        BRINE,
        "0 %",
    ),
    "cook": Sheet(
        (
            (
                Row("High-oleic safflower oil", "SAF-1", TIMES * SAFFLOWER),
                Row("Babassu oil", "BAB-1", TIMES * BABASSU),
                Row("Oleic acid", "OLE-1", TIMES * OLEIC),
            ),
            # Alkali goes into the water: the water stands above it.
            (
                Row("Filtered tap water", "tap", TIMES * LYE_WATER),
                Row("potassium hydroxide", "KOH-1", TIMES * FLAKES),
            ),
        ),
        COOK,
        PASTE,
        "3.1 %",
        tare=F(3180),
    ),
    # The paste rests a day; neither dilution nor finishing adds a rest.
    "dilution": Sheet(
        (
            (
                Row("Tideline paste", BEFORE, PASTE),
                Row("Filtered tap water", "tap", THINNING),
            ),
        ),
        DILUTION,
        DILUTED,
        "0.7 %",
        "2026-03-18",
    ),
    "finishing": Sheet(
        (
            (
                Row("Tideline, diluted", BEFORE, DILUTED),
                Row("Glycerin", "GLY-1", GLYCERIN),
                Row("Salt Marsh fragrance", "FRA-1", SCENT),
                Row("Brine, 20 %", BEFORE, BRINE),
            ),
        ),
        FINISHING,
        FINISHED,
        "0.5 %",
        "2026-03-20",
    ),
    "filling": Sheet(
        (
            (
                Row("Tideline, finished", BEFORE, FINISHED),
                Row("Bottle", "BOT-1", F(30), "pcs"),
                Row("Bottle", "not in stock", F(10), "pcs"),
                Row("Label", "LAB-1", F(40), "pcs"),
            ),
        ),
        FINISHED,
        F(40),
        "0 %",
        "2026-03-20",
        unit="pcs",
    ),
}
# Cooked on the 16th, its steps last a night and it rests a day; diluted on the 18th,
# two nights; filled on the 20th at the earliest, and ten days of rest.
FIRST_DAY = "2026-03-30"
# Begun at 9: at once, 25 min, 1 h 45, 3 h 5, 3 h 30 and a day later.
CLOCKS = ["09:00", "09:25", "10:45", "12:05", "12:30", "09:00"]


# --- How a figure is written ---------------------------------------------------------
def rounded(amount, step):
    """Half up to a step."""
    return (amount / F(step) + HALF).__floor__() * F(step)


def written(grams):
    """0.1 g from 100 g on, 0.01 g below; no amount here is below 1 g."""
    places = 1 if grams >= 100 else 2
    return f"{float(rounded(grams, F(1, 10**places))):,.{places}f}"


def in_pounds(grams):
    """Ounces to 0.01, below 100 g to 0.001; sixteen to the pound.

    They are those of the milligrams that the book holds, so of 63.035 g of salt.
    """
    places = 2 if grams >= 100 else 3
    ounces = rounded(rounded(grams, "0.001") / OUNCE, F(1, 10**places))
    pounds, rest = divmod(ounces, 16)
    text = f"{float(rest):.{places}f} oz"
    return f"{pounds:,} lb {text}" if pounds else text


def numbers(text):
    return re.findall(r"\d[\d,]*(?:\.\d+)?", text)


def cells(sheet, us):
    """Row by row: the target, what the balance shows or how much is in so far."""
    for rows in sheet.parts:
        # Nobody has weighed the jug of this workshop.
        tare, total = (sheet.tare if rows is sheet.parts[0] else 0), F(0)
        for row in rows:
            if row.unit == "pcs":
                yield row, [str(row.amount)], []
                continue
            total += row.amount
            target = [written(row.amount)]
            if us:
                target += numbers(in_pounds(row.amount))
            if sheet.unit == "pcs":
                so_far = []  # bottles are counted
            elif tare:
                so_far = [written(tare + total), written(total)]
            else:
                so_far = [written(total), *(numbers(in_pounds(total)) if us else [])]
            yield row, target, so_far
