"""Small samples of one soap, side by side, and what is seen when they are looked at."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from production.attachments.models import Attachment
from production.batches.actions.batches import post_batch
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.reads.trials import becomes, not_seen_yet
from production.fitness.actions.guards import may_be_released
from production.papers.domain.papers import Paper
from production.quantities.domain.numbers import grams, plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, ensure_valid, written
from production.record.actions.people import owner_only, reason_asked
from production.record.models.ink import Deed
from production.release.actions.readings import write_readings, write_step
from production.stock.actions.opening_lots import Reading
from production.stock.models.batches import Batch, Promotion, Stage, Step
from production.stock.models.lots import Lot, Status
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item
from production.workshop.models.places import Place

MOST_SAMPLES = 12
WAITS = {Step.Look.DAY: timedelta(days=1), Step.Look.WEEK: timedelta(days=7)}
SEEN = {True: "clear", False: "not clear"}


@dataclass(frozen=True, slots=True)
class NewAddition:
    """What the samples take up, as shares of each finished sample.

    One share goes into every sample; of several, each sample takes the next; 0 leaves
    it out.
    """

    lot: Lot
    shares: Sequence[Decimal]
    place: Place | None = None


@deed("bench trials")
def bench_trials(
    deed: Deed,
    *,
    soap: Lot,
    soap_each: Decimal,
    additions: Sequence[NewAddition],
    item: Item | None = None,
    place: Place | None = None,
) -> None:
    """Several small samples of one soap, each a trial batch and a lot of its own.

    Each is so many grams of the soap and its additions, in quarantine and not to be
    sold before it is accepted. ``item`` left open is what the soap usually becomes.
    """
    _may_be_mixed(soap, soap_each, additions)
    item = item or becomes(soap)
    if item.kind != Item.Kind.MADE or item.unit != Item.Unit.GRAM:
        raise Refused(
            f"{item} is nothing that is made here by the gram. Choose what the samples "
            "are trials of."
        )
    for shares in _samples(additions):
        uses = [Use(lot=soap, amount=soap_each, place=place)]
        uses += _amounts(soap_each, additions, shares)
        made = Output(
            amount=sum((use.amount for use in uses), Decimal(0)),
            item=item,
            status=Status.Word.QUARANTINE,
        )
        sample = NewBatch(stage=Stage.FINISHING, uses=uses, output=made, trial=True)
        post_batch(deed, sample)


def _may_be_mixed(
    soap: Lot, soap_each: Decimal, additions: Sequence[NewAddition]
) -> None:
    if soap_each <= 0:
        raise Refused("Write how much of the soap goes into each sample.")
    if not additions:
        raise Refused("Write at least one addition: which lot, and in which shares.")
    taken = [soap.pk, *(new.lot.pk for new in additions)]
    if len(set(taken)) < len(taken):
        raise Refused("A lot stands twice. Write each one once, with all its shares.")
    for lot in (soap, *(new.lot for new in additions)):
        if lot.item.unit != Item.Unit.GRAM:
            raise Refused(
                f"{lot} is {lot.item}, counted in pieces: it is not mixed in."
            )
        if lot.item.is_alkali:
            raise Refused(
                f"{lot} is {lot.item}, an alkali. It does not go into finished soap; "
                "free alkali burns skin and eyes."
            )


def _samples(additions: Sequence[NewAddition]) -> list[list[Decimal]]:
    """The share of each addition, sample by sample."""
    if any(not new.shares for new in additions):
        raise Refused("Write the shares of each addition, as 0.5 1 1.5.")
    many = max(len(new.shares) for new in additions)
    if many > MOST_SAMPLES:
        raise Refused(f"At most {MOST_SAMPLES} samples at a time: write fewer shares.")
    for new in additions:
        if len(new.shares) not in (1, many):
            raise Refused(
                f"{new.lot} has {len(new.shares)} shares for {many} samples. Write one "
                f"for all, or {many}; 0 leaves it out of a sample."
            )
        if any(not 0 <= share < 1 for share in new.shares):
            raise Refused(f"A share of {new.lot} is from 0 up to less than 100 %.")
    return [
        [new.shares[number if len(new.shares) > 1 else 0] for new in additions]
        for number in range(many)
    ]


def _amounts(
    soap: Decimal, additions: Sequence[NewAddition], shares: Sequence[Decimal]
) -> list[Use]:
    """Grams of each addition; shares are of the finished sample, soap is the rest."""
    rest = 1 - sum(shares, Decimal(0))
    if rest <= 0:
        raise Refused(
            f"The additions of a sample are {plain((1 - rest) * 100)} % of it: no soap "
            "is left in it."
        )
    return [
        Use(lot=new.lot, amount=grams(share * soap / rest), place=new.place)
        for new, share in zip(additions, shares, strict=True)
        if share
    ]


@deed("look at a trial", moves_nothing=True, gives=Step)
def note_look(
    deed: Deed,
    *,
    batch: Batch,
    look: str,
    text: str = "",
    clear: bool | None = None,
    photo: Paper | None = None,
    store: Callable[[Paper], None] | None = None,
) -> Step:
    """What a sample looks like after minutes, a day, a week; with a photo if any."""
    _may_be_looked_at(deed, batch, look)
    seen = text.strip() or (SEEN[clear] if clear is not None else "")
    if not seen:
        raise Refused("Write what was seen, or whether the sample is clear.")
    step = write_step(deed, batch, seen, look)
    when = Step.Look(look).label
    if clear is not None:
        reading = Reading(Measurement.What.CLARITY, passed=clear, note=when)
        write_readings(deed, [reading], batch=batch)
    if photo is not None and store is not None:
        _keep(deed, batch, photo, store, when)
    return step


def _may_be_looked_at(deed: Deed, batch: Batch, look: str) -> None:
    if not batch.trial:
        raise Refused(f"{batch} is no trial: note a step of it instead.")
    if look not in Step.Look.values:
        raise Refused("Say when it was looked at: after minutes, a day or a week.")
    made = batch.movements.made().first()
    if made is None:
        raise Refused(f"{batch} has made nothing yet. Make its lot first.")
    first = made.on + WAITS.get(Step.Look(look), timedelta(0))
    if deed.on < first:
        when = Step.Look(look).label
        raise Refused(
            f"{batch} was made on {made.on}, so a look {when} is for {first} or later."
        )


def _keep(
    deed: Deed,
    batch: Batch,
    photo: Paper,
    store: Callable[[Paper], None],
    note: str,
) -> None:
    if not photo.type.startswith("image/"):
        raise Refused(f"{photo.name} is no picture. Choose a JPEG, PNG or WebP file.")
    row = Attachment(
        deed=deed,
        sha256=photo.sha256,
        name=photo.name,
        type=photo.type,
        size=photo.size,
        note=note,
        batch=batch,
    )
    ensure_valid(row)
    # Bytes first: left alone they do no harm, a row without them would.
    store(photo)
    row.save()


@deed("accept a trial", gives=Promotion)
def promote_trial(deed: Deed, *, batch: Batch, past: bool = False) -> Promotion:
    """Let the lot of a trial be sold from now on: it was looked at, and measured.

    ``past`` is taken over from an earlier book, whose own hand judged it.
    """
    owner_only(deed.by, deed.verb)
    if not batch.trial:
        raise Refused(f"{batch} is no trial.")
    reason_asked(deed, "accepting a trial")
    if Promotion.objects.filter(batch=batch).exists():
        raise Refused(f"{batch} is accepted already.")
    if not past and (missing := not_seen_yet(batch, deed.on)):
        raise Refused(f"{batch} is not accepted yet. {' '.join(missing)}")
    lot = Lot.objects.filter(batch=batch).first()
    if lot is not None and not past:
        may_be_released(deed, lot)
    return written(Promotion(deed=deed, batch=batch))
