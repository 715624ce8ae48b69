from django.apps import AppConfig


class TrackingConfig(AppConfig):
    name = "shop.tracking"
    label = "tracking"
