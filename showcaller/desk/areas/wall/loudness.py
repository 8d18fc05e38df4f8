"""The loudness of the song's reference under the graph, and the loop that is played."""

from showcaller.desk.areas.wall.graph import ChannelGraph
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.reference_peaks import ReferencePeaks
from showcaller.model import Song


class Loudness:
    """Has the reference of what is shown read, and the graph show it."""

    def __init__(self, state: WallState, graph: ChannelGraph) -> None:
        self._state, self._graph = state, graph
        self._peaks = ReferencePeaks(graph.update, graph)
        self._of: tuple[object, object] | None = None

    def show(self) -> None:
        """As things stand; called at every frame while the area is in front."""
        scene, folder = self._state.scene, self._state.store.folder
        item = None if scene is None else scene.plan.items[scene.item].item
        song = item if isinstance(item, Song) else None
        wanted = folder, None if song is None else song.reference
        if wanted != self._of:
            self._of = wanted
            self._peaks.want(*wanted)
        from_s = 0.0 if song is None else float(song.reference_at_s)
        live = scene is not None and scene.live
        self._graph.show_sound(self._peaks.now, from_s, None if live else self._state.rehearsal.loop)

    def close(self) -> None:
        """Read nothing more."""
        self._peaks.close()
