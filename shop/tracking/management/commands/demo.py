"""`manage.py demo`: the database, the demo scenario, the sign-ins; with --serve the site as well."""

import json
import os
import sys
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.jobs.models import History, Person
from shop.tracking.demo import FILE, MARK, Demo


class Command(BaseCommand):
    help = "Makes the database, loads the demo scenario once, prints the sign-ins; --serve runs the site."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--serve", action="store_true", help="serve the site when all is loaded")
        parser.add_argument("--port", type=int, default=8000, help="the port of the site (8000)")
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0 lets other machines in (127.0.0.1)")

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write("Making the database…")
        call_command("migrate", verbosity=0)
        self._load()
        if options["serve"]:
            call_command("collectstatic", interactive=False, verbosity=0)
        self._say_who(options["port"])
        # Gunicorn takes this process over; what still waits in the buffer would be lost.
        self.stdout.flush()
        if options["serve"]:
            _serve(options["host"], options["port"])

    def _load(self) -> None:
        if History.objects.filter(action=MARK).exists():
            self.stdout.write("The demo is loaded already; nothing was changed.")
            return
        if Person.objects.exists():
            raise CommandError("This database holds somebody's work and not the demo's; it was left alone.")
        self.stdout.write("Loading the demo…")
        demo = Demo(self._tell)
        demo.load()

    def _tell(self, line: str) -> None:
        self.stdout.write(f"  {line}")
        self.stdout.flush()

    def _say_who(self, port: int) -> None:
        scenario = json.loads(FILE.read_text())
        self.stdout.write(f"\nSign in at http://localhost:{port}/ with the password {scenario['password']} as:")
        for person in scenario["people"]:
            self.stdout.write(f"  {person['username']:<18} {person['title']}")
        self.stdout.write("")


def _serve(host: str, port: int) -> None:
    """Gunicorn takes this process over, so that Ctrl-C and signals reach it."""
    environment = dict(os.environ, RACEWRIGHT_DEMO="yes", RACEWRIGHT_ADDRESS=f"http://localhost:{port}")
    if "RACEWRIGHT_ADDRESS" in os.environ:
        environment["RACEWRIGHT_ADDRESS"] = os.environ["RACEWRIGHT_ADDRESS"]
    words = ["-m", "gunicorn", "shop.wsgi", "--bind", f"{host}:{port}", "--workers", "2", "--chdir"]
    os.execve(sys.executable, [sys.executable, *words, str(settings.BASE_DIR)], environment)
