from django.apps import AppConfig


class RequestsConfig(AppConfig):
    name = "shop.requests"
    label = "requests"

    def ready(self) -> None:
        from shop.jobs.rail import WAITING
        from shop.requests.queries import answers_due

        WAITING["my-runs"] = answers_due
