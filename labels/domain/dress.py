"""How a label is dressed: its form and design, and what is no duty on it."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from labels.domain.codes import BatchCode
from labels.domain.inks import Mark
from production.quantities.domain.refusal import Refused

Form = Literal["one", "pair", "wrap"]
Design = Literal["plain", "frame", "band"]
# Constant quantities, in mL or g, that may bear the e-mark, and its least height in mm
# (Directive 76/211/EEC Art 1 and Annex I 3.3; SI 2006/659 reg 5(3)).
E_LEAST, E_MOST = Decimal(5), Decimal(10_000)
E_HEIGHT = Decimal(3)
E_CLAUSE = "Directive 76/211/EEC Art 1, Annex I 3.3"
E_ONLY = (
    "The e-mark stands on 5 g or mL to 10 kg or L alone, at least 3 mm high: take its "
    "tick away."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dress:
    """``leaflet`` and ``estimated`` draw the hand at the book and the e-mark;
    ``shelf`` is the maker's own EAN-13 or UPC-A."""

    form: Form = "one"
    design: Design = "plain"
    product: str = ""
    scent: str = ""
    mark: Mark | None = None
    leaflet: bool = False
    estimated: bool = False
    shelf: str = ""
    batch_code: BatchCode = ""


PLAIN = Dress()


def may_bear_e(amount: Decimal, height: Decimal) -> bool:
    """Whether contents of so many mL or g may bear an e-mark of so many mm."""
    return E_LEAST <= amount <= E_MOST and height >= E_HEIGHT


def ensure_e(amount: Decimal, height: Decimal = E_HEIGHT) -> None:
    """Refused where the e-mark may not stand."""
    if not may_bear_e(amount, height):
        raise Refused(E_ONLY)
