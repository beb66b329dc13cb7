"""What a whole class of tests looks at is built once, and gone afterwards.

Each test still writes into a transaction of its own on top of it, and changes only its
own copy of the objects: ``deepcopy`` them in a fixture that asks for ``db`` as well.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import transaction


@contextmanager
def for_a_while(blocker: Any) -> Iterator[None]:
    """What is written inside is rolled back at the end."""
    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


def built_once(build: Callable[[], Any]) -> Any:
    """A fixture of a class: what ``build`` gives, with its rows in the database."""

    @pytest.fixture(scope="class")
    def built(django_db_setup, django_db_blocker):
        with for_a_while(django_db_blocker):
            yield build()

    return built
