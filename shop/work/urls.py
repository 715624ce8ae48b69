from django.urls import path

from shop.work import views

urlpatterns = [
    path("inbox/", views.inbox_page, name="inbox"),
    path("inbox/<int:pk>/", views.revision_review, name="review"),
    path("inbox/<int:pk>/ask/", views.revision_ask, name="review-ask"),
    path("inbox/<int:pk>/ok/", views.revision_ok, name="review-ok"),
    path("inbox/<int:pk>/hold/", views.revision_hold, name="review-hold"),
    path("inbox/<int:pk>/let-go/", views.revision_unhold, name="review-unhold"),
    path("inbox/<int:pk>/release/", views.revision_release, name="review-release"),
    path("board/", views.board_page, name="board"),
]
