"""Commands on a plan: check, calls, forecast; and two that help to make one: tempo, wind."""

import json
import re
import sys
import time
from pathlib import Path
from typing import Annotated

import typer

from showcaller.archive.tour import Tour
from showcaller.calling.outlook import item_durations, show_forecast, suggested_cuts
from showcaller.calling.preview import preview_book
from showcaller.calling.status_view import ends
from showcaller.calling.wording import day_time, percent
from showcaller.cli.common import ShowPath, TourOption, app, err, one_sentence, out
from showcaller.demo.script import script_lines
from showcaller.desk.tour_facts import learned_lengths
from showcaller.desk.tourfile import paths_for
from showcaller.engine.sendable import unsendable
from showcaller.model import DocumentError, Show, read_show
from showcaller.model.document import layout
from showcaller.outside import Refused
from showcaller.outside.asking import ask
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.timing.planned_start import planned_start_wall_ns, zone_of
from showcaller.timing.quick_changes import rushed
from showcaller.timing.walkon import too_short
from showcaller.timing.wind import (
    CAUTION,
    FLAT_DRAG,
    SAFETY,
    Factors,
    SetPiece,
    estimate_m_s,
    overturning_share,
    parse_speed_m_s,
    pressure_n_m2,
    pressure_psf,
)
from showcaller.values import asdict


@app.command()
def check(show: ShowPath) -> None:
    """List what is wrong with a show, one problem a line; exit status 1 if there is any."""
    with one_sentence():
        plan = compile_plan(read_show(show))
    lines = [str(problem) for problem in (*plan.problems, *unsendable(plan.show))]
    lines += [*too_short(plan.show), *rushed(plan.show)]
    for planned, sheet in zip(plan.items, compile_show_calls(plan), strict=True):
        lines += [f"{planned.item.name}: {c.sentence}" for c in sheet.collisions]
    for line in lines:
        out.print(line, markup=False)
    if lines:
        raise typer.Exit(1)
    err.print(
        f"{plan.show.name}: {len(plan.items)} items, {sum(len(i.cues) for i in plan.items)} cues, no problem."
    )


@app.command()
def calls(
    show: ShowPath,
    as_json: Annotated[bool, typer.Option("--json", help="as JSON, for other software")] = False,
) -> None:
    """Print the call script: every warning, standby and go with its instant, as it is to be said."""
    with one_sentence():
        plan = compile_plan(read_show(show))
    sheets = compile_show_calls(plan)
    if not as_json:
        for line in script_lines(plan, sheets):
            out.print(line, markup=False)
        return
    items = [
        {
            "item": planned.item.id,
            "name": planned.item.name,
            "starts_s": float(start_s),
            "load": round(float(sheet.load), 4),
            "lines": [
                {
                    "what": line.what,
                    "text": line.text,
                    "starts_s": round(float(line.starts_s), 3),
                    "takes_s": round(float(line.takes_s), 3),
                    "lands_s": round(float(line.lands_s), 3),
                    "cues": [planned.cues[k].cue.id for k in line.cues],
                }
                for line in sheet.lines
            ],
            "by_itself": [
                {"cue": c.cue.id, "at_s": round(float(c.at_s), 3)} for c in planned.cues if c.automatic
            ],
            "collisions": [c.sentence for c in sheet.collisions],
        }
        for planned, sheet, start_s in zip(plan.items, sheets, plan.starts_s, strict=True)
    ]
    sys.stdout.write(json.dumps(items, indent=1, ensure_ascii=False) + "\n")


