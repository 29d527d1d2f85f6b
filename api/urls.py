"""Routes of the API, below /api/v1/."""

from django.urls.resolvers import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
