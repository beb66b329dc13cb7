"""Paths of batches, the craft day, and trials."""

from django.urls import path

from production.batches.views import batches, days, losing, rates, sheets, trials
from production.stock.urls import BATCH, STAGE

urlpatterns = [
    path("batches/", batches.batches, name="batches"),
    path("batches/start/", batches.start, name="batch-start"),
    path(f"batches/run/{STAGE}/", batches.run, name="batch-run"),
    path(f"batches/run/{STAGE}/superfat/", batches.run_superfat, name="run-superfat"),
    path(f"batches/run/{STAGE}/sheet/", sheets.run_sheet, name="run-sheet"),
    path(f"batches/run/{STAGE}/sheet.pdf", sheets.run_sheet_pdf, name="run-sheet-pdf"),
    path(f"{BATCH}/", batches.batch, name="batch"),
    path(f"{BATCH}/use/", batches.use, name="batch-use"),
    path(f"{BATCH}/superfat/", batches.use_superfat, name="batch-superfat"),
    path(f"{BATCH}/step/", batches.step, name="batch-step"),
    path(f"{BATCH}/hours/", batches.work, name="batch-work"),
    path(f"{BATCH}/loss/", losing.loss, name="batch-loss"),
    path(f"{BATCH}/lose/", losing.lose, name="batch-lose"),
    path("losses/<int:pk>/rename/", losing.rename, name="loss-rename"),
    path(f"{BATCH}/make/", batches.make, name="batch-make"),
    path(f"{BATCH}/promote/", batches.promote, name="batch-promote"),
    path("day/", days.day, name="day"),
    path("day/superfat/", days.day_superfat, name="day-superfat"),
    path("day/<int:pk>/", days.made, name="deed-made"),
    path("scents/", days.scents, name="scents"),
    path("scents/superfat/", days.scents_superfat, name="scents-superfat"),
    path("trials/", trials.trials, name="batch-trials"),
    path("trials/mix/", trials.mix, name="batch-trials-mix"),
    path("trials/beside/", trials.side_by_side, name="batch-trials-beside"),
    path(f"{BATCH}/look/", trials.look, name="batch-look"),
    path("workshop/rates/", rates.rates, name="rates"),
    path("workshop/rates/say/", rates.rate_say, name="rate-say"),
    path("workshop/power/say/", rates.tariff_say, name="tariff-say"),
    path("workshop/equipment/add/", rates.equipment_add, name="equipment-add"),
    path(
        "workshop/equipment/<int:pk>/change/",
        rates.equipment_change,
        name="equipment-change",
    ),
    path("workshop/overhead/budget/", rates.overhead_budget, name="overhead-budget"),
    path("workshop/overhead/<int:year>/", rates.overhead, name="overhead"),
    path(
        "workshop/overhead/<int:year>/state/",
        rates.overhead_state,
        name="overhead-state",
    ),
]
