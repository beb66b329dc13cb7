"""Paths by noun. A deed is named verb first, so that any code can stand behind it."""

from django.urls import path, register_converter

from production.attachments import views as attachments
from production.batches.views import batches, days, losing, trials
from production.batches.views import sheets as batch_sheets
from production.bench import views as sums
from production.buying.views import buying, sheets
from production.closing import views as closing
from production.correcting.views import history, putting_right
from production.counting import views as counting
from production.fragrance import views as fragrance
from production.lots.views import items, lot_deeds, lots, packs
from production.planning import views as planning
from production.quantities.domain.code_shape import in_address, of_address
from production.recipes.views import compare, recipes, rules_of_thumb
from production.release.views import checks, titration
from production.restoring import views as restored
from production.selling import views as sales
from production.start.views import start
from production.stock.models.batches import Stage
from production.stock.views import echo
from production.tracing.views import trace
from production.workshop import views as workshop


class CodeConverter:
    """The code of a lot or batch; one that no address can carry stands in hex."""

    regex = ".+"

    def to_python(self, value):
        return of_address(value)

    def to_url(self, value):
        return in_address(value)


class StageConverter:
    regex = "|".join(Stage.values)

    def to_python(self, value):
        return Stage(value)

    def to_url(self, value):
        return str(value)


register_converter(StageConverter, "stage")
register_converter(CodeConverter, "code")
CODE = "<code:code>"

