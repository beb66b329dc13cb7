"""One public function = one deed = one transaction, answered once if sent twice."""

import functools
import logging
from collections.abc import Callable
from datetime import date
from typing import Any, Concatenate, ParamSpec, TypeVar, cast
from uuid import uuid4

from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models, transaction

from production.quantities.domain.refusal import Refused
from production.record.actions.digest import held, told
from production.record.actions.followers import WHEN_DONE
from production.record.domain.odd_dates import refuse_far
from production.record.models.ink import Closing, Deed
from production.record.reads.clock import is_to_come, told_at

log = logging.getLogger("kettlebook.deeds")
Row = TypeVar("Row", bound=models.Model)
P = ParamSpec("P")
R = TypeVar("R")

# Any number, as long as nothing else in this database locks by it.
BOOK_LOCK = 0x6B62

# Every deed by its verb, and what is said of those that are never taken back.
DEEDS: dict[str, Callable[..., Any]] = {}
STAYS: dict[str, str] = {}
# What cannot have been done without an entry in the stock book.
MOVES_GOODS: set[str] = set()
# What moves neither goods nor money may be dated as it was: a check, a reading, a hold,
# a status, a step, a look. What such a deed posted all the same would be refused.
NEVER_BLOCKED: set[str] = set()


class Retold(Refused):
    """A key that is in the book already, with other content; ``first`` is its deed."""

    def __init__(self, first: Deed, says: str) -> None:
        super().__init__(says)
        self.first = first


class deed:
    """Make a function a deed: it gets the Deed row first, the rest by keyword.

    ``key`` comes from the form or the file; a key that was seen before answers with
    what the first sending made: the ``gives`` row of that deed, what ``finds`` finds
    of it, or the deed itself. It answers only to the same content. ``typed`` is the
    digest of that; a caller that has none leaves it to the arguments. ``stays`` is
    said where a deed is never taken back. What ``moves_nothing``, neither goods nor
    money, may be dated into a closed month.
    """

    def __init__(
        self,
        verb: str,
        *,
        gives: type[models.Model] | None = None,
        finds: Callable[[Deed], Any] | None = None,
        stays: str = "",
        moves_goods: bool = False,
        moves_nothing: bool = False,
    ) -> None:
        self.verb, self.gives, self.finds = verb, gives, finds
        if stays:
            STAYS[verb] = stays
        if moves_goods:
            MOVES_GOODS.add(verb)
        if moves_nothing:
            NEVER_BLOCKED.add(verb)

    # Its callers write the keywords of ``run`` besides, and what gives nothing gives
    # them the Deed: config/typed_deeds.py.
    def __call__(self, act: Callable[Concatenate[Deed, P], R]) -> Callable[P, R]:
        @functools.wraps(act)
        def done(**told: Any) -> Any:
            return self.run(act, **told)

        if self.verb in DEEDS:
            raise ValueError(f"Two deeds are called {self.verb!r}.")
        DEEDS[self.verb] = done
        return cast(Callable[P, R], done)

    def run(
        self,
        act: Callable[..., Any],
        /,
        *,
        on: date,
        by: Any,
        key: str = "",
        reason: str = "",
        typed: str = "",
        **rest: Any,
    ) -> Any:
        """Do it, or answer for it: the keywords here are what every deed is told."""
        verb = self.verb
        seen = Deed.objects.filter(key=key).first() if key else None
        key, rest = key or f"{verb}:{uuid4()}", held(rest)
        typed = typed or told(key, {**rest, "on": on, "by": by, "reason": reason})
        if seen is not None:
            return self._answer(seen, typed)
        facts = {"on": on, "by": by, "reason": reason, "typed": typed}
        try:
            with transaction.atomic():
                lock_book()
                refuse_what_is_to_come(on)
                if verb not in NEVER_BLOCKED:
                    refuse_closed(on)
                row = _signed(key, verb, rest.get("undone"), facts)
                result = act(row, **rest)
                for follow in WHEN_DONE:
                    follow(row)
        except IntegrityError:
            first = Deed.objects.filter(key=key).first()
            if first is None:
                raise
            return self._answer(first, typed)
        except Refused:
            log.info("refused verb=%r on=%s by=%s", verb, on, by.pk)
            raise
        except ValidationError as fault:
            log.info("refused verb=%r on=%s by=%s", verb, on, by.pk)
            raise Refused(" ".join(fault.messages)) from fault
        log.info("deed id=%s verb=%r on=%s by=%s", row.pk, verb, on, by.pk)
        return row if result is None else result

    def _answer(self, first: Deed, typed: str) -> Any:
        if first.verb != self.verb:
            log.info("refused verb=%r told before id=%s", self.verb, first.pk)
            raise Retold(
                first, "This form was already sent for something else. Open it again."
            )
        ensure_same(first, typed)
        if self.finds is not None:
            return self.finds(first)
        if self.gives is None:
            return first
        # The last one: water drawn from the tap is a lot of the same deed.
        row = self.gives._default_manager.filter(deed=first).order_by("pk").last()
        if row is None:
            # Made again after it was taken back: the lot is of the first making's deed.
            made = first.movements.filter(kind="made").first()
            # One of two causes answered writes no status: then the deed itself.
            row = made.lot if made else first
        return row


