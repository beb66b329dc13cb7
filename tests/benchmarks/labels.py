"""A thousand equal labels against one sheet of them."""

from time import perf_counter

from labels.domain.sheets import PRESETS
from labels.files import sheet_pdf
from tests.labels.test_label_facts import drawn

BAR = 2.0


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
    return [("1,000 equal labels", many, "one sheet of them", one, BAR)]
