"""Every path of costing, page by page."""

from costing.urls.prices import urlpatterns as prices
from costing.urls.value import urlpatterns as value

urlpatterns = [*value, *prices]