buying_paths = [
    path("purchases/", buying.purchases, name="purchases"),
    path("purchases/record/", buying.record, name="purchase-record"),
    path("purchases/sheet/", sheets.purchase_sheet, name="purchase-sheet"),
    path(
        "purchases/sheet/template/",
        sheets.purchase_sheet_template,
        name="purchase-sheet-template",
    ),
    path("purchases/<int:pk>/", buying.purchase, name="purchase"),
    path("purchases/<int:pk>/arrived/", buying.arrived, name="purchase-arrived"),
    path("purchases/<int:pk>/cost/", buying.extra_cost, name="purchase-cost"),
    path("purchases/price/<int:pk>/", buying.price, name="line-price"),
    path("open-stock/", buying.open_stock, name="stock-open"),
    path("suppliers/", buying.suppliers, name="suppliers"),
    path("suppliers/add/", buying.supplier_add, name="supplier-add"),
    path("suppliers/<int:pk>/", buying.supplier, name="supplier"),
    path("suppliers/<int:pk>/change/", buying.supplier_change, name="supplier-change"),
]
recipe_paths = [
    path("recipes/", recipes.recipes, name="recipes"),
    path("recipes/write/", recipes.write, name="recipe-write"),
    path("plan/", planning.plan, name="plan"),
    path("plan/sheets/", planning.sheets, name="plan-sheets"),
    path("plan/sheets.pdf", planning.sheets_pdf, name="plan-sheets-pdf"),
    path("recipes/compare/", compare.versions, name="compare"),
    path("recipes/preview/<stage:stage>/", recipes.preview, name="recipe-preview"),
    path("recipes/<int:pk>/", recipes.formula, name="formula"),
    path("recipes/version/<int:pk>/", recipes.version, name="version"),
    path("recipes/version/<int:pk>/swap/", compare.swap, name="version-swap"),
    path("recipes/version/<int:pk>/next/", recipes.rewrite, name="version-next"),
]
batch_paths = [
    path("batches/", batches.batches, name="batches"),
    path("start-batch/", batches.start, name="batch-start"),
    path("day/", days.day, name="day"),
    path("scents/", days.scents, name="scents"),
    path("day/superfat/", days.day_superfat, name="day-superfat"),
    path("scents/superfat/", days.scents_superfat, name="scents-superfat"),
    path("day/<int:pk>/", days.made, name="deed-made"),
    path("run/<stage:stage>/", batches.run, name="batch-run"),
    path("run/<stage:stage>/superfat/", batches.run_superfat, name="run-superfat"),
    path("run/<stage:stage>/sheet/", batch_sheets.run_sheet, name="run-sheet"),
    path(
        "run/<stage:stage>/sheet.pdf", batch_sheets.run_sheet_pdf, name="run-sheet-pdf"
    ),
    path("batch/<code:code>/", batches.batch, name="batch"),
    path("proper-code/batch/<int:pk>/", putting_right.batch_code, name="batch-code"),
    path("use/<code:code>/", batches.use, name="batch-use"),
    path("superfat/<code:code>/", batches.use_superfat, name="batch-superfat"),
    path("measure-batch/<code:code>/", lot_deeds.measure_batch, name="batch-measure"),
    path("titrate/batch/<code:code>/", titration.titrate_batch, name="batch-titrate"),
    path("step/<code:code>/", batches.step, name="batch-step"),
    path("work/<code:code>/", batches.work, name="batch-work"),
    path("loss/<code:code>/", losing.loss, name="batch-loss"),
    path("lose/<code:code>/", losing.lose, name="batch-lose"),
    path("rename-loss/<int:pk>/", losing.rename, name="loss-rename"),
    path("make/<code:code>/", batches.make, name="batch-make"),
    path("promote/<code:code>/", batches.promote, name="batch-promote"),
    path("bench/", sums.bench_sums, name="bench-sums"),
    path("trials/", trials.trials, name="batch-trials"),
    path("trials/mix/", trials.mix, name="batch-trials-mix"),
    path("trials/beside/", trials.side_by_side, name="batch-trials-beside"),
    path("look/<code:code>/", trials.look, name="batch-look"),
]
lot_paths = [
    path("lots/", lots.lots, name="lots"),
    path("lots/filled/", lots.filled, name="filled"),
    path("lots/tested-before/", checks.tested_before, name="lots-tested-before"),
    path("lot/<code:code>/", lots.lot, name="lot"),
    path("measure/<code:code>/", lot_deeds.measure, name="lot-measure"),
    path("fragrance/<code:code>/", fragrance.fragrance, name="lot-fragrance"),
    path("titrate/lot/<code:code>/", titration.titrate_lot, name="lot-titrate"),
    path(
        "titrate/alkali/<code:code>/", titration.titrate_alkali, name="alkali-titrate"
    ),
    path("open-pack/<code:code>/", packs.open_pack, name="lot-open"),
    path("check/<int:pk>/take-back/", checks.take_back, name="check-take-back"),
    path("release/<code:code>/", lot_deeds.release, name="lot-release"),
    path("hold/<code:code>/", lot_deeds.hold, name="lot-hold"),
    path("reject/<code:code>/", lot_deeds.reject, name="lot-reject"),
    path("count/<code:code>/", counting.count, name="lot-count"),
    path("reweigh/<code:code>/", lot_deeds.reweigh, name="lot-reweigh"),
    path("give/<code:code>/", lot_deeds.give, name="lot-give"),
    path("discard/<code:code>/", lot_deeds.discard, name="lot-discard"),
    path("move/<code:code>/", lot_deeds.move, name="lot-move"),
    path("proper-code/lot/<int:pk>/", putting_right.lot_code, name="lot-code"),
    path("extend/<code:code>/", putting_right.extend, name="lot-extend"),
    path("places/", lots.places, name="places"),
    path("places/add/", lots.place_add, name="place-add"),
    path("places/<int:pk>/count/", counting.count_place, name="place-count"),
    path("places/<int:pk>/change/", lots.place_change, name="place-change"),
]
sale_paths = [
    path("sales/", sales.sales, name="sales"),
    path("sales/record/", sales.sell, name="sale-sell"),
    path("sales/<int:pk>/", sales.sale, name="sale"),
    path("sales/take-back/<int:pk>/", sales.take_back, name="sale-take-back"),
    path("returns/", sales.returns, name="returns"),
    path("returns/<int:pk>/look/", sales.look, name="return-look"),
    path("customers/", sales.customers, name="customers"),
    path("customers/add/", sales.customer_add, name="customer-add"),
    path("customers/<int:pk>/", sales.customer, name="customer"),
    path("customers/<int:pk>/change/", sales.customer_change, name="customer-change"),
]
item_paths = [
    path("items/", items.items, name="items"),
    path("items/add/", items.item_add, name="item-add"),
    path("items/<int:pk>/", items.item, name="item"),
    path("items/<int:pk>/change/", items.item_change, name="item-change"),
]
book_paths = [
    path("trace/", trace.trace, name="trace"),
    path("history/", history.history, name="history"),
    path("history/<int:pk>/", history.deed, name="deed"),
    path("history/<int:pk>/undo/", history.undo, name="deed-undo"),
    path("entry/<int:pk>/take-back/", history.take_back, name="entry-take-back"),
    path("entry/<int:pk>/answer/", lot_deeds.answer, name="entry-answer"),
    path("entry/<int:pk>/correct/", history.correct, name="entry-correct"),
    path("close/", closing.close, name="book-close"),
    path("restored/", restored.restored, name="restored"),
]
paper_paths = [
    path("attach/lot/<code:code>/", attachments.to_lot, name="lot-attach"),
    path("attach/batch/<code:code>/", attachments.to_batch, name="batch-attach"),
    path("attach/purchase/<int:pk>/", attachments.to_purchase, name="purchase-attach"),
    path("attachment/<int:pk>/", attachments.attachment, name="attachment"),
]
workshop_paths = [
    path("workshop/", workshop.workshop, name="workshop"),
    path("workshop/change/", workshop.workshop_change, name="workshop-change"),
    path("workshop/vessels/add/", workshop.vessel_add, name="vessel-add"),
    path(
        "workshop/vessels/<int:pk>/change/",
        workshop.vessel_change,
        name="vessel-change",
    ),
    path("workshop/people/add/", workshop.person_add, name="person-add"),
    path("workshop/people/<int:pk>/", workshop.person, name="person"),
    path(
        "workshop/people/<int:pk>/password/",
        workshop.person_password,
        name="person-password",
    ),
    path(
        "workshop/people/<int:pk>/unlock/",
        workshop.person_unlock,
        name="person-unlock",
    ),
    path("rules/", rules_of_thumb.rules_of_thumb, name="hints"),
    path("rules/write/", rules_of_thumb.rule_write, name="hint-write"),
    path("rules/own/<int:pk>/", rules_of_thumb.rule_change, name="hint-change"),
    path("rules/<int:pk>/replace/", rules_of_thumb.rule_replace, name="rule-replace"),
    path("rules/<int:pk>/silence/", rules_of_thumb.rule_silence, name="rule-silence"),
    path("splash/", workshop.splash, name="splash"),
    path("echo/amount/", echo.amount, name="echo-amount"),
    path("echo/lot/", echo.lot, name="echo-lot"),
]
urlpatterns = [
    path("", start.start, name="start"),
    *buying_paths,
    *recipe_paths,
    *batch_paths,
    *lot_paths,
    *sale_paths,
    *item_paths,
    *book_paths,
    *paper_paths,
    *workshop_paths,
]
