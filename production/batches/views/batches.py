"""Batches: whole in one page, or opened and written up as the days go by."""

from functools import partial

from django.db.models import Exists, OuterRef
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.trials import promote_trial
from production.batches.actions.working import note_work
from production.batches.filters import BatchFilter
from production.batches.forms.batches import (
    BatchForm,
    MakeForm,
    StartForm,
    StepForm,
    UsesForm,
    weighs_lye,
)
from production.batches.forms.plans import plan_form
from production.batches.forms.rework import ReworkForm, ReworkUsesForm
from production.batches.forms.weighed import one_pot
from production.batches.forms.working import WorkForm
from production.batches.reads.may_hold import may_hold
from production.batches.reads.pieces import off_by
from production.batches.reads.weighed import weighed_batch
from production.batches.tables import Batches
from production.fitness.reads.holds import holds_of_open, stops_of
from production.pages.forms.reason import ReasonForm
from production.pages.views.pages import list_page, write_page
from production.pages.views.weighed import fragment, live
from production.quantities.domain.code_shape import remark
from production.record.models.ink import Deed
from production.record.reads.clock import today
from production.record.reads.restated import as_now, by_day
from production.release.actions.readings import note_step
from production.release.reads.checks import shown_readings
from production.stock.models.batches import Batch, Loss, Stage
from production.stock.models.lots import Movement
from production.stock.reads.batches import ending, is_lost
from production.stock.reads.on_labels import said_of_labels
from production.workshop.models.items import Item
from production.yields.reads import outturn

LYE = "cautions/lye.html"
WEIGHS_LYE = {Stage.COOK, Stage.REWORK}
EXPECTS_LYE = {*WEIGHS_LYE, Stage.PREPARATION}
TITLES = {
    Stage.COOK: ("Cook a paste", "Oils, alkali and water become paste."),
    Stage.PREPARATION: (
        "Prepare a premix",
        "Brine, lye stock, a fragrance blend, an infused oil.",
    ),
    Stage.DILUTION: ("Dilute paste", "Paste and hot water become diluted soap."),
    Stage.FINISHING: (
        "Finish soap",
        "Diluted soap takes up glycerin, fragrance, brine.",
    ),
    Stage.FILLING: ("Fill bottles", "Finished soap, bottles and caps become a lot."),
    Stage.PACKING: ("Pack sets", "Filled pieces and boxes become sets."),
    Stage.REWORK: ("Rework", "What came back or went wrong becomes a new lot."),
}


def with_state():
    """Batches with ``done``, whether the lot is made, ``undone``, taken back, and
    ``held``, whether a cause stands against one that is open, ``lost`` whole."""
    made = Movement.objects.standing().filter(batch=OuterRef("pk"), kind="made")
    return Batch.objects.select_related("version__formula", "lot").annotate(
        done=Exists(made),
        held=Exists(holds_of_open(OuterRef("pk"))),
        undone=Exists(Deed.objects.filter(undoes=OuterRef("deed"))),
        lost=is_lost(),
    )


def batches(request):
    return list_page(
        request,
        Batches,
        with_state(),
        BatchFilter,
        title="Batches",
        says="What is made and what it was made of. Write a batch whole, or start it "
        "and write it up as it goes.",
        act=True,
        runs=[(stage, words) for stage, (words, _) in TITLES.items()],
        links=[
            ("plan", "Plan a making"),
            ("batch-trials", "Trials"),
            ("bench-sums", "Bench sums"),
        ],
    )


def run(request, stage):
    """A whole batch in one page; the recipe and its amounts are planned by GET."""
    plan_on_top = plan_form(request.GET, stage=stage, on=today())
    plan = plan_on_top.plan()
    form = whole_batch(stage)(
        request.POST or None,
        version=plan_on_top.chosen,
        lots=plan_on_top.suggestions(),
        loss=plan_on_top.loss_of(plan),
        rows={"uses": plan.rows or _lot_asked_for(request, stage)},
    )
    title, says = TITLES[stage]
    return write_page(
        request,
        form,
        run_batch,
        extra={"stage": stage},
        template="production/batches/run.html",
        title=title,
        says=says,
        button=title,
        plan_form=plan_on_top,
        plan=plan,
        unit=_unit(plan_on_top.chosen),
        sheet=_sheet(request, stage) if plan.rows else "",
        weighed=_weighed(request, form, stage, plan_on_top.chosen),
        cautions=_cautions(stage, plan_on_top.chosen) or lye_in(form),
        done=lambda lot: f"{lot} is in the book: {lot.item}.",
    )


def whole_batch(stage):
    """The form of a whole batch."""
    return ReworkForm if stage == Stage.REWORK else BatchForm


def _unit(version):
    return version.formula.makes.unit if version else Item.Unit.GRAM


def _weighed(request, form, stage, version):
    look = f"{reverse('run-superfat', args=[stage])}?{request.GET.urlencode()}"
    pots = partial(one_pot, stage=stage, version=version)
    return live(request, form, pots, look, offered=stage in EXPECTS_LYE)


def _lot_asked_for(request, stage):
    """Rework of one lot starts with it in the first row; its amount is weighed."""
    code = request.GET.get("lot", "")
    return [{"lot": code}] if stage == Stage.REWORK and code else []


