"""What rests on a deed: later ones that could not stand without it."""

from collections.abc import Collection, Iterator

from django.apps import apps
from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from production.record.models.ink import ByDeed, Deed
from production.selling.models import Looked
from production.stock.models.batches import Batch, Promotion
from production.stock.models.holds import Answered
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import CheckTakenBack, Measurement
from production.stock.models.restored import SinceBackup
from production.stock.reads.set_apart import LEAVES

KIND = Movement.Kind
GOES = {KIND.USED, KIND.SOLD, KIND.GIVEN, KIND.MOVED}
# They answer a row, and say nothing where it is gone.
ANSWERS = {Answered, CheckTakenBack}
Begun = tuple[set[Lot], set[Batch]]


def left_to_take_back(staying: Collection[str]) -> Q:
    """Deeds of which something stands; ``staying`` are verbs never taken back."""
    entries = Movement.objects.filter(deed=OuterRef("pk"))
    line = Movement.objects.standing().filter(
        Q(deed=OuterRef("pk")) | Q(root__deed=OuterRef("pk"))
    )
    mends = entries.filter(kind=KIND.REVERSED)
    taken = Exists(Deed.objects.filter(undoes=OuterRef("pk")))
    return (
        ~Q(taken)
        & ~Q(verb__in=staying)
        & (Q(Exists(line)) | Q(Exists(mends)) | ~Q(Exists(entries)))
    )


def something_left(deed: Deed) -> bool:
    """Whether any entry of it stands; a deed without entries stands as a whole."""
    entries = Movement.objects.filter(deed=deed)
    return mends(deed) or line_of(deed).exists() or not entries.exists()


def line_of(deed: Deed) -> QuerySet[Movement]:
    """What stands of the entries that a deed wrote first, also entered anew since; of a
    deed that put an entry right, what stands in its place."""
    standing = Movement.objects.standing()
    if mends(deed):
        return standing.filter(root__in=_roots_of(deed))
    return standing.filter(Q(deed=deed, root__isnull=True) | Q(root__deed=deed))


def _roots_of(deed: Deed) -> set[int]:
    """The first entries of the lines that a deed put right."""
    rows = Movement.objects.filter(deed=deed, kind=KIND.REVERSED)
    pairs = rows.values_list("reverses", "reverses__root")
    return {root or first for first, root in pairs}


def mends(deed: Deed) -> bool:
    """Whether it put another deed's entry right."""
    return Movement.objects.filter(deed=deed, kind=KIND.REVERSED).exists()


def mended_since(deed: Deed) -> QuerySet[Deed]:
    """Deeds that put an entry of this one right and stand; they go with it."""
    if mends(deed):
        return Deed.objects.none()
    rows = Movement.objects.filter(
        Q(reverses__deed=deed) | Q(reverses__root__deed=deed)
    )
    return Deed.objects.filter(
        pk__in=rows.values("deed"), undoes__isnull=True, undone_by__isnull=True
    )


def resting_on(deed: Deed) -> list[Deed]:
    """Later deeds that rest on what this one wrote, the newest first.

    They point at its rows, mend what it mended, restated what it had restated, or let
    goods go on its word.
    """
    found: set[int] = set()
    word = (_gone_on_its_word(deed), _gone_since_it_looked(deed))
    again = (_mended_again(deed), _weighed_again(deed))
    rows = (*_pointing_at(deed), *word, *again, _added_to(deed))
    for pks in rows:
        found |= set(pks)
    found -= {deed.pk, *mended_since(deed).values_list("pk", flat=True)}
    alive = Deed.objects.filter(
        left_to_take_back(()), pk__in=found, pk__gt=deed.pk, undoes__isnull=True
    )
    return list(alive.select_related("by").order_by("-pk"))


def all_resting_on(deed: Deed) -> list[Deed]:
    """The same with what rests on those, the newest first."""
    found: dict[int, Deed] = {}
    waiting = [deed]
    while waiting:
        for one in resting_on(waiting.pop()):
            if one.pk not in found:
                found[one.pk] = one
                waiting.append(one)
    return [found[pk] for pk in sorted(found, reverse=True)]


