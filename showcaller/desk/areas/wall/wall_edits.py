"""All that can be done to the show in the wall area, by what it is done to."""

from showcaller.desk.areas.wall.layer_edits import LayerEdits
from showcaller.desk.areas.wall.look_edits import LookEdits
from showcaller.desk.areas.wall.show_edits import ShowEdits
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.keys import Keys


class WallEdits:
    """``layer`` the chosen layer, ``look`` the look that is on, ``show`` the wall, its sources, templates."""

    def __init__(self, state: WallState, keys: Keys) -> None:
        self.layer = LayerEdits(state, keys)
        self.look = LookEdits(state, keys)
        self.show = ShowEdits(state, keys)
