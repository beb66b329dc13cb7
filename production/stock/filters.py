"""A box that looks for words, also in what a lot is called."""

import django_filters as filters
from django.db.models import Q

from production.stock.reads.lookup import mentions


def words(*paths, lots=None, more=lambda text: Q()):
    """A box that looks for words in these columns.

    ``lots`` is the way to a lot that may be meant, by anything it is called.
    """

    def find(queryset, name, value):
        match = more(value)
        for path in paths:
            match |= Q(**{f"{path}__icontains": value})
        if lots is not None:
            match |= mentions(value, lots)
        # By keys, so that a row that says it twice is listed, and counted, once.
        found = queryset.model._default_manager.filter(match)
        return queryset.filter(pk__in=found.order_by().values("pk"))

    return filters.CharFilter(label="Find", method=find)
