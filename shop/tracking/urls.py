from django.urls import path

from shop.tracking import views

urlpatterns = [
    path("", views.today, name="today"),
]
