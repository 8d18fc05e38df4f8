"""What has to be done between two items, and whether the running order leaves the time for it. Pure."""

from fractions import Fraction

from showcaller.model import Show
from showcaller.model.clockwords import m_ss


def time_between_s(show: Show, after: str, before: str) -> Fraction | None:
    """From the planned end of an item to the planned start of another, tonight, seconds; None where the
    second does not come after the first. One that is cut is over where it would have begun."""
    at_s, ends_s, begins_s = Fraction(0), None, None
    for item in show.items:
        if item.id == before:
            begins_s = at_s
        at_s += Fraction(0) if item.out else item.length_s
        if item.id == after:
            ends_s = at_s
    if ends_s is None or begins_s is None or begins_s < ends_s:
        return None
    return begins_s - ends_s


def rushed(show: Show) -> list[str]:
    """A sentence for every quick change that tonight's running order leaves too little time for."""
    names = {item.id: item.name for item in show.items}
    out = {item.id for item in show.items if item.out}
    found = []
    for page in show.pages:
        if page.takes_s is None or page.after is None or page.item is None or page.item in out:
            continue
        needs = f"'{page.name}' ({page.reader}) needs {m_ss(round(page.takes_s))}"
        where = f"between '{names[page.after]}' and '{names[page.item]}'"
        there_s = time_between_s(show, page.after, page.item)
        if there_s is None:
            found.append(f"{needs} {where}, and these do not follow: move one, or change the list")
        elif there_s < page.takes_s:
            cut = f"; '{names[page.after]}' is cut" if page.after in out else ""
            found.append(f"{needs} {where}, and there is {m_ss(round(there_s))}{cut}: give it time, or help")
    return found
