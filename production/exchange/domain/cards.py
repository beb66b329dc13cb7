"""Cards, which have no day, and recipes."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from production.exchange.domain.shared import Dated
from production.recipes.domain.limits import NewCheck
from production.record.domain.keys import UNSAID, Event, Part, Unsaid, told


@dataclass(frozen=True, kw_only=True)
class Workshop(Event, type="workshop"):
    name: str | Unsaid = UNSAID
    address: str | Unsaid = UNSAID
    country: str | Unsaid = told(UNSAID, says="two letters, as US")
    contact: str | Unsaid = UNSAID
    zone: str | Unsaid = UNSAID
    units: str | Unsaid = UNSAID
    paper: str | Unsaid = UNSAID
    domain: str | Unsaid = UNSAID
    emergency: str | Unsaid = UNSAID
    balance_step: Decimal | Unsaid | None = UNSAID


@dataclass(frozen=True, kw_only=True)
class Vessel(Event, type="vessel"):
    name: str
    volume: Decimal = told(says="mL to the brim")
    tare: Decimal | None = told(None, says="grams when empty")


@dataclass(frozen=True, kw_only=True)
class RuleOfThumb(Event, type="hint"):
    instead_of: str | None = told(None, shown=True, says="key of a published rule")
    topic: str
    figure: str
    low: Decimal | None = told(None, shown=True, says="shares are fractions")
    high: Decimal | None = told(None, shown=True)
    says: str
    source: str
    recipe: str | None = told(None, says="stands in the file before its rule")
    silent: bool = False


@dataclass(frozen=True, kw_only=True)
class Party(Event, type="party"):
    role: str = told(says="supplier, customer")
    name: str
    contact: str = ""


@dataclass(frozen=True, kw_only=True)
class Item(Event, type="item"):
    """What is not told of a new card is what its name proposes."""

    name: str
    unit: str = told(says="g, piece")
    kind: str = told(says="material, packaging, made")
    category: str | Unsaid = UNSAID
    serves_as: str | Unsaid = told(
        UNSAID, says="of packaging: container, closure, label, box, other"
    )
    acid: str | Unsaid = UNSAID
    density: Decimal | Unsaid | None = UNSAID
    oil: str | Unsaid | None = UNSAID
    own_inci: str | Unsaid = UNSAID
    own_potassium_soap: str | Unsaid = UNSAID
    own_sodium_soap: str | Unsaid = UNSAID
    needs_check: bool | Unsaid = UNSAID
    on_tap: bool | Unsaid = UNSAID
    tap_price: Decimal | Unsaid | None = UNSAID
    low_at: Decimal | Unsaid | None = UNSAID
    most: Decimal | Unsaid | None = UNSAID
    ph_low: Decimal | Unsaid | None = UNSAID
    ph_high: Decimal | Unsaid | None = UNSAID
    name_on_label: str | Unsaid | None = UNSAID
    alkali: str | Unsaid = UNSAID
    not_alkali: bool = told(
        False, says="an owner says that it is no strong alkali, for all its name"
    )
    mixture: Mapping[str, Decimal] = told(
        factory=dict, says="label names of what is several things; mass fractions"
    )


@dataclass(frozen=True)
class VersionLine(Part):
    item: str
    share: Decimal | None = None
    each: Decimal | None = told(None, says="share or each")
    goes_in: str = told("", says="lye, late")


@dataclass(frozen=True)
class Terms(Part):
    superfat: Decimal | Unsaid = UNSAID
    koh_share: Decimal | Unsaid = UNSAID
    lye_excess: bool | Unsaid = UNSAID
    water_per_alkali: Decimal | Unsaid = UNSAID
    lye_strength: Decimal | Unsaid = UNSAID
    target_soap: Decimal | Unsaid = UNSAID
    loss: Decimal | Unsaid = UNSAID
    band: Decimal | Unsaid = UNSAID
    release: str | Unsaid = UNSAID
    rest_days: int | Unsaid = UNSAID
    shelf_days: int | Unsaid = UNSAID
    steps: str | Unsaid = UNSAID


@dataclass(frozen=True, kw_only=True)
class Formula(Dated, type="formula"):
    name: str
    stage: str
    makes: str
    lines: tuple[VersionLine, ...]
    checks: tuple[NewCheck, ...] = ()
    terms: Terms | None = Terms()
