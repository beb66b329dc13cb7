"""Every path of costing, page by page."""

from costing.urls.accountant import urlpatterns as accountant
from costing.urls.books import urlpatterns as books
from costing.urls.value import urlpatterns as value

urlpatterns = [*value, *books, *accountant]
