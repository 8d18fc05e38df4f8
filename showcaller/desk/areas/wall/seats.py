"""The wall seen from one place of the house after another."""

from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.said import FootWords
from showcaller.screen.from_seats import eye_of, house_of, seat_view
from showcaller.screen.on_stage import on_stage, seen_from


class FromSeats:
    """Goes through the places; what can be read there and what is hidden stands under the picture."""

    def __init__(self, state: WallState, said: FootWords) -> None:
        self._state, self._said = state, said

    def next(self) -> None:
        """The next place; after the last straight on again."""
        scene, state = self._state.scene, self._state
        if scene is None:
            return
        house = house_of(scene.wall, scene.show.house)
        places = [None, *house.places]
        at = places.index(state.seat) if state.seat in places else 0
        seat = state.seat = places[(at + 1) % len(places)]
        state.seat_words = "" if seat is None else seat_view(scene.wall, house, seat).words
        others = () if seat is None else on_stage(scene.show)[1:]
        state.seat_lines = tuple(seen_from(scene.show, eye_of(seat), one).words for one in others if seat)
        self._said.say("straight on" if seat is None else f"seen from: {seat.name}")
