"""What is fuzzed: each parser with valid seeds, what makes a whole file of an input, and what may be raised.

An input is the part that a parser works on: of XLSX and ODS the XML inside, so that it gets past the zip.
"""

import contextlib
import io
import json
import os
import tempfile
import wave
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

SAMPLE = Path(__file__).resolve().parent.parent / "sample_shows" / "breakwater.json"
SCRATCH = Path("/dev/shm") if Path("/dev/shm").is_dir() else Path(tempfile.gettempdir())


@dataclass(frozen=True)
class Parser:
    """``seeds`` makes valid inputs; ``read_at`` reads a file and may raise what ``says`` lists, sentences all.

    ``whole`` makes the file's bytes of an input. Nothing is made before it is asked for: where files are read
    none can be written.
    """

    seeds: Callable[[], list[bytes]]
    read_at: Callable[[Path], object]
    says: tuple[type[BaseException], ...]
    end: str
    whole: Callable[[bytes], bytes] = lambda data: data

    def read(self, data: bytes) -> object:
        """One input, as a file."""
        return self.read_at(at_path(self.whole(data), self.end))


@lru_cache(maxsize=1)
def small_show() -> dict[str, Any]:
    """The first items of the sample with a few cues each, and all that those name."""
    show = json.loads(SAMPLE.read_text(encoding="utf-8"))
    show["items"] = show["items"][:2]
    for item in show["items"]:
        item["cues"] = item.get("cues", [])[:3]
        item.pop("shots", None)
    named = {cue["look"]["look"] for item in show["items"] for cue in item["cues"] if "look" in cue}
    show["looks"] = [look for look in show["looks"] if look["id"] in named]
    sources = {layer["source"] for look in show["looks"] for layer in look.get("layers", [])}
    show["sources"] = [source for source in show["sources"] if source["id"] in sources]
    del show["sends"]
    return show


def at_path(data: bytes, end: str) -> Path:
    """The input as a file in memory, always the same one of this process."""
    path = SCRATCH / f"showcaller-fuzz-{os.getpid()}{end}"
    path.write_bytes(data)
    return path


def _unpacked(path: Path, part: str) -> tuple[dict[str, bytes], bytes]:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    return parts, parts[part]


def _packed(parts: dict[str, bytes], part: str, data: bytes) -> bytes:
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w") as archive:
        for name, content in {**parts, part: data}.items():
            archive.writestr(name, content)
    return into.getvalue()


def _spreadsheet(end: str, part: str) -> Parser:
    from showcaller.editing.exporting.tables import running_order_sheet, write_ods, write_xlsx
    from showcaller.editing.importing.cells import TableError, read_tables
    from showcaller.model import read_show

    @lru_cache(maxsize=1)
    def made() -> tuple[dict[str, bytes], bytes]:
        show = read_show(SAMPLE)
        show = show.model_copy(update={"items": show.items[:4]})
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"seed{end}"
            (write_ods if end == ".ods" else write_xlsx)([running_order_sheet(show)], path)
            return _unpacked(path, part)

    def whole(data: bytes) -> bytes:
        return _packed(made()[0], part, data)

    return Parser(lambda: [made()[1]], read_tables, (TableError,), end, whole)


def _zip(end: str) -> Parser:
    """The archive itself."""
    inner = _spreadsheet(end, "content.xml" if end == ".ods" else "xl/worksheets/sheet1.xml")
    from showcaller.editing.importing.cells import TableError, read_tables

    return Parser(lambda: [inner.whole(inner.seeds()[0])], read_tables, (TableError,), end)


