"""`manage.py replay FILE`: what is derived from each scenario of a file, without a database."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.work.derive.scenario import replay


class Command(BaseCommand):
    help = "Reads a file of record scenarios and prints one JSON line for each: its name and what is derived."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            lines = list(replay(options["file"]))
        except (OSError, ValueError, KeyError, TypeError) as problem:
            raise CommandError(f"{options['file']} can't be read as scenarios: {problem!r}") from problem
        for line in lines:
            self.stdout.write(line)
