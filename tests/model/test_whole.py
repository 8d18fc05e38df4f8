"""Files made for others are readable as the umask says, and keep the rights they have."""

import os

import pytest
from small_shows import item, show

from showcaller.model import write_show
from showcaller.model.whole import whole


@pytest.fixture(params=[0o022, 0o027, 0o077])
def umask(request):
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


def test_a_new_file_has_what_the_umask_leaves_and_an_old_one_keeps_its_rights(tmp_path, umask):
    document, sheet = tmp_path / "show.json", tmp_path / "a.csv"
    write_show(show([item("s", 60, [])]), document)
    whole(sheet, lambda where: where.write_text("x"))
    for path in (document, sheet):
        assert path.stat().st_mode & 0o777 == 0o666 & ~umask
        path.chmod(0o640)
    write_show(show([item("s", 61, [])]), document)
    whole(sheet, lambda where: where.write_text("y"))
    assert [p.stat().st_mode & 0o777 for p in (document, sheet)] == [0o640, 0o640]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.csv", "show.json"]


def test_what_breaks_off_leaves_nothing_and_what_was_there(tmp_path):
    def breaks(where):
        where.write_text("half")
        raise OSError("full")

    path = tmp_path / "a.csv"
    path.write_text("whole")
    with pytest.raises(OSError, match="full"):
        whole(path, breaks)
    assert [p.read_text() for p in tmp_path.iterdir()] == ["whole"]
