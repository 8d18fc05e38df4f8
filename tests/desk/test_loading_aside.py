"""Large libraries are in memory before they are imported."""

import subprocess
import sys

import pytest

LOADED = """
import sys
from showcaller.desk import loading_aside

def there():
    with open("/proc/self/maps", encoding="utf-8", errors="replace") as maps:
        return {name for line in maps for name in ("cv2.abi3", "av/_core", "avcodec") if name in line}

before = there()
loading_aside.load_aside()
after = there()
imported = {"cv2", "av"} & set(sys.modules)
import av, cv2, numpy
works = cv2.norm(numpy.array([[3.0, 4.0]])), bool(av.library_versions)
print(sorted(before), sorted(after), sorted(imported), *works)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="what is in memory is read as Linux tells it")
def test_they_are_in_memory_before_they_are_imported_and_then_work():
    done = subprocess.run([sys.executable, "-c", LOADED], capture_output=True, text=True, check=True)
    assert done.stdout.split("\n")[0] == "[] ['av/_core', 'avcodec', 'cv2.abi3'] [] 5.0 True"


def test_one_that_is_not_there_is_left_to_its_import(monkeypatch):
    from showcaller.desk import loading_aside

    monkeypatch.setattr(loading_aside, "_LARGE", (("no_such_package", "any"), ("json", "no_such_module")))
    loading_aside.load_aside()
    assert list(loading_aside._found()) == []
