"""What other parts of the house write along with a deed, in the same transaction.

The lists are filled once at start-up by the roof; production does not know who follows.
"""

from collections.abc import Callable

from production.record.models.ink import Closing, Deed

# Called with each closing, and with the statement that an earlier book froze with it:
# None where this book closes the month itself.
WHEN_CLOSED: list[Callable[[Closing, str | None], None]] = []

# Called with each deed once it has written all it writes.
WHEN_DONE: list[Callable[[Deed], object]] = []
