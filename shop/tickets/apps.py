from django.apps import AppConfig


class TicketsConfig(AppConfig):
    name = "shop.tickets"
    label = "tickets"
