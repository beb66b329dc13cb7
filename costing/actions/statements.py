"""What costing writes: the statement of a month that is closed."""

from costing.domain.statement import digest_of, read, write
from costing.models.statements import Statement
from costing.reads.statements import kept_methods, statement_of
from production.models import Closing
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import written


def freeze_statement(closing: Closing, told: str | None) -> None:
    """Keep the statement of a closing: the one that an earlier book froze, or ours.

    Part of the deed that closes the book, in its transaction.
    """
    if told is None:
        text = write(statement_of(closing.through, kept_methods()))
    else:
        text = told
        if read(told).through != closing.through:
            raise Refused(
                "The statement of a closing is of another day than it closes."
            )
    written(
        Statement(closing=closing, deed=closing.deed, text=text, sha256=digest_of(text))
    )
