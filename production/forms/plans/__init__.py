"""What a recipe asks for, with lots proposed: earliest expiry first.

An alkali lot is never proposed: its code is typed, and its purity decides how much.
"""

from production.forms.plans.cook import CookPlanForm
from production.forms.plans.dilution import DilutionPlanForm
from production.forms.plans.rows import PlanForm, row, spans, water_rows
from production.forms.plans.shares import SharePlanForm
from production.models import Stage

__all__ = ["PlanForm", "plan_form", "row", "spans", "water_rows"]

PLANS = {Stage.COOK: CookPlanForm, Stage.DILUTION: DilutionPlanForm}


def plan_form(data, *, stage, on):
    return PLANS.get(stage, SharePlanForm)(data, stage=stage, on=on)
