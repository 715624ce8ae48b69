"""All addresses. A prefix is the page's own word."""

from django.urls import include, path

urlpatterns = [
    path("", include("shop.jobs.urls")),
    path("", include("shop.requests.urls")),
    path("", include("shop.work.urls")),
    path("", include("shop.tickets.urls")),
    path("", include("shop.tracking.urls")),
]
