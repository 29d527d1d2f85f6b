"""Where each address leads. The API is named by string: the domain does not import it."""

from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@never_cache
@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """Answer 200 while the database answers, else 503: for whoever watches over the process."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1 FROM django_migrations LIMIT 1")
    except DatabaseError:
        return HttpResponse("The database does not answer.\n", status=503, content_type="text/plain")
    return HttpResponse("ok\n", content_type="text/plain")


urlpatterns = [
    path("healthz", health),
    path("api/v1/", include("api.urls")),
    path("accounts/", include("allauth.urls")),
    path("_allauth/", include("allauth.headless.urls")),
    path("", include("stewardship.web.urls")),
]
handler400 = "api.problems.bad_request"
handler404 = "api.problems.page_not_found"
handler500 = "api.problems.server_error"
