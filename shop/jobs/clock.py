"""The one clock of the services. Tests and the demo set it; everybody else reads it."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime, tzinfo

from django.utils import timezone

_set: ContextVar[datetime | None] = ContextVar("clock", default=None)


def now() -> datetime:
    """The present time, aware, in UTC."""
    return _set.get() or timezone.now()


@contextmanager
def at(moment: datetime) -> Iterator[None]:
    """Inside the block the clock stands at the moment, which must be aware."""
    token = _set.set(moment)
    try:
        yield
    finally:
        _set.reset(token)


def at_wall(naive: datetime, zone: tzinfo) -> datetime | None:
    """The moment at which a wall clock of the zone shows this; None for an hour that the clocks skip."""
    moment = naive.replace(tzinfo=zone)
    return moment if moment.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == naive else None
