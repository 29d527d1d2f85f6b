"""The service as a WSGI application."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stewardship.settings")

YOUNG = 20_000
"""How many objects are made before the youngest are looked through: a push makes many, and keeps them to its end."""

application = get_wsgi_application()
gc.freeze()  # what was loaded stays to the end: no collection has to look through it
gc.set_threshold(YOUNG, *gc.get_threshold()[1:])
