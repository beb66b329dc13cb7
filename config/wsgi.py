"""Serving: refuses without a secret key and while migrations are unapplied."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
os.environ.setdefault("DEBUG", "no")

from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application

from config.health import unapplied
from production.domain.refusal import Refused

application = get_wsgi_application()
if waiting := unapplied():
    raise ImproperlyConfigured(
        f"The database waits for: {', '.join(waiting)}. Run python manage.py migrate."
    )
# Reads cards, which are known only from here on.
from config.apart import refuse_out_of_place  # noqa: E402

try:
    refuse_out_of_place()
except Refused as refusal:
    raise ImproperlyConfigured(str(refusal)) from refusal
