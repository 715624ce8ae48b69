"""`manage.py derive_again`: folds every piece from its records and says where a row was kept otherwise."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.work.again import AT_ONCE, derive_again
from shop.work.models import Piece, Record


class Command(BaseCommand):
    help = "Derives all pieces again from the records alone and reports every difference from what is kept."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="put the rows right that differ")
        parser.add_argument("--at-once", type=int, default=AT_ONCE, help=f"pieces under one lock ({AT_ONCE})")

    def handle(self, *args: Any, **options: Any) -> None:
        count = 0
        for difference in derive_again(mend=options["mend"], at_once=options["at_once"]):
            count += 1
            self.stdout.write(str(difference))
        looked = f"{Piece.objects.count()} pieces and {Record.objects.count()} records"
        if not count:
            self.stdout.write(f"{looked} were derived again: no difference.")
        elif options["mend"]:
            self.stdout.write(f"{looked} were derived again: {count} differences, put right.")
        else:
            raise CommandError(f"{looked} were derived again: {count} differences.", returncode=1)