def _added_to(deed: Deed) -> QuerySet:
    """Codes that were found after an answer for a restore are added to it."""
    answered = SinceBackup.written.filter(deed=deed).values("restored")
    added = SinceBackup.objects.filter(restored__in=answered)
    return added.values_list("deed", flat=True)


def _pointing_at(deed: Deed) -> Iterator[QuerySet]:
    """The deeds of rows that point at a row of this deed."""
    for model, rows in _rows_of(deed):
        for relation in model._meta.related_objects:
            by = relation.related_model
            if not _by_a_deed(by) or by in ANSWERS or by is model is Movement:
                continue
            pointing = _standing(by).filter(**{f"{relation.field.name}__in": rows})
            yield _deeds_of(by, pointing, deed)


def _deeds_of(model: type[Model], rows: QuerySet, but: Deed) -> QuerySet:
    """An entry that was entered again is of the deed that wrote its line first."""
    if model is not Movement:
        return rows.exclude(deed=but).values_list("deed", flat=True)
    first = rows.annotate(wrote=Coalesce("root__deed", "deed"))
    return first.exclude(wrote=but.pk).values_list("wrote", flat=True)


def _rows_of(deed: Deed) -> Iterator[tuple[type[Model], QuerySet]]:
    for model in apps.get_app_config("production").get_models():
        if not _by_a_deed(model):
            continue
        rows = Q(deed=deed)
        if model is Lot and not mends(deed):
            # Made again after a first making was taken back.
            started = line_of(deed).filter(kind__in=Movement.STARTS)
            rows |= Q(pk__in=started.values("lot"))
        yield model, model._base_manager.filter(rows).values("pk")


def _by_a_deed(model: type[Model]) -> bool:
    return issubclass(model, ByDeed) or any(
        field.name == "deed" for field in model._meta.fields
    )


def _standing(model: type[Model]) -> QuerySet:
    if model is Movement:
        return Movement.objects.standing()
    if model is Measurement:
        return Measurement.objects.filter(taken_back__isnull=True)
    if hasattr(model, "written"):
        return model.written.standing()
    return model._default_manager.all()


def _mended_again(deed: Deed) -> QuerySet:
    """Later corrections of an entry that this one put right."""
    line = Q(reverses__in=_roots_of(deed)) | Q(reverses__root__in=_roots_of(deed))
    rows = Movement.objects.filter(line, deed__undoes__isnull=True, deed__gt=deed)
    return rows.values_list("deed", flat=True)


def _weighed_again(deed: Deed) -> QuerySet:
    """Later weighings of a lot that it weighed: what the lot holds went from one to
    the next, and with one of them gone it would hold more or less than went in."""
    weighed = Movement.objects.filter(deed=deed, kind=KIND.REWEIGHED)
    later = Movement.objects.standing().filter(
        lot__in=weighed.values("lot"), kind=KIND.REWEIGHED, deed__gt=deed
    )
    return later.values_list("deed", flat=True)


def _gone_on_its_word(deed: Deed) -> QuerySet:
    """Goods that went on once it had released them, or accepted the trial."""
    free = Status.written.filter(deed=deed, status=Status.Word.RELEASED)
    accepted = Promotion.written.filter(deed=deed)
    lots = Q(lot__in=free.values("lot")) | Q(lot__batch__in=accepted.values("batch"))
    gone = Movement.objects.standing().filter(lots, kind__in=GOES, deed__gt=deed)
    return gone.values_list("deed", flat=True)


def _gone_since_it_looked(deed: Deed) -> QuerySet:
    """What left the place apart once it had been looked at."""
    seen = Looked.written.filter(deed=deed, seen__in=Looked.UNFIT)
    gone = Movement.objects.standing().filter(
        lot__in=seen.values("back__line__lot"),
        place__apart=True,
        kind__in=LEAVES,
        deed__gt=deed,
    )
    return gone.values_list("deed", flat=True)


def opened_by(deed: Deed) -> Begun:
    """Lots and batches that begin with this deed."""
    started = line_of(deed).filter(kind__in=Movement.STARTS)
    lots = Lot.objects.filter(Q(deed=deed) | Q(pk__in=started.values("lot")))
    return set(lots), set(Batch.objects.filter(deed=deed))
