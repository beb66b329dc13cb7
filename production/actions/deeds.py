"""One public function = one deed = one transaction, answered once if sent twice."""

import functools
import logging
from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import uuid4

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from production.domain.refusal import Refused
from production.models import Closing, Deed

log = logging.getLogger("kettlebook.deeds")

# A bill that comes late keeps its invoice date and re-values what is downstream.
OPEN_TO_CLOSED_MONTHS = {"price a line", "add an extra cost"}


def deed(verb: str, *, gives: type[models.Model] | None = None) -> Callable[..., Any]:
    """Make a function a deed: it gets the Deed row first, the rest by keyword.

    ``key`` comes from the form or the file; a key that was seen before answers with
    what the first sending made: the ``gives`` row of that deed, or the deed itself.
    """

    def wrap(act: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(act)
        def run(
            *, on: date, by: Any, key: str = "", reason: str = "", **rest: Any
        ) -> Any:
            key = key or f"{verb}:{uuid4()}"
            if first := Deed.objects.filter(key=key).first():
                return _answer(first, verb, gives)
            try:
                with transaction.atomic():
                    refuse_closed(verb, on)
                    row = Deed.objects.create(
                        key=key, verb=verb, on=on, by=by, reason=reason
                    )
                    result = act(row, **rest)
            except IntegrityError:
                first = Deed.objects.filter(key=key).first()
                if first is None:
                    raise
                return _answer(first, verb, gives)
            except Refused:
                log.info("refused verb=%r on=%s by=%s", verb, on, by.pk)
                raise
            except ValidationError as fault:
                log.info("refused verb=%r on=%s by=%s", verb, on, by.pk)
                raise Refused(" ".join(fault.messages)) from fault
            log.info("deed id=%s verb=%r on=%s by=%s", row.pk, verb, on, by.pk)
            return row if result is None else result

        return run

    return wrap


def _answer(first: Deed, verb: str, gives: type[models.Model] | None) -> Any:
    if first.verb != verb:
        raise Refused("This form was already sent for another deed. Open it again.")
    if gives is None:
        return first
    return gives._default_manager.filter(deed=first).order_by("pk").first()


def refuse_closed(verb: str, on: date) -> None:
    """Nothing is dated into a closed month."""
    if verb in OPEN_TO_CLOSED_MONTHS:
        return
    closing = Closing.objects.order_by("-through").first()
    if closing and on <= closing.through:
        raise Refused(
            f"The book is closed through {closing.through}. "
            "Date the entry in an open month and say in its reason what it mends."
        )


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
