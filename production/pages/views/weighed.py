"""The superfat of what is typed, shown before anything is posted."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.shortcuts import render

LOOK = "show-superfat"
WEIGHED = "production/batches/_weighed_in.html"


@dataclass
class Live:
    """The part of a form that shows it; ``pots`` is asked only when it is drawn.

    ``offered`` is whether the button stands there before any alkali is typed.
    """

    form: Any
    pots_of: Callable[[Any], Any]
    url: str
    offered: bool = False
    asked: bool = False

    @cached_property
    def pots(self):
        """Each pot with alkali in it, with what was found of it."""
        if not self.form.is_bound:
            return []
        found = [(pot, pot.found) for pot in self.pots_of(self.form)]
        return [(pot, one) for pot, one in found if one is not None]


def live(request, form, pots_of, url, *, offered=False):
    asked = request.method == "POST" and LOOK in request.POST
    return Live(form, pots_of, url, offered, asked)


def fragment(request, form, pots_of):
    """The answer alone; nothing is written by it."""
    form.is_valid()
    return render(request, WEIGHED, {"weighed": Live(form, pots_of, "", asked=True)})
