"""Serving: refuses without a good secret key and while the schema is another."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
os.environ.setdefault("DEBUG", "no")

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application

from config.env import refuse_weak
from config.health import refuse_unfit
from config.opening import open_home
from production.quantities.domain.refusal import Refused

application = get_wsgi_application()
# Reads cards, which are known only from here on.
from config.demo_mark import refuse_out_of_place  # noqa: E402
from costing.actions.keeping import refuse_other_values  # noqa: E402

if not settings.DEBUG:
    refuse_weak(settings.SECRET_KEY)
try:
    open_home()
    refuse_unfit()
    refuse_out_of_place()
    refuse_other_values(settings.VERSION)
except Refused as refusal:
    raise ImproperlyConfigured(str(refusal)) from refusal
