from django.apps import AppConfig


class RequestsConfig(AppConfig):
    name = "shop.requests"
    label = "requests"

    def ready(self) -> None:
        from shop.jobs.outbox import KINDS, PAGES
        from shop.jobs.rail import WAITING
        from shop.requests import outbox
        from shop.requests.queries import answers_due

        WAITING["my-runs"] = answers_due
        KINDS["run.send"] = outbox.run_send
        KINDS["run.keep"] = outbox.run_keep
        KINDS["question.answer"] = outbox.question_answer
        PAGES.append(outbox.pages)
