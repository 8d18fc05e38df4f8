"""Media of a show that came by e-mail: only files of a listed format, in folders that were allowed."""

import os
import socket
import struct
import time
import wave
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest

from showcaller.editing.media import MediaError, length_of
from showcaller.model import Source
from showcaller.outside import Refused
from showcaller.outside.media import allow, allowed_file, allowed_folders, forget, is_camera, read_still
from showcaller.screen.clips import Clip, read_sound
from showcaller.screen.errors import ClipError
from showcaller.screen.footage import Footage


def sound(path: Path) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        file.writeframes(bytes(16_000))
    return path


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "show").mkdir()
    sound(tmp_path / "show" / "in.wav")
    sound(tmp_path / "secret.wav")
    return tmp_path / "show"


def why(folder: Path, name: str, kind: str = "clip") -> str:
    """What the wall says of a source, having tried to open it."""
    footage = Footage((Source.model_validate({"id": "s", "name": "S", "kind": kind, "media": name}),), folder)
    try:
        footage.at("s", 0)
        return footage.why("s")
    finally:
        footage.close()


@pytest.mark.parametrize("name", ["../secret.wav", "sub/../../secret.wav", "link.wav", "{absolute}"])
def test_a_file_elsewhere_is_refused_by_whatever_way_it_is_named(folder, name):
    (folder / "link.wav").symlink_to(folder.parent / "secret.wav")
    name = name.format(absolute=folder.parent / "secret.wav") if "{" in name else name
    for kind in ("clip", "still", "live"):
        assert "lies outside the show's folder" in why(folder, name, kind)
    with pytest.raises(MediaError, match="lies outside the show's folder"):
        length_of(folder, name)


def test_a_folder_that_was_allowed_on_this_machine_is_used_and_can_be_forgotten(folder, tmp_path):
    settings = tmp_path / "settings"
    assert allowed_folders(settings) == ()
    allow(settings, folder.parent)
    allow(settings, folder.parent)
    assert allowed_folders(settings) == (folder.parent,)
    assert length_of(folder, "../secret.wav", allowed_folders(settings)) == 1
    forget(settings, folder.parent)
    assert allowed_folders(settings) == ()
    with pytest.raises(Refused, match="was not allowed; allowed are: none"):
        forget(settings, folder)
    with pytest.raises(Refused, match="is the whole disk"):
        allow(settings, Path("/"))


PLAYLISTS = {
    "a.m3u8": "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:9.0,\nin.wav\n#EXT-X-ENDLIST\n",
    "a.ffconcat": "ffconcat version 1.0\nfile in.wav\n",
    "a.mp4": "ffconcat version 1.0\nfile in.wav\n",
    "a.mpd": '<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011" type="static"></MPD>',
    "a.sdp": "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=audio 9 RTP/AVP 0\n",
}


@pytest.mark.parametrize("name", list(PLAYLISTS))
def test_a_playlist_is_refused_whatever_it_is_called(folder, name):
    (folder / name).write_text(PLAYLISTS[name])
    assert "cannot be read as a video" in why(folder, name)
    with pytest.raises(MediaError, match="cannot be read as audio or video"):
        length_of(folder, name)
    with pytest.raises(ClipError):
        read_sound(folder / name)


@pytest.mark.parametrize("name", ["http://127.0.0.1:{port}/a.mp4", "tcp://127.0.0.1:{port}", "concat:in.wav"])
@pytest.mark.parametrize("kind", ["clip", "live", "camera", "still"])
def test_nothing_is_fetched_from_anywhere(folder, name, kind):
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.setblocking(False)
        assert why(folder, name.format(port=server.getsockname()[1]), kind)
        with pytest.raises(BlockingIOError):
            server.accept()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no such files here")
@pytest.mark.parametrize("kind", ["clip", "still", "live"])
def test_pipes_sockets_folders_and_empty_files_are_refused_at_once(folder, kind):
    os.mkfifo(folder / "pipe.mp4")
    (folder / "sub").mkdir()
    (folder / "empty.png").touch()
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(folder / "s.mp4"))
        begun = time.monotonic()
        assert why(folder, "pipe.mp4", kind) == "pipe.mp4 is a named pipe, not a file; name a file"
        assert "is a socket" in why(folder, "s.mp4", kind)
        assert "is a folder" in why(folder, "sub", kind)
        assert why(folder, "empty.png", kind) == "empty.png is empty; copy it again"
        assert time.monotonic() - begun < 5
    with pytest.raises(ClipError, match="is a named pipe"):
        Clip(folder / "pipe.mp4")
    with pytest.raises(ClipError, match="is a named pipe"):
        read_sound(folder / "pipe.mp4")


def test_a_camera_is_a_video_device_and_nothing_else():
    assert is_camera("/dev/video0")
    assert is_camera("/dev/v4l/by-id/usb-x-index0")
    for name in ("/dev/sda", "/dev/video0/../sda", "/dev/v4l/by-id/../../sda", "/dev/zero", "video0"):
        assert not is_camera(name)


def png(width: int, height: int) -> bytes:
    """A valid PNG of one colour with any size; its pixels are packed a thousandfold."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packer = zlib.compressobj(1)
    line = bytes(1 + width)
    rows = b"".join(packer.compress(line) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_a_still_of_400_million_pixels_is_refused_before_it_is_decoded(folder, monkeypatch):
    (folder / "huge.png").write_bytes(png(20_000, 20_000))
    decoded = []
    monkeypatch.setattr(cv2, "imdecode", lambda *_: decoded.append(1))
    assert why(folder, "huge.png", "still") == (
        "huge.png is 20000 × 20000 pixels; 100 million are the limit: scale it down"
    )
    assert not decoded


@pytest.mark.parametrize("end", [".png", ".jpg"])
def test_the_size_in_the_header_is_the_one_that_was_written(folder, end, monkeypatch):
    """Against what wrote it: OpenCV's own encoders."""
    cv2.imwrite(str(folder / f"a{end}"), np.zeros((123, 456, 3), np.uint8))
    monkeypatch.setattr("showcaller.outside.media.MOST_STILL_PIXELS", 123 * 456)
    assert read_still(folder / f"a{end}", "a")
    monkeypatch.setattr("showcaller.outside.media.MOST_STILL_PIXELS", 123 * 456 - 1)
    with pytest.raises(Refused, match="is 456 × 123 pixels"):
        read_still(folder / f"a{end}", "a")


@pytest.mark.parametrize(
    "data", [b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"GIF89a" + bytes(40), png(10, 10)[:60]]
)
def test_a_broken_still_is_a_card_that_says_so(folder, data):
    (folder / "x.png").write_bytes(data)
    assert "x.png cannot be read as a picture" in why(folder, "x.png", "still")


def test_a_name_with_a_nought_byte_is_a_sentence(folder):
    with pytest.raises(Refused, match="is not a file's name"):
        allowed_file("a\x00b", folder)
