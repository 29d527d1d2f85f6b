"""Where each address leads. The API is named by string: the domain does not import it."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("api.urls")),
    path("accounts/", include("allauth.urls")),
    path("_allauth/", include("allauth.headless.urls")),
]
handler400 = "api.problems.bad_request"
handler404 = "api.problems.page_not_found"
handler500 = "api.problems.server_error"
