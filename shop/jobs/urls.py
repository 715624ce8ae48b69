from django.contrib.auth import views as auth
from django.urls import path

from shop.jobs.sign_in import SignIn

urlpatterns = [
    path("sign-in/", SignIn.as_view(), name="sign-in"),
    path("sign-out/", auth.LogoutView.as_view(), name="sign-out"),
]
