from django.apps import AppConfig


class TrackingConfig(AppConfig):
    name = "shop.tracking"
    label = "tracking"

    def ready(self) -> None:
        from shop.jobs.outbox import PAGES
        from shop.tracking.outbox import pages

        PAGES.append(pages)
