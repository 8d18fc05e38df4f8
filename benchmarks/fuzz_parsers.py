"""What is fuzzed: each parser with valid seeds, what makes a whole file of an input, and what may be raised.

An input is the part that a parser works on: of XLSX and ODS the XML inside, so that it gets past the zip.
"""

import io
import json
import os
import tempfile
import wave
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

SAMPLE = Path(__file__).resolve().parent.parent / "sample_shows" / "breakwater.json"
SCRATCH = Path("/dev/shm") if Path("/dev/shm").is_dir() else Path(tempfile.gettempdir())


@dataclass(frozen=True)
class Parser:
    """``seeds`` makes valid inputs; ``read`` takes one and may raise what ``says`` lists, sentences all."""

    seeds: Callable[[], list[bytes]]
    read: Callable[[bytes], object]
    says: tuple[type[BaseException], ...]
    end: str
    whole: Callable[[bytes], bytes] = lambda data: data


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

    show = read_show(SAMPLE)
    show = show.model_copy(update={"items": show.items[:4]})
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"seed{end}"
        (write_ods if end == ".ods" else write_xlsx)([running_order_sheet(show)], path)
        parts, seed = _unpacked(path, part)

    def whole(data: bytes) -> bytes:
        return _packed(parts, part, data)

    return Parser(
        lambda: [seed],
        lambda data: read_tables(at_path(whole(data), end)),
        (TableError,),
        end,
        whole,
    )


def _zip(end: str) -> Parser:
    """The archive itself."""
    inner = _spreadsheet(end, "content.xml" if end == ".ods" else "xl/worksheets/sheet1.xml")
    from showcaller.editing.importing.cells import TableError, read_tables

    seed = inner.whole(inner.seeds()[0])
    return Parser(lambda: [seed], lambda data: read_tables(at_path(data, end)), (TableError,), end)


def _tables() -> Parser:
    """CSV through to the finding: cells, columns, running order and cues."""
    from showcaller.editing.importing.files import understand
    from showcaller.editing.importing.understood import FileError
    from showcaller.model import read_show

    show = read_show(SAMPLE)
    seeds = [
        "Song,Length,BPM,Notes\r\nLow Water,5:10,92,count-in\r\nTalk: the ferry,1:30,,\r\nTotal,6:40,,\r\n",
        '\ufeffNr;Titel;Dauer\n1;Über;4,36\n2;"a\nb";0:04:36\n',
        "Department\tNumber\tName\tAnchor\tItem\nLights\t12.5\tFront\tbar 9 beat 2\tiron-gulls\n",
        "Kind,Name,Length,Tempo,Meters,Sections\nsong,X,240,120@1; 60 ramp@9,4/4@1,Verse@1\n",
    ]
    return Parser(
        lambda: (
            [s.encode() for s in seeds] + [seeds[1].encode("utf-16"), seeds[1].encode("cp1252", "replace")]
        ),
        lambda data: understand(show, at_path(data, ".csv"), show.items[1].id),
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
        lambda data: sections_of(data.decode("utf-8", "replace"), song),
        (TimelineError,),
        ".otio",
    )


def _midi() -> Parser:
    from showcaller.editing.exporting.midi import song_midi
    from showcaller.model import Song, read_show
    from showcaller.timing.midi_tempo import read_midi_tempo

    songs = [i for i in read_show(SAMPLE).items if isinstance(i, Song) and i.tempo]
    return Parser(
        lambda: [song_midi(song) for song in songs[:3]],
        read_midi_tempo,
        (ValueError,),
        ".mid",
    )


def _document() -> Parser:
    from showcaller.model import DocumentError, parse_show

    whole = json.loads(SAMPLE.read_text(encoding="utf-8"))
    whole["items"] = whole["items"][:2]
    for item in whole["items"]:
        item["cues"] = item.get("cues", [])[:3]
    whole.pop("looks", None)
    whole.pop("sends", None)
    text = json.dumps(whole)
    return Parser(
        lambda: [text.encode()],
        lambda data: parse_show(data.decode("utf-8", "replace")),
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

    def read(data: bytes) -> object:
        path = at_path(data, ".png")
        footage = Footage((source.model_copy(update={"media": path.name}),), path.parent)
        return footage.at("s", 0)

    return Parser(
        lambda: [cv2.imencode(end, picture)[1].tobytes() for end in (".png", ".jpg")],
        read,
        (),
        ".png",
    )


def _media() -> Parser:
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

    def read(data: bytes) -> object:
        path = str(at_path(data, ".mp4"))
        return probe(Within(), path, "x"), listen(Within(), path)

    return Parser(seeds, read, (Refused,), ".mp4")


def _clip() -> Parser:
    from showcaller.screen.clips import Clip
    from showcaller.screen.errors import ClipError

    def read(data: bytes) -> object:
        with Clip(at_path(data, ".mp4")) as clip:
            return clip.facts, clip.frame(1)

    return Parser(lambda: _media().seeds()[1:], read, (ClipError,), ".mp4")


def _tour() -> Parser:
    from showcaller.archive import Tour, TourError
    from showcaller.model import read_show

    def seeds() -> list[bytes]:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "seed.tour"
            with Tour.create(path, "Seed") as tour:
                show = read_show(SAMPLE)
                tour.add_edition(show.model_copy(update={"items": show.items[:1], "looks": (), "sends": ()}))
            return [path.read_bytes()]

    def read(data: bytes) -> object:
        with Tour.open(at_path(data, ".tour")) as tour:
            return tour.runs(), [tour.show_of(e) for e in tour.editions()]

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
    "show": _document,
    "still": _still,
    "media": _media,
    "clip": _clip,
    "tour": _tour,
}
