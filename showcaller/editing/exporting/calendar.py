"""The day as an iCalendar file (RFC 5545), for everybody's telephone."""

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from showcaller.editing.day import day_instants
from showcaller.model import Show


def day_calendar(show: Show, on: date, zone: tzinfo | None, now: datetime) -> bytes:
    """The day's items and the show as events; ``on`` is the date the day begins.

    A time earlier than the one before it is after midnight. A moment (doors, curfew) has no length. Where
    the clocks change in the night, a time that comes twice is its first, and one that is left out is as long
    after the change as it is written (RFC 5545, section 3.3.5).

    Args:
        show: the show.
        on: local date.
        zone: the venue's. With a named one events carry its name and rules; else they are in UTC. None stands
            for the machine's own, by the rules it has for that date, not by today's offset.
        now: when this was asked for.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//showcaller//the day//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{show.name}, {show.venue}")
    for uid, name, starts, ends, words in _events(show, on, zone):
        event = Event()
        event.add("uid", f"{uid}.{on:%Y%m%d}@{show.id}.showcaller")
        event.add("dtstamp", now.astimezone(UTC))
        event.add("summary", name)
        event.add("dtstart", _told(starts, zone))
        if ends is not None:
            event.add("dtend", _told(ends, zone))
        event.add("location", show.venue)
        if words:
            event.add("description", words)
        calendar.add_component(event)
    if isinstance(zone, ZoneInfo):
        calendar.add_missing_timezones(on - timedelta(days=366), on + timedelta(days=366))
    return bytes(calendar.to_ical())


def _instant(local: datetime, zone: tzinfo | None) -> datetime:
    """A local time of day as an instant, UTC."""
    return (local if zone is None else local.replace(tzinfo=zone)).astimezone(UTC)


def _told(instant: datetime, zone: tzinfo | None) -> datetime:
    """As it stands in the file; a local time's second coming has no name there, so it is told in UTC."""
    local = instant.astimezone(zone)
    return local if isinstance(zone, ZoneInfo) and not local.fold else instant


def _events(
    show: Show, on: date, zone: tzinfo | None
) -> list[tuple[str, str, datetime, datetime | None, str]]:
    """(id, name, beginning, end, words), instants in UTC."""
    found: list[tuple[str, str, datetime, datetime | None, str]] = []
    names = {d.id: d.name for d in show.departments}
    for item, starts, ends in day_instants(show, on):
        words = [
            ", ".join(names[d] for d in item.departments),
            f"crew {item.crew}" if item.crew else "",
            f"trucks {item.trucks}" if item.trucks else "",
            f"dock {item.dock}" if item.dock else "",
            item.carries,
            item.notes,
        ]
        end = None if ends is None else _instant(ends, zone)
        found.append((item.id, item.name, _instant(starts, zone), end, "\n".join(w for w in words if w)))
    if not any(item.kind == "show" for item in show.day):
        starts = _instant(datetime.combine(on, time.fromisoformat(show.starts_at)), zone)
        length = sum((i.length_s for i in show.items if not i.out), start=show.items[0].length_s * 0)
        found.append(("show", show.name, starts, starts + timedelta(seconds=float(length)), show.act))
    if show.curfew is not None and not any(item.kind == "curfew" for item in show.day):
        past = show.curfew[:5] <= show.starts_at[:5]
        local = datetime.combine(on + timedelta(days=past), time.fromisoformat(show.curfew))
        found.append(("curfew", f"Curfew, {show.venue}", _instant(local, zone), None, show.name))
    return found