@require_POST
def run_superfat(request, stage):
    """What the rows of a batch typed so far come to."""
    version = plan_form(request.GET, stage=stage, on=today()).chosen
    form = whole_batch(stage)(request.POST, version=version)
    return fragment(request, form, partial(one_pot, stage=stage, version=version))


@require_POST
def use_superfat(request, code):
    """What is typed so far, together with what went in before."""
    found = the_batch(code)
    return fragment(request, UsesForm(request.POST), _with_what_is_in(found))


def _with_what_is_in(found):
    return partial(one_pot, stage=found.stage, version=found.version, batch=found)


def _sheet(request, stage):
    return f"{reverse('run-sheet-pdf', args=[stage])}?{request.GET.urlencode()}"


def _cautions(stage, version):
    """Lye is weighed in a cook, in rework, and in a preparation unless a recipe
    without alkali says otherwise."""
    if stage in WEIGHS_LYE:
        return LYE
    if stage != Stage.PREPARATION:
        return ""
    if version is None:
        return LYE
    alkali = version.lines.filter(item__category=Item.Category.ALKALI)
    return LYE if alkali.exists() else ""


def lye_in(form):
    """An alkali that was typed where none was expected."""
    return LYE if weighs_lye(form) else ""


def start(request):
    first = {"stage": request.GET.get("stage"), "version": request.GET.get("version")}
    return write_page(
        request,
        StartForm(request.POST or None, initial=first),
        start_batch,
        title="Start a batch",
        says="It stays open until its lot is made, or until it is lost.",
        button="Start the batch",
        done=lambda batch: f"{batch} is open.",
    )


def batch(request, code):
    found = get_object_or_404(with_state(), code=code)
    yielded = outturn(found)
    losses = Loss.objects.filter(batch=found).select_related("root", "deed__by")
    entries = found.movements.in_book_order().select_related(
        "lot__item", "place", "deed__by", "reversed_by"
    )
    work = found.work.select_related("deed__by", "reversed_by")
    return render(
        request,
        "production/batches/batch.html",
        {
            "batch": found,
            "odd_code": remark(found.code),
            "stops": ((), ()) if found.done else stops_of(found),
            "entries": entries,
            "on_labels": said_of_labels(_still_to_label(found, entries)),
            "yielded": yielded,
            "balance": yielded.balance,
            "pieces": off_by(found),
            "ending": ending(found),
            "weighed": weighed_batch(found),
            "missing": may_hold(found),
            "measurements": shown_readings(found),
            "steps": found.steps.select_related("deed__by"),
            "work": by_day(as_now(work)),
            "losses": by_day(as_now(losses)),
            "promoted": found.promotions.exists(),
            "run": TITLES[found.stage][0],
        },
    )


def _still_to_label(found, entries):
    """What went into a batch that is open, or of which something is here."""
    used = [row.lot for row in entries if row.kind == Movement.Kind.USED]
    scented = {lot for lot in used if lot.item.category == Item.Category.FRAGRANCE}
    if not scented or (found.done and not found.lot.stock.filter(amount__gt=0)):
        return []
    return sorted(scented, key=lambda lot: lot.pk)


def the_batch(code):
    return get_object_or_404(
        Batch.objects.select_related("version__formula"), code=code
    )


def use(request, code):
    found = the_batch(code)
    shape = ReworkUsesForm if found.stage == Stage.REWORK else UsesForm
    form = shape(request.POST or None)
    return write_page(
        request,
        form,
        use_lots,
        extra={"batch": found},
        title=f"Use lots in {found}",
        says="Take what goes in out of its lots, in as many goes as it takes.",
        button="Write the uses",
        cautions=_cautions(found.stage, found.version) or lye_in(form),
        weighed=live(
            request,
            form,
            _with_what_is_in(found),
            reverse("batch-superfat", args=[found.code]),
            offered=found.stage in EXPECTS_LYE,
        ),
        to=found,
    )


def step(request, code):
    found = the_batch(code)
    return write_page(
        request,
        StepForm(request.POST or None),
        note_step,
        extra={"batch": found},
        title=f"Note a step of {found}",
        says="What you did or saw, in a line.",
        button="Note the step",
        to=found,
    )


def work(request, code):
    found = the_batch(code)
    return write_page(
        request,
        WorkForm(request.POST or None),
        note_work,
        extra={"batch": found},
        title=f"Note work on {found}",
        says="Hours, or minutes as 1 h 30 min, at a rate; both stay as they are "
        "written.",
        button="Note the work",
        to=found,
    )


def make(request, code):
    found = the_batch(code)
    return write_page(
        request,
        MakeForm(request.POST or None, batch=found),
        make_lot,
        extra={"batch": found},
        template="production/batches/make.html",
        batch=found,
        yielded=outturn(found),
        title=f"Make the lot of {found}",
        says="Weigh or count what came out: with this the batch is done.",
        button="Make the lot",
        done=lambda lot: f"{lot} is in the book: {lot.item}.",
    )


def promote(request, code):
    found = the_batch(code)
    return write_page(
        request,
        ReasonForm(request.POST or None),
        promote_trial,
        extra={"batch": found},
        title=f"Accept the trial {found}",
        says="Its lot may be sold from then on. Only an owner may do this, once it was "
        "looked at after a day or later and something of it was measured.",
        button="Accept the trial",
        to=found,
    )
