"""Where each address leads. The API is named by string: the domain does not import it."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("api.urls")),
]
