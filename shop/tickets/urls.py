from django.urls import path

from shop.tickets import views

urlpatterns = [
    path("tickets/<int:pk>.pdf", views.ticket_pdf, name="ticket-pdf"),
    path("labels/<int:pk>.pdf", views.labels_pdf, name="labels-pdf"),
    path("labels/piece/<int:pk>.pdf", views.label_pdf, name="label-pdf"),
    path("places/<int:pk>/sign.pdf", views.sign_pdf, name="sign-pdf"),
]