def lock_book() -> None:
    """One hand writes at a time, so that deeds stand in the order of their numbers.

    Without it a sale judged before a hold could be written after it, and the book
    could not be replayed. SQLite has one writer by nature.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [BOOK_LOCK])


def _signed(key: str, verb: str, undone: Deed | None, facts: dict[str, Any]) -> Deed:
    longest = Deed._meta.get_field("reason").max_length
    if len(facts["reason"]) > longest:
        raise Refused(f"A reason has at most {longest} characters: shorten it.")
    if undone is not None and Deed.objects.filter(undoes=undone).exists():
        raise Refused("This was taken back already.")
    return Deed.objects.create(key=key, verb=verb, undoes=undone, **facts)


def ensure_same(first: Deed, typed: str) -> None:
    """Refuse other content under a known key; an older book kept no digest."""
    if first.typed and first.typed != typed:
        log.info("refused verb=%r told before id=%s", first.verb, first.pk)
        raise Retold(
            first,
            f"This was written already, {told_at(first.at)}, with other content. "
            "Nothing more is written. Mend the first one, or write a second entry.",
        )


def refuse_what_is_to_come(on: date) -> None:
    """The one door of days that have not begun: for pages, commands and files."""
    refuse_far(on)
    if is_to_come(on):
        raise Refused(
            f"{on} is still to come. The book holds what has happened: choose today, "
            "or the day on which it was done."
        )


def refuse_closed(on: date) -> None:
    """Nothing that moves goods or money is dated into a closed month."""
    through = closed_through()
    if through and on <= through:
        raise Refused(
            f"The book is closed through {through}. "
            "Date the entry in an open month and say in its reason what it mends."
        )


def closed_through() -> date | None:
    """The last day that is closed, if any is."""
    closing = Closing.objects.order_by("-through").first()
    return closing.through if closing else None


def written(row: Row) -> Row:
    """A new row, once its model has no objection to it."""
    ensure_valid(row)
    row.save()
    return row


def ensure_valid(row: models.Model) -> None:
    """Turn the model's own objections into one sentence, before the database does.

    What a row points at was just read or written: asking again is left out.
    """
    pointers = {field.name for field in row._meta.fields if field.is_relation}
    try:
        row.full_clean(exclude=pointers)
    except ValidationError as fault:
        raise Refused(
            " ".join(
                f"{field.replace('_', ' ').capitalize()}: {' '.join(texts)}"
                if field != "__all__"
                else " ".join(texts)
                for field, texts in fault.message_dict.items()
            )
        ) from fault
