"""Every path of costing, page by page."""

from costing.urls.ideas import urlpatterns as ideas
from costing.urls.value import urlpatterns as value

urlpatterns = [*value, *ideas]
