from django.contrib.auth.views import LogoutView
from django.urls import path

from shop.jobs.views import SignIn

urlpatterns = [
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
]
