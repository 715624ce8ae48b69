from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "shop.work"
    label = "work"
