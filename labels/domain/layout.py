"""Where each word of a label stands, from the real widths and heights of its font.

All lengths are in mm, from the top left corner. What must have a least height has
it; everything else shrinks towards its own least height until all of it fits.
"""

from dataclasses import replace
from decimal import Decimal

from labels.domain.columns import Faces
from labels.domain.composed import BACK, FRONT, Asked
from labels.domain.drawing import Drawing
from labels.domain.dress import E_CLAUSE, E_HEIGHT, E_ONLY, PLAIN, Dress, may_bear_e
from labels.domain.heights import Heights
from labels.domain.label import LabelContent, Missing
from labels.domain.trials import Trial
from production.quantities.domain.refusal import Refused

# From generous to least, in this many steps.
STEPS = 20


def ensure_size(width: Decimal, height: Decimal) -> None:
    """Refused for a label that nobody reads or no sheet holds."""
    if not (15 <= width <= 300 and 15 <= height <= 400):
        raise Refused("Make the label 15 to 300 mm wide and 15 to 400 mm high.")


def lay_out(
    content: LabelContent,
    width: Decimal,
    height: Decimal,
    heights: Heights,
    faces: Faces,
    dress: Dress = PLAIN,
) -> Drawing:
    """Draw a label of this size; what does not fit is missing, never smaller.

    A mark for which there is no room is left out. Of a pair the front is drawn, with
    its ``back`` of the same size. Refused for a sign that the font lacks, and for a
    label of no size.
    """
    ensure_size(width, height)
    drawing = _dressed(content, width, height, heights, faces, dress)
    if dress.mark and len(drawing.missing) > len(content.missing):
        # What the law asks for comes first.
        bare = replace(dress, mark=None)
        without = _dressed(content, width, height, heights, faces, bare)
        if len(without.missing) < len(drawing.missing):
            return replace(without, mark_left_out=True)
    return drawing


def _dressed(
    content: LabelContent,
    width: Decimal,
    height: Decimal,
    heights: Heights,
    faces: Faces,
    dress: Dress,
) -> Drawing:
    declared = content.contents.declared.amount if content.contents else None
    if dress.estimated and declared and not may_bear_e(declared, E_HEIGHT):
        content = content.lacking((Missing("e-mark", E_ONLY, E_CLAUSE),))
    if dress.form != "pair":
        return _drawn(Asked(content, width, height, heights, faces, dress))
    front, back = (
        _drawn(Asked(content, width, height, heights, faces, dress, side))
        for side in (FRONT, BACK)
    )
    more = tuple(one for one in back.missing if one not in content.missing)
    missing = (*front.missing, *more)
    return replace(front, missing=missing, back=replace(back, missing=missing))


def _drawn(asked: Asked) -> Drawing:
    """The most generous one that fits. Smaller type never needs more room."""
    most = _best(asked, STEPS)
    if most.fits:
        return most.drawing()
    found = _best(asked, 0)
    if not found.fits:
        return found.drawing()
    low, high = 0, STEPS - 1
    while low < high:
        step = (low + high + 1) // 2
        trial = _best(asked, step)
        if trial.fits:
            found, low = trial, step
        else:
            high = step - 1
    return found.drawing()


def _best(asked: Asked, step: int) -> Trial:
    tried = []
    for trial in asked.trials(Decimal(step) / STEPS):
        if trial.fits:
            return trial
        tried.append(trial)
    return min(tried, key=lambda trial: (trial.faults, trial.lacks))
