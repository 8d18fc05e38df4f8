"""What was measured, kept in one place: every benchmark keeps its figures, one command writes them for people.

``python benchmarks/results.py`` writes ``benchmarks/results.md`` from ``benchmarks/results/*.json``.
"""

import json
import os
import platform
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
FOLDER = HERE / "results"


def keep(name: str, found: Any) -> None:
    """Keep what a benchmark found, with the machine and the day."""
    _write(name, {"machine": _machine(), "found": found})


def keep_part(name: str, part: str, found: dict[str, Any]) -> None:
    """Keep one part anew beside what the whole benchmark found before, with the machine and the day in it."""
    kept = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    measured = ", ".join(f"{k} {v}" for k, v in _machine().items() if v is not None)
    kept["found"][part] = {**found, "measured apart": measured}
    _write(name, kept)


def _machine() -> dict[str, Any]:
    return {
        "python": platform.python_version(),
        "system": platform.system(),
        "cores": os.cpu_count(),
        "load before": round(os.getloadavg()[0], 1) if hasattr(os, "getloadavg") else None,
        "day": datetime.now(UTC).date().isoformat(),
    }


def _write(name: str, kept: dict[str, Any]) -> None:
    FOLDER.mkdir(exist_ok=True)
    text = json.dumps(kept, indent=1, ensure_ascii=False)
    (FOLDER / f"{name}.json").write_text(text + "\n", encoding="utf-8")


def lines(found: Any, depth: int = 0) -> list[str]:
    """Found figures as a nested list for people."""
    indent = "  " * depth
    if isinstance(found, dict):
        rows = []
        for key, value in found.items():
            if isinstance(value, dict | list) and value:
                rows += [f"{indent}- {key}:", *lines(value, depth + 1)]
            else:
                rows.append(f"{indent}- {key}: {_plain(value)}")
        return rows
    if isinstance(found, list):
        return [row for value in found for row in _item(value, depth)]
    return [f"{indent}- {_plain(found)}"]


def _item(value: Any, depth: int) -> list[str]:
    if isinstance(value, dict):
        return ["  " * depth + "- " + ", ".join(f"{k}: {_plain(v)}" for k, v in value.items())]
    return lines(value, depth)


def _plain(value: Any) -> str:
    return "none" if value in ([], {}, None) else str(value)


def main() -> None:
    """Write results.md."""
    parts = [
        "# What was measured",
        "",
        "Written by `python benchmarks/results.py`; each part by the command it names.",
        "",
    ]
    for path in sorted([*FOLDER.glob("*.json"), *HERE.glob("*_results.json")]):
        kept = json.loads(path.read_text(encoding="utf-8"))
        machine, found = kept.get("machine"), kept.get("found", kept)
        parts += [f"## {path.stem.replace('_', ' ')}", ""]
        if machine:
            parts += [", ".join(f"{k} {v}" for k, v in machine.items() if v is not None), ""]
        parts += [*lines(found), ""]
    (HERE / "results.md").write_text("\n".join(parts), encoding="utf-8")


if __name__ == "__main__":
    main()
