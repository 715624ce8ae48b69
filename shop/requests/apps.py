from django.apps import AppConfig


class RequestsConfig(AppConfig):
    name = "shop.requests"
    label = "requests"
