"""`manage.py fonts`: cut the type family for pages and paper; quick when it is there already."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shop.jobs import fonts
from shop.jobs.refusals import Refusal


class Command(BaseCommand):
    help = "Cut the fonts for pages and paper from the npm package; quick when they are there already."

    def handle(self, *args: Any, **options: Any) -> None:
        cutting = fonts.Cutting(browser=settings.BROWSER_DIR, target=settings.FONTS_DIR)
        try:
            made = fonts.build(cutting)
        except Refusal as refusal:
            raise CommandError(refusal.words) from refusal
        self.stdout.write(f"Fonts {'cut into' if made else 'are in'} {cutting.target}")
