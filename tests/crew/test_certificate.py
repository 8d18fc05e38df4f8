"""The certificate, against OpenSSL through Python's own ssl: it is believed for its names and no others."""

import hashlib
import ssl
from datetime import UTC, datetime, timedelta

import pytest

from showcaller.crew.addresses import own_address, own_names
from showcaller.crew.certificate import LASTS_DAYS, fingerprint, is_good, make_certificate
from showcaller.crew.keeping import KeepingError, kept_for

NOW = datetime(2026, 6, 1, tzinfo=UTC)


def test_its_fingerprint_is_the_sha_256_of_its_der():
    pem, _ = make_certificate(["127.0.0.1", "desk.local"], NOW)
    der = ssl.PEM_cert_to_DER_cert(pem.decode())
    assert fingerprint(pem).replace(":", "").lower() == hashlib.sha256(der).hexdigest()


def test_it_is_good_for_its_names_and_its_time():
    pem, _ = make_certificate(["127.0.0.1", "desk.local"], NOW)
    assert is_good(pem, ["127.0.0.1"], NOW)
    assert not is_good(pem, ["127.0.0.1", "192.168.1.2"], NOW)
    assert not is_good(pem, ["127.0.0.1"], NOW + timedelta(days=LASTS_DAYS))
    assert not is_good(b"nothing", ["127.0.0.1"], NOW)


def test_it_is_kept_for_its_user_alone_and_made_anew_only_for_other_names(tmp_path):
    kept = kept_for(tmp_path / "runs", tmp_path / "state")
    path, key = kept.certificate(["127.0.0.1"])
    first = path.read_bytes()
    assert key.stat().st_mode & 0o077 == 0
    assert key.parent.stat().st_mode & 0o077 == 0
    kept.certificate(["127.0.0.1"])
    assert path.read_bytes() == first
    kept.certificate(["127.0.0.1", "192.168.1.2"])
    assert path.read_bytes() != first


def test_the_door_is_kept_and_one_that_cannot_be_read_lets_nobody_in(tmp_path):
    kept = kept_for(tmp_path / "runs", tmp_path / "state")
    door = kept.door()
    link = door.invite("", 0)
    kept.keep(door)
    assert kept.door().links == {link.id: link}
    (kept.folder / "door.json").write_text('{"pin": 1, "links": "x"}')
    assert kept.door().links == {}
    assert kept.door().pin != door.pin


def test_one_server_at_a_time_keeps_a_shows_pages(tmp_path):
    kept = kept_for(tmp_path / "runs", tmp_path / "state")
    first = kept.lock()
    with pytest.raises(KeepingError, match="served already"):
        kept.lock()
    first.release()
    kept.lock().release()


def test_the_names_are_this_machines():
    assert own_address() in own_names("0.0.0.0")
    assert "127.0.0.1" in own_names("0.0.0.0")
    assert own_names("0.0.0.0", ("stage.example",))[0] == "stage.example"
    assert own_names("127.0.0.1") == ("127.0.0.1", "localhost")
