"""A thousand equal labels, and five hundred lots, against bare baselines."""

from time import perf_counter

from labels.domain.sheets import PRESETS
from labels.files import Run, press, runs_pdf, sheet_pdf
from tests.labels.test_label_facts import drawn

BAR = 1.25
LOTS, LOTS_BAR = 500, 1.2


def _best(act, times=5):
    found = []
    for _ in range(times):
        begin = perf_counter()
        act()
        found.append(perf_counter() - begin)
    return min(found)


def rows():
    """What it is, ours, against what, a bare baseline of the same run, and the bar."""
    drawing = drawn("eu", "99.1", "38.1")
    sheet = PRESETS[0]

    def printed(count):
        return sheet_pdf(drawing, sheet, "benchmark", count=count)

    printed(1)  # the fonts are read once in a process
    one = _best(lambda: printed(sheet.cells))
    many = _best(lambda: printed(1000))
    lots = [drawn("eu", "99.1", "38.1", batch=f"TIDE-{n:04}") for n in range(LOTS)]
    runs = [Run(lot, 1) for lot in lots]
    each = _best(lambda: runs_pdf(runs, sheet, "benchmark"), times=1)
    # The renderer alone, each of these labels whole.
    pages = [press._pages([lot], "benchmark") for lot in lots]
    bare = _best(lambda: press.press().printed(*pages), times=1)
    return [
        ("1,000 equal labels", many, "one sheet of them", one, BAR),
        (f"{LOTS} lots, a label each", each, "the bare renderer", bare, LOTS_BAR),
    ]
