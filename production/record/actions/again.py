"""Codes that are written up again, after a restore."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from production.quantities.domain.refusal import Doubted

_again: ContextVar[bool] = ContextVar("_again", default=False)


class WrittenAgain(Doubted):
    """A code that something else may bear: is it that very thing, written up again?"""


@contextmanager
def written_again() -> Iterator[None]:
    """Whoever types the codes in here writes up again what bore them before."""
    mark = _again.set(True)
    try:
        yield
    finally:
        _again.reset(mark)
