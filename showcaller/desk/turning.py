"""What an area is told when it comes to the front: the item that is worked on, the run, the tour."""

from showcaller.desk.areas.book.area import BookArea
from showcaller.desk.later import LaterAreas
from showcaller.desk.run_controller import RunController


class Turning:
    """At rest the Book and the Wall work on one item: what was chosen in the one is shown in the other."""

    def __init__(self, book: BookArea, later: LaterAreas, host: RunController) -> None:
        self._book = book
        self._later = later
        self._host = host
        self._item = book.state.chosen.item

    def to(self, name: str) -> None:
        """An area is about to come to the front."""
        at_rest = self._host.session is None
        if name == "Drift":
            self._later.drift.show_tour(self._host.tour)
        elif name == "Wall" and at_rest:
            self._wall_takes()
        elif name == "Wall":
            _ = self._later.wall  # made by asking for it
        elif name == "Book" and at_rest:
            self._book_takes()
        elif name == "Book":
            self._book.show_book(self._host.book, self._host.book.state.item)

    def _wall_takes(self) -> None:
        chosen, wall = self._book.state.chosen.item, self._later.wall
        if chosen != self._item:
            wall.state.rehearsal.choose(chosen)
        wall.said.say("")  # meanwhile it may have been taken back, or was about another item
        self._item = wall.state.rehearsal.item

    def _book_takes(self) -> None:
        wall = self._later.made()[0]
        item = self._item if wall is None else wall.state.rehearsal.item
        if item != self._item and item in {i.id for i in self._book.state.show_now.items}:
            self._book.state.choose_item(item)
        self._item = self._book.state.chosen.item
