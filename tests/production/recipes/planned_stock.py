"""Stock of the day on which a chain is worked out, and how its plan is read."""

from datetime import date
from decimal import Decimal as D

from hypothesis import strategies as st

from production.recipes.domain.scaling.chain import OILS, Target
from production.recipes.domain.scaling.stock_view import StockView
from production.recipes.domain.scaling.work_out import Facts, work_out
from production.stock.domain.ledger import Candidate
from tests.production.recipes.chain_cases import (
    BOTTLE,
    CITRIC,
    FINISHED,
    GLYCERIN,
    KOH,
    NAOH,
    PAIL,
    PASTE,
    SOAP,
    TUBS,
    chain,
    cook,
)

TODAY = date(2026, 2, 25)
KOH_G, NAOH_G, GLYCEROL_G, WATER_G = (
    D(text) for text in ("56.1053", "39.997", "92.094", "18.015")
)
STEPS = st.sampled_from([D(text) for text in ("0.001", "0.1", "0.5", "1", "2", "5")])


def lot(code, grams, expiry=None):
    return Candidate(code, D(grams), expiry, date(2026, 1, 1))


def shelf(lots=(), packs=(), own=()):
    """Lots by material; whatever else a chain takes stands there in plenty."""
    plenty = {
        item.key: [lot(f"LOT-{item.key}", 10**9)]
        for item in (PAIL, GLYCERIN, CITRIC, BOTTLE)
    }
    plenty |= {KOH.key: [lot("K-1", 10**9)], NAOH.key: [lot("N-1", 10**9)]}
    return StockView(plenty | dict(lots), dict(packs), dict(own))


MADE = frozenset({PASTE.key, SOAP.key, FINISHED.key})


def facts(step="0.001", stands=None, **known):
    return Facts(stands or shelf(), TODAY, D(step), **known)


def weighed(stage):
    """What is weighed by the name of the material."""
    return {taken.need.item.name: taken.need.amount for taken in stage.taken}


def taken_of(stage, item):
    return next(taken for taken in stage.taken if taken.need.item == item)


def one_cook(amount="1000", step="0.001", stands=None, tubs=TUBS[:1], **terms):
    """A cook alone, for so many grams of oils."""
    made = chain(cook(**terms), tubs=tubs)
    return work_out(made, {1: Target(D(amount), OILS)}, facts(step, stands)).stage(1)


def near(found, within="0.01", **amounts):
    """Of what is made in the same plan as much is taken as comes out."""
    return set(found) == set(amounts) and all(
        abs(found[name] - amount) <= D(within) for name, amount in amounts.items()
    )