def _tables() -> Parser:
    """CSV through to the finding: cells, columns, running order and cues."""
    from showcaller.editing.importing.files import understand
    from showcaller.editing.importing.understood import FileError
    from showcaller.model import read_show

    show = read_show(SAMPLE)
    seeds = [
        "Song,Length,BPM,Notes\r\nLow Water,5:10,92,count-in\r\nTalk: the ferry,1:30,,\r\nTotal,6:40,,\r\n",
        '\ufeffNr;Titel;Dauer\n1;Über;4,36\n2;"a\nb";0:04:36\n',
        "Department\tNumber\tWhat\tWhen\tSong\nLights\t12.5\tFront\t9/2\tRopes and Rust\n",
        "Kind,Name,Length,Tempo,Meter,Sections\nsong,X,240,1 120; 9 60,1 4/4,1 Verse\n",
    ]
    return Parser(
        lambda: (
            [s.encode() for s in seeds] + [seeds[1].encode("utf-16"), seeds[1].encode("cp1252", "replace")]
        ),
        lambda path: understand(show, path, show.items[1].id),
        (FileError,),
        ".csv",
    )


def _timeline() -> Parser:
    from showcaller.editing.timeline import TimelineError, sections_of, song_timeline
    from showcaller.model import Song, read_show

    show = read_show(SAMPLE)
    song = next(i for i in show.items if isinstance(i, Song) and i.tempo)
    small = song.model_copy(update={"cues": song.cues[:2]})
    return Parser(
        lambda: [song_timeline(show, small).encode()],
        lambda path: sections_of(path.read_bytes().decode("utf-8", "replace"), song),
        (TimelineError,),
        ".otio",
    )


def _midi() -> Parser:
    from showcaller.editing.exporting.midi import song_midi
    from showcaller.editing.importing.midi_lyrics import lines_of
    from showcaller.model import Song, read_show
    from showcaller.timing.midi_tempo import read_midi_syllables, read_midi_tempo

    songs = [i for i in read_show(SAMPLE).items if isinstance(i, Song) and i.tempo]
    return Parser(
        lambda: [song_midi(song) for song in songs[:3]],
        lambda path: (
            read_midi_tempo(path.read_bytes()),
            lines_of(read_midi_syllables(path.read_bytes())),
        ),
        (ValueError,),
        ".mid",
    )


def _lyrics() -> Parser:
    """LRC and plain text."""
    from showcaller.editing.importing.lyrics import read_lrc, read_plain, text_of
    from showcaller.editing.importing.understood import FileError

    def read(path: Path) -> object:
        text = text_of(path.read_bytes())
        try:
            return read_lrc(text)
        except FileError:
            return read_plain(text, True)

    seeds = [
        "[offset:+500]\n[00:12.5][1:02]The lamps\n[00:30]<00:30>Over <00:31>it",
        "[5] The lamps\nare lit\n[9/3]\nnow",
    ]
    return Parser(lambda: [seed.encode() for seed in seeds], read, (FileError,), ".lrc")


def _document() -> Parser:
    from showcaller.model import DocumentError, parse_show

    return Parser(
        lambda: [json.dumps(small_show()).encode()],
        lambda path: parse_show(path.read_bytes().decode("utf-8", "replace")),
        (DocumentError,),
        ".json",
    )


def _still() -> Parser:
    import cv2
    import numpy as np

    from showcaller.model import Source
    from showcaller.screen.footage import Footage

    picture = np.arange(60 * 40 * 3, dtype=np.uint8).reshape(40, 60, 3)
    source = Source.model_validate({"id": "s", "name": "S", "kind": "still", "media": "x"})

    def read(path: Path) -> object:
        footage = Footage((source.model_copy(update={"media": path.name}),), path.parent)
        return footage.at("s", 0)

    return Parser(
        lambda: [cv2.imencode(end, picture)[1].tobytes() for end in (".png", ".jpg")],
        read,
        (),
        ".png",
    )


def _media_facts() -> Parser:
    from showcaller.editing.reading_media import believed, look
    from showcaller.outside import Refused, Within

    return Parser(
        lambda: _media().seeds()[1:],
        lambda path: believed(look(Within(), str(path), "x"), "x"),
        (Refused,),
        ".mp4",
    )


