"""Template words for times: stored in UTC, shown in the job's zone, said as the trade says them."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django import template
from django.conf import settings
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.jobs import clock

register = template.Library()

# Seven days in a row, so that a weekday alone never has two readings; the shop looks ahead more than back.
DAYS_BACK, DAYS_AHEAD = 2, 4


def zone_of(job: object) -> ZoneInfo:
    """The time zone of a job, of what belongs to a job, or of the shop."""
    owner = getattr(job, "job", None) or job
    return ZoneInfo(getattr(owner, "time_zone", "") or settings.SHOP_TIME_ZONE)


def said(moment: datetime, job: object = None) -> str:
    """`today 13:00`, `Thu 7:00`, `Thu 12 Mar 7:00`, `12 Mar 2025 7:00`: the shortest that has one reading."""
    local, now = moment.astimezone(zone_of(job)), clock.now().astimezone(zone_of(job))
    days = (local.date() - now.date()).days
    if days == 0:
        return f"today {hour_of(local)}"
    if -DAYS_BACK <= days <= DAYS_AHEAD:
        return f"{local:%a} {hour_of(local)}"
    if local.year == now.year:
        return f"{local:%a} {local.day} {local:%b} {hour_of(local)}"
    return f"{local.day} {local:%b %Y} {hour_of(local)}"


def hour_of(local: datetime) -> str:
    return f"{local.hour}:{local:%M}"


def _time(moment: datetime, words: str) -> SafeString:
    return format_html('<time datetime="{}">{}</time>', moment.isoformat(), words)


@register.filter
def when(moment: datetime | None, job: object = None) -> SafeString | str:
    """`{{ revision.needed_at|when:job }}`: day and hour in the job's zone; without a job, in the shop's."""
    return _time(moment, said(moment, job)) if moment else ""


@register.filter
def hour(moment: datetime | None, job: object = None) -> SafeString | str:
    """The hour alone, where the day stands beside it: 13:52."""
    return _time(moment, hour_of(moment.astimezone(zone_of(job)))) if moment else ""


@register.filter
def age(moment: datetime | None) -> str:
    """How long ago, roughly: `now`, `2 min`, `14 h`, `3 days`."""
    if moment is None:
        return ""
    minutes = int((clock.now() - moment).total_seconds() // 60)
    if minutes < 1:
        return "now"
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return f"{minutes // (24 * 60)} days"


@register.simple_tag
def moment() -> SafeString:
    """The time of this page, in the shop's zone."""
    now = clock.now()
    local = now.astimezone(zone_of(None))
    return _time(now, f"{local:%a} {hour_of(local)}")
