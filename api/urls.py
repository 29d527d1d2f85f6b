"""Where each resource stands under /api/v1/."""

urlpatterns: list = []