def _media() -> Parser:
    from showcaller.editing.loudness import measure
    from showcaller.editing.media import listen, probe
    from showcaller.outside import Refused, Within

    def seeds() -> list[bytes]:
        import av
        import numpy as np

        made = io.BytesIO()
        with wave.open(made, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(8000)
            file.writeframes(bytes(4000))
        found = [made.getvalue()]
        for kind, codec in (("mp4", "mpeg4"), ("matroska", "mpeg4"), ("mov", "mjpeg")):
            into = io.BytesIO()
            with av.open(into, "w", format=kind) as container:
                stream = container.add_stream(codec, rate=25)
                stream.width, stream.height, stream.pix_fmt = (
                    64,
                    48,
                    "yuvj420p" if codec == "mjpeg" else "yuv420p",
                )
                for n in range(3):
                    picture = np.full((48, 64, 3), n * 40, np.uint8)
                    container.mux(stream.encode(av.VideoFrame.from_ndarray(picture)))
                container.mux(stream.encode())
            found.append(into.getvalue())
        return found

    def read(path: Path) -> object:
        with contextlib.suppress(Refused):  # a picture without sound
            measure(Within(), str(path), "x")
        return probe(Within(), str(path), "x"), listen(Within(), str(path))

    return Parser(seeds, read, (Refused,), ".mp4")


def _clip() -> Parser:
    from showcaller.screen.clips import Clip
    from showcaller.screen.errors import ClipError

    def read(path: Path) -> object:
        with Clip(path) as clip:
            return clip.facts, clip.frame(1)

    return Parser(lambda: _media().seeds()[1:], read, (ClipError,), ".mp4")


def _headset() -> Parser:
    from showcaller.hearing.track import blocks
    from showcaller.outside import Refused, Within

    def read(path: Path) -> object:
        return sum(len(block) for block in blocks(Within(), path))

    return Parser(lambda: _media().seeds()[:1], read, (Refused,), ".wav")


def _tour() -> Parser:
    from showcaller.archive import TourError
    from showcaller.archive.tour import Tour
    from showcaller.model import Show
    from showcaller.run.codec import event_from, input_from
    from showcaller.run.runlog import Record

    show = Show.model_validate(small_show())
    item, cue = show.items[0].id, show.items[0].cues[0].id
    began = {"kind": "run_started", "caller": "seed"}
    fired = {
        "kind": "fired",
        "item": item,
        "cue": cue,
        "go": cue,
        "planned_s": 1.0,
        "actual_s": 1.1,
        "by": "go",
    }

    def seeds() -> list[bytes]:
        records = [
            Record(n, n * 10**9, n * 10**9, input_from(came), (event_from(event),))
            for n, (came, event) in enumerate(
                [({"kind": "start"}, began), ({"kind": "go", "go": cue}, fired)], start=1
            )
        ]
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "seed.tour"
            with Tour.create(path, "Seed") as tour:
                run = tour.add_run(tour.add_edition(show), records, run_id="seed")
                tour.set_recording(run, "drums.mp4", 10**9, "typed", wall_ns=10**9)
                tour.add_remark(run, 10**9, "late", wall_ns=10**9)
            return [path.read_bytes()]

    def read(path: Path) -> object:
        with Tour.open(path) as tour:
            runs = tour.runs()
            shows = [tour.show_of(edition) for edition in tour.editions()]
            return shows, [(tour.records(r), tour.recordings(r), tour.remarks(r)) for r in runs]

    return Parser(seeds, read, (TourError,), ".tour")


PARSERS: dict[str, Callable[[], Parser]] = {
    "xlsx": lambda: _spreadsheet(".xlsx", "xl/worksheets/sheet1.xml"),
    "xlsx-styles": lambda: _spreadsheet(".xlsx", "xl/styles.xml"),
    "xlsx-zip": lambda: _zip(".xlsx"),
    "ods": lambda: _spreadsheet(".ods", "content.xml"),
    "ods-zip": lambda: _zip(".ods"),
    "csv": _tables,
    "otio": _timeline,
    "midi": _midi,
    "lyrics": _lyrics,
    "show": _document,
    "still": _still,
    "media": _media,
    "media_facts": _media_facts,
    "clip": _clip,
    "headset": _headset,
    "tour": _tour,
}
