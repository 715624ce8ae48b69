"""What the page frame shows on every page."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest


def frame(request: HttpRequest) -> dict[str, Any]:
    return {"shop_name": settings.SHOP_NAME, "demo": settings.DEMO, "shop_zone": settings.SHOP_TIME_ZONE}
