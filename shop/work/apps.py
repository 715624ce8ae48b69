from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "shop.work"
    label = "work"

    def ready(self) -> None:
        from shop.requests import events
        from shop.work import hearing

        events.revision_superseded.connect(hearing.revision_superseded, dispatch_uid="work")
        events.revision_withdrawn.connect(hearing.revision_withdrawn, dispatch_uid="work")
