from django.contrib.auth.views import LogoutView
from django.urls import path

from shop.jobs import views

urlpatterns = [
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("worker.js", views.worker, name="worker"),
    path("manifest.webmanifest", views.manifest, name="manifest"),
    path("no-signal/", views.no_signal, name="no-signal"),
    path("not-sent/", views.not_sent, name="not-sent"),
    path("outbox/", views.outbox, name="outbox"),
]
