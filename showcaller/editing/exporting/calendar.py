"""The day as an iCalendar file (RFC 5545), for everybody's telephone."""

from datetime import UTC, date, datetime, time, timedelta, tzinfo

from icalendar import Calendar, Event

from showcaller.model import DayItem, Show


def day_calendar(show: Show, on: date, zone: tzinfo, now: datetime) -> bytes:
    """The day's items and the show as events, in UTC; ``on`` is the date the day begins.

    A time earlier than the one before it is after midnight. A moment (doors, curfew) has no length.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//showcaller//the day//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{show.name}, {show.venue}")
    for uid, name, starts, ends, words in _events(show, on):
        event = Event()
        event.add("uid", f"{uid}.{on:%Y%m%d}@{show.id}.showcaller")
        event.add("dtstamp", now.astimezone(UTC))
        event.add("summary", name)
        event.add("dtstart", starts.replace(tzinfo=zone).astimezone(UTC))
        if ends is not None:
            event.add("dtend", ends.replace(tzinfo=zone).astimezone(UTC))
        event.add("location", show.venue)
        if words:
            event.add("description", words)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _events(show: Show, on: date) -> list[tuple[str, str, datetime, datetime | None, str]]:
    found: list[tuple[str, str, datetime, datetime | None, str]] = []
    names = {d.id: d.name for d in show.departments}
    for item, starts, ends in day_instants(show, on):
        words = [
            ", ".join(names[d] for d in item.departments),
            f"crew {item.crew}" if item.crew else "",
            f"trucks {item.trucks}" if item.trucks else "",
            item.notes,
        ]
        found.append((item.id, item.name, starts, ends, "\n".join(w for w in words if w)))
    if not any(item.kind == "show" for item in show.day):
        starts = datetime.combine(on, time.fromisoformat(show.starts_at))
        length = sum((i.length_s for i in show.items if not i.out), start=show.items[0].length_s * 0)
        found.append(("show", show.name, starts, starts + timedelta(seconds=float(length)), show.act))
    return found


def day_instants(show: Show, on: date) -> list[tuple[DayItem, datetime, datetime | None]]:
    """The day's items with their beginnings and ends, local time; past midnight where the clock runs back."""
    found = []
    before = datetime.combine(on, time(0))
    for item in show.day:
        starts = datetime.combine(before.date(), time.fromisoformat(item.starts_at))
        # Half a day back is a new day; a little back is something that runs beside the one before.
        if before - starts > timedelta(hours=12):
            starts += timedelta(days=1)
        ends = None
        if item.ends_at is not None:
            ends = datetime.combine(starts.date(), time.fromisoformat(item.ends_at))
            ends += timedelta(days=1) if ends <= starts else timedelta(0)
        before = starts
        found.append((item, starts, ends))
    return found
