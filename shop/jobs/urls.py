from django.contrib.auth import views as auth
from django.urls import path

urlpatterns = [
    path("sign-in/", auth.LoginView.as_view(template_name="jobs/person_sign_in.html"), name="sign-in"),
    path("sign-out/", auth.LogoutView.as_view(), name="sign-out"),
]
