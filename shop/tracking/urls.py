from django.urls import path, re_path

from shop.tracking import views

urlpatterns = [
    path("", views.today, name="today"),
    path("needed/", views.needed, name="needed"),
    path("q/", views.code_find, name="code-typed"),
    # Labels carry the address in capitals: it makes the symbol smaller.
    re_path(r"^[qQ]/(?P<code>[0-9A-Za-z .-]{1,40})/?$", views.code_open, name="code-open"),
    path("pieces/<int:pk>/", views.piece, name="piece"),
    path("pieces/<int:pk>/record/", views.piece_record, name="piece-record"),
    path("pieces/<int:pk>/remake/", views.piece_remake, name="piece-remake"),
    path("areas/", views.areas, name="areas"),
    path("areas/<int:pk>/", views.area, name="area"),
]