@app.command()
def forecast(
    show: ShowPath,
    starts: Annotated[
        str | None, typer.Option(help="when it really starts, hh:mm; as planned if not given")
    ] = None,
    level: Annotated[float, typer.Option(help="how sure the curfew should be", min=0.5, max=0.999)] = 0.9,
    tour: TourOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="as JSON, for other software")] = False,
) -> None:
    """Say when the show will end, whether that makes the curfew, and what to leave out if it does not.

    Lengths are those of the plan, or what the tour beside the show has learned.
    """
    with one_sentence():
        document = read_show(show)
        paths = paths_for(show, tour)
        samples: dict[str, list[float]] = {}
        if paths.address or paths.tour.exists():
            with Tour.open(paths.where) as opened:
                samples = learned_lengths(opened, document)
        start_ns = _start_ns(document, starts)
    book = preview_book(document)
    durations = item_durations(document, samples)
    ahead = show_forecast(book, durations, 0, start_ns)
    cut = suggested_cuts(book, durations, 0, start_ns, level)
    if as_json:
        facts = {**asdict(ahead), "starts_wall_ns": start_ns, "cut": None if cut is None else list(cut.names)}
        sys.stdout.write(json.dumps(facts, indent=1) + "\n")
        return
    for figure in ends(book, start_ns, ahead):
        out.print(f"{figure.label}: {figure.value} ({figure.note})", markup=False)
    if cut is not None and cut.names:
        ends_at = day_time(start_ns + int(cut.end_s * 1e9), zone_of(document))
        words = f"For a {percent(level)} chance, cut: {', '.join(cut.names)}; it then ends about {ends_at}"
        out.print(words, markup=False)
    elif cut is None and document.curfew is not None:
        out.print(f"For a {percent(level)} chance, cutting all that may be cut is not enough.")


def _start_ns(document: Show, starts: str | None) -> int:
    zone = zone_of(document)
    if starts is not None and not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", starts):
        raise DocumentError([f"--starts {starts!r} is not a time of day; give hh:mm, such as 20:55"])
    text = starts if starts is None or len(starts) == 5 else f"0{starts}"
    planned = planned_start_wall_ns(document.starts_at, time.time_ns(), zone)
    return planned if text is None else planned_start_wall_ns(text, planned, zone)


@app.command()
def tempo(
    midi_file: Annotated[Path, typer.Argument(help="a Standard MIDI File (.mid)", show_default=False)],
) -> None:
    """Print a MIDI file's tempo, meters and markers as they are written in a song of a show document."""
    try:
        reader = "showcaller.timing.midi_tempo:read_outside"
        fields = ask(reader, str(midi_file), name=midi_file.name)
    except Refused as error:
        err.print(str(error), markup=False)
        raise typer.Exit(2) from None
    sys.stdout.write(layout(fields) + "\n")


@app.command()
def wind(
    area: Annotated[float, typer.Option(help="face of the set piece, m²")],
    mass: Annotated[float, typer.Option(help="its mass, kg")],
    arm: Annotated[float, typer.Option(help="height of the face's centre, m")],
    base: Annotated[float, typer.Option(help="depth of its base, m")],
    drag: Annotated[float, typer.Option(help="drag coefficient")] = FLAT_DRAG,
    safety: Annotated[float, typer.Option(help="safety factor, 1 or more")] = SAFETY,
    exposure: Annotated[float, typer.Option(help="exposure factor Kz of ASCE 7")] = 1.0,
    directionality: Annotated[float, typer.Option(help="directionality factor Kd of ASCE 7")] = 1.0,
    speed: Annotated[
        str | None, typer.Option(help="say too what it is at this wind: 20 (m/s), 115 mph, 72 km/h, 40 kn")
    ] = None,
) -> None:
    """Estimate at what gust a free-standing set piece tips; for orientation only."""
    try:
        piece = SetPiece(area, mass, arm, base, drag)
        factors = Factors(exposure, directionality)
        limit_m_s = estimate_m_s(piece, safety, factors)
        speed_m_s = None if speed is None else parse_speed_m_s(speed)
    except ValueError as error:
        err.print(str(error))
        raise typer.Exit(2) from None
    out.print(f"About {limit_m_s:.1f} m/s, with a safety factor of {safety:g} on overturning.", markup=False)
    out.print(
        f"V = √(m g b/2 ÷ (s × 0.613 × Kz × Kd × drag × A × h)) = √({mass:g} × 9.80665 × {base:g}/2 ÷ "
        f"({safety:g} × 0.613 × {exposure:g} × {directionality:g} × {drag:g} × {area:g} × {arm:g})); "
        "q = 0.613 Kz Kd V² from ASCE 7 §26.10.",
        markup=False,
    )
    if speed_m_s is not None:
        out.print(
            f"At {speed} ({speed_m_s:.1f} m/s): q = {pressure_n_m2(speed_m_s, factors):.0f} N/m² "
            f"({pressure_psf(speed_m_s, factors):.2f} lb/ft²); it overturns with "
            f"{100 * overturning_share(piece, speed_m_s, factors):.0f} % of what holds it, "
            "before any safety factor.",
            markup=False,
        )
    out.print(CAUTION, markup=False)
