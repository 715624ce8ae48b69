from django.urls import path

from shop.requests import views
from shop.requests.lists import views as lists
from shop.requests.photos import views as photos

urlpatterns = [
    path("ask/", views.run_ask, name="run-ask"),
    path("ask/edit/", views.run_ask_edit, name="run-ask-edit"),
    path("ask/live/", views.run_ask_live, name="run-ask-live"),
    path("ask/keep/", views.run_ask_keep, name="run-ask-keep"),
    path("ask/room/", views.run_ask_room, name="run-ask-room"),
    path("ask/sketch/", photos.run_sketch, name="run-sketch"),
    path("runs/<int:pk>/picture/", photos.photo_add, name="photo-add"),
    path("pictures/<int:pk>.jpg", photos.photo, name="photo"),
    path("ask/like/<int:pk>/", views.run_ask_like, name="run-ask-like"),
    path("runs/", views.my_runs, name="my-runs"),
    path("runs/file/", lists.runs_file, name="runs-file"),
    path("lists/", lists.list_take, name="list-take"),
    path("lists/empty/", lists.list_empty, name="list-empty"),
    path("lists/grid/", lists.list_grid, name="list-grid"),
    path("lists/copy/<int:pk>/", lists.list_copy, name="list-copy"),
    path("lists/rows/<int:pk>/leave/", lists.row_leave, name="list-row-leave"),
    path("lists/<int:pk>/", lists.run_list, name="run-list"),
    path("lists/<int:pk>/check/", lists.list_check, name="list-check"),
    path("lists/<int:pk>/send/", lists.list_send, name="list-send"),
    path("lists/<int:pk>/drop/", lists.list_drop, name="list-drop"),
    path("lists/<int:pk>/problems/", lists.list_problems, name="list-problems"),
    path("runs/<int:pk>/", views.run, name="run"),
    path("runs/<int:pk>/change/", views.run_change, name="run-change"),
    path("revisions/<int:pk>/withdraw/", views.revision_withdraw, name="revision-withdraw"),
    path("questions/<int:pk>/answer/", views.question_answer, name="question-answer"),
]
