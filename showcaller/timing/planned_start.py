"""When a show was to begin: the instant of its time of day, on the venue's clock."""

from datetime import datetime, time, timedelta, tzinfo
from typing import Protocol
from zoneinfo import ZoneInfo

from dateutil.tz import tzlocal

NS = 1_000_000_000


class Placed(Protocol):
    """A show, or what is known of one: it has a time zone, or none."""

    @property
    def time_zone(self) -> str | None:
        """Its IANA name."""
        ...


def zone_of(show: Placed, otherwise: tzinfo | None = None) -> tzinfo:
    """The venue's time zone; ``otherwise``, or the machine's own, where the show names none."""
    if show.time_zone is not None:
        return ZoneInfo(show.time_zone)
    own: tzinfo = tzlocal()  # knows when this machine's clock is put forward and back
    return otherwise or own


def planned_start_wall_ns(starts_at: str, near_wall_ns: int, zone: tzinfo) -> int:
    """The planned start of the evening nearest to an instant, Unix time in ns.

    Args:
        starts_at: the show's local time of day, ``hh:mm`` or ``hh:mm:ss``.
        near_wall_ns: when the run began.
        zone: the venue's time zone.
    """
    near = datetime.fromtimestamp(near_wall_ns // NS, zone)
    of_day = time.fromisoformat(starts_at)
    days = (near.date() + timedelta(days=d) for d in (-1, 0, 1))
    times = [datetime.combine(day, of_day, zone) for day in days]
    return int(min(times, key=lambda t: abs(t - near)).timestamp()) * NS
