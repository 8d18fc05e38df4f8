"""Breakwater's running order: nineteen items, from the lamps on the quay to the last boat home.

Longer than a module should be because it is a script, read from top to bottom, not a program.
"""

from __future__ import annotations

from breakwater_lyrics import LANTERN, SALT_LETTERS
from cue_script import (
    Json,
    RunningOrder,
    bar,
    code,
    dk,
    eye,
    fx,
    lx,
    mv,
    secs,
    sections,
    shots,
    snd,
    sp,
    sung,
    vid,
)


def _note(note: int, channel: int = 1, velocity: int = 100) -> Json:
    return {"kind": "note", "outlet": "show-control", "channel": channel, "note": note, "velocity": velocity}


def _patch(program: int, channel: int = 3) -> Json:
    return {"kind": "program", "outlet": "show-control", "channel": channel, "program": program}


def _control(control: int, value: int, channel: int = 3) -> Json:
    return {
        "kind": "control", "outlet": "show-control", "channel": channel, "control": control, "value": value
    }  # fmt: skip


def _recorder(command: str) -> Json:
    return {"kind": "mmc", "outlet": "show-control", "command": command}


def write(order: RunningOrder) -> None:
    """All items, in order."""
    _from_the_quay(order)
    _the_crane(order)
    _at_the_buoy(order)
    _the_storm(order)
    _breakwater(order)
    _encore(order)


def _from_the_quay(order: RunningOrder) -> None:
    order.add(
        "song", "first-light", "First Light", "5:20",
        secs(0, lx("House out", warning_s=30), vid("black", label="Wall to black"),
             snd("Drone under", notes="Fades up over 14 s"), dk("Kabuki crew stand clear")),
        secs(8, snd("Recorder rolls", _recorder("play")).itself()),
        bar(1, lx("Quay lamps, one by one").then(9, lx("Lamps settle")), vid("lamps", "mix", 8)),
        bar(17, lx("First voice"), sp("Pick up Wren, stage right", notes="Half size, no colour")),
        bar(33, lx("Chorus 1, warm"), vid("wren-and-harbour", "mix", 4)),
        bar(49, lx("Back to the lamps").itself()),
        bar(81, lx("Middle, all blue"), vid("wren-and-lamps", "cut")),
        bar(89, lx("Last chorus, sun up"), vid("harbour-dawn", "cut"), sp("Wren full")),
        bar(105, lx("Outro, lamps out one by one"), snd("Gulls away")),
        tempo=[{"bar": 1, "bpm": 92}], downbeat_s=16, shortest_s=312, longest_s=330,
        reference="media/first-light.ogg",
        shots=shots("""
            left 1-32: hands on the strings; 85 mm; slow drift left
            front 17-32: Wren, head and shoulders; 70 mm; hold
            front 33-64: Wren, waist up; 50 mm; creep in
            track 33-64: the band, whole; 24 mm; roll along the pit
            left 49-80: guitarist, profile; 50 mm; hold
            front 81-104: Wren, close; 85 mm; hold
            track 81-118: stage and lamps; 24 mm; pull back
        """),
        sections=sections("Lamps 1, Verse 1 17, Chorus 1 33, Verse 2 49, Chorus 2 65, Middle 81, Last "
                          "chorus 89, "
                          "Outro 105"),
        notes="The drone hides a late start of up to ten seconds.",
    )  # fmt: skip
    order.add(
        "song", "ropes-and-rust", "Ropes and Rust", "4:35",
        secs(0, lx("Snap to steel"), vid("ropes")),
        bar(41, lx("Chorus, white bars"), vid("wren-wide", "cut")),
        bar(57, lx("Riff"), vid("ropes")),
        bar(73, lx("Ladders right").itself()),
        bar(97, lx("Break, drums only").then(7.5, lx("Drum riser alone"))),
        bar(113, lx("Last chorus, everything"), vid("knots")),
        bar(129, lx("Out on the riff"), vid("ropes")),
        tempo=[{"bar": 1, "bpm": 128}], downbeat_s=3.75,
        sections=sections("Riff 1, Verse 1 9, Verse 2 25, Chorus 41, Riff 57, Verse 3 65, Chorus 81, "
                          "Break 97, "
                          "Chorus 113, Out 129"),
    )  # fmt: skip
    order.add(
        "song", "seven-knots", "Seven Knots", "5:40",
        secs(0, lx("Sevens, tight beams"), vid("knots"), snd("Clicks to seven", _patch(7))),
        bar(17, lx("Verse, cross light")),
        bar(49, lx("Chorus in four, square"), vid("wren-wide", "cut")),
        bar(73, lx("Back to sevens"), vid("knots")),
        bar(105, lx("Chorus in four"), vid("wren-wide", "cut")),
        bar(129, lx("Loop: beam a bar").then(6, lx("Beam pairs")), vid("ropes", "mix", 7)),
        bar(161, lx("Last chorus, four, white"), vid("wren-wide", "cut")),
        bar(193, lx("Sevens home"), vid("knots", "cut")),
        tempo=[{"bar": 1, "bpm": 138}],
        meters=[{"bar": 1, "meter": "7/8"}, {"bar": 49, "meter": "4/4"}, {"bar": 73, "meter": "7/8"},
                {"bar": 105, "meter": "4/4"}, {"bar": 129, "meter": "7/8"}, {"bar": 161, "meter": "4/4"},
                {"bar": 193, "meter": "7/8"}],
        sections=sections("Sevens 1, Verse 1 17, Chorus 49, Verse 2 73, Chorus 105, Loop 129, Last chorus "
                          "161, "
                          "Home 193"),
        notes="Count the sevens as two, two, three.",
    )  # fmt: skip
    order.add(
        "talk", "talk-good-evening", "Talk: good evening, harbour", "2:40",
        secs(0, lx("Talk state"), sp("Wren, head and shoulders"), dk("Stool and tea to centre")),
        secs(10, vid("wren-wide", "mix", 2, "Wren wide for the talk")),
        eye("Wren sits", 140, lx("Down to the stool"), sp("Tighten on the stool")),
        shortest_s=90, longest_s=240, notes="Ends when Wren sits and looks left.",
    )  # fmt: skip
    order.add(
        "song", "tideline", "Tideline", "6:30",
        secs(0, lx("Bell blue").msc(), vid("tide-rising", "cut", label="Tide clip from the top"),
             snd("Timecode and track roll")),
        code("10:00:22:22", lx("Verse").msc(), sp("Wren on the stool")),
        code("10:00:57:00", lx("Verse, slow swell").msc().itself()),
        code("10:01:31:10", lx("Refrain, first wave").msc()),
        code("10:02:51:10", sp("Cello, left")),
        code("10:03:25:18", lx("Refrain, second wave").msc()),
        code("10:03:48:15", lx("Second wave folds").msc().itself()),
        code("10:04:11:10", lx("Tide comes in, from the floor").msc(), dk("Low fog, stage left only",
             notes="Deck chief watches the edge of the pit")),
        code("10:05:20:00", lx("Last refrain, all water").msc(), vid("wren-wide", "mix", 8)),
        code("10:05:42:22", lx("Water drains").msc().itself()),
        code("10:06:05:18", lx("One bell").msc(), vid("black", "mix", 8)),
        tempo=[{"bar": 1, "bpm": 84}], timecode_start="10:00:00:00",
        sections=sections("Bell 1, Verse 1 9, Refrain 33, Verse 2 49, Refrain 73, Tide 89, Refrain 113, "
                          "Bell 129"),
        notes="Plays to track; the code is the recorder's. If the code is lost, call it by bars.",
    )  # fmt: skip


def _the_crane(order: RunningOrder) -> None:
    order.add(
        "song", "salt-letters", "Salt Letters", "5:15",
        secs(0, lx("Paper white"), vid("salt-letters", "mix", 4), dk("Stool away")),
        bar(33, lx("Chorus, ink"), vid("wren-wide", "mix", 4), snd("Strings patch", _patch(49))),
        bar(73, lx("Chorus, ink"), vid("wren-wide", "mix", 4)),
        sung("salt-19", 1, lx("Letter three, alone")),
        bar(105, lx("Chorus, all pages"), vid("salt-letters", "mix", 2)),
        bar(121, lx("Last pages"), dk("Crane crew to places")),
        bar(133, lx("Paper to dark"), vid("black", "mix", 8)),
        tempo=[{"bar": 1, "bpm": 110}], downbeat_s=2, cuttable=True, lyrics=SALT_LETTERS,
        sections=sections("Intro 1, Letter one 9, Chorus 33, Letter two 49, Chorus 73, Letter three 89, "
                          "Chorus 105, Last pages 121"),
        notes="First to go if we are over by five minutes.",
    )  # fmt: skip
    order.add(
        "song", "crane-at-dusk", "The Crane at Dusk", "7:30",
        secs(0, lx("Dusk"), vid("harbour-dawn", "mix", 8, "Harbour, dusk grade"), sp("Wren, amber")),
        bar(17, dk("Crane crew report clear", needs=["crane-zone"])),
        bar(25, lx("Verse 2, long shadows")),
        bar(49, lx("Work light on the crane"), vid("crane-head", "cut", label="Crane head, first sight")),
        bar(57, mv("Crane lifts to mark one"), snd("Motor and chain"), lx("Follow the lift")),
        bar(73, lx("Halfway").itself()),
        bar(121, lx("Chorus, sky opens"), vid("wren-wide", "cut")),
        bar(129, mv("Crane slews to centre stage")),
        bar(137, lx("Sky over the house"), vid("crane-head", "mix", 2)),
        bar(153, lx("Instrumental, crane alone").then(10, lx("Lamp on the hook"))),
        bar(169, lx("Last chorus"), vid("wren-wide", "cut")),
        bar(177, mv("Crane returns to rest")),
        bar(185, lx("Out, dusk to night"), vid("drawn-crane", "mix", 8)),
        tempo=[{"bar": 1, "bpm": 76}, {"bar": 57, "bpm": 76, "ramp": True}, {"bar": 89, "bpm": 132}],
        sections=sections("Intro 1, Verse 1 9, Verse 2 25, Refrain 41, The lift 57, Run 89, Chorus 121, "
                          "Instrumental 153, Last chorus 169, Out 185"),
        notes="If the gust is over the letter's limit the crane stays at rest and the song goes on "
        "without it.",
    )  # fmt: skip


def _at_the_buoy(order: RunningOrder) -> None:
    order.add(
        "walk-on", "walk-to-the-buoy", "Walk to the Buoy", "3:10",
        secs(0, lx("Lane lamps", warning_s=45), sp("Wren from the wing stairs", warning_s=45),
             dk("Lane gate open", needs=["lane-clear"], warning_s=45, standby_s=15)),
        secs(12, vid("at-the-buoy", "mix", 2, "Track camera on the walk"), snd("Harbour hum")),
        eye("Wren at the foot of the Buoy", 135, lx("Buoy up"), sp("Buoy spots take Wren")),
        eye("Wren at the microphone", 172, dk("Lane gate closed"), snd("Buoy microphone live")),
        route="lane-to-buoy", shortest_s=150, longest_s=270,
        notes="No yes for the lane, no walk: take the tunnel.",
    )  # fmt: skip
    order.add(
        "talk", "talk-tide-clock", "Talk: my father's tide clock", "4:00",
        secs(0, lx("Buoy talk"), sp("Wren at the Buoy, soft")),
        eye("Wren holds up the clock", 80, vid("at-the-buoy", "mix", 4, "Close on the clock"),
            lx("One warm lamp")),
        eye("Wren winds the clock", 170, snd("Clock ticks", _note(36, 5, 60))),
        eye("Lantern handed up", 220, lx("Lantern glow"), dk("Lantern to Wren")),
        shortest_s=150, longest_s=360, notes="Four minutes on a short night. Tick starts the next song's "
        "pulse.",
    )  # fmt: skip
    order.add(
        "song", "lantern", "Lantern, Lantern", "6:20",
        secs(0, lx("Lantern only"), vid("black", "mix", 8, "Wall sleeps")),
        eye("Wren lifts the lantern", 35, lx("Ring of lamps")),
        sung("lantern-6", 6, lx("Crowd, faint"), snd("Choir pad", _patch(52))),
        eye("Wren turns to the harbour side", 132, lx("Harbour side"), vid("at-the-buoy", "mix", 8)),
        eye("Crowd answers", 176, lx("Answer, house a tenth").then(6, lx("Answer fades"))),
        eye("Second answer", 221, lx("Answer, house a fifth")),
        eye("Wren sets the lantern down", 268, lx("Lantern on the floor"), sp("Wren, pin spot")),
        eye("Choir stops", 310, snd("Choir pad out", _control(7, 0)), lx("Alone")),
        eye("Wren blows the lantern out", 352, lx("Out").then(1.5, vid("black", "mix", 4, "Wall out"))),
        lyrics=LANTERN, notes="Free of tempo; nobody counts. Guesses are from rehearsal.",
    )  # fmt: skip
    order.add(
        "song", "small-hours", "Small Hours", "5:10",
        secs(0, lx("Waltz blue"), vid("at-the-buoy", "mix", 6)),
        bar(17, lx("Verse")),
        bar(33, lx("Turn").itself()),
        bar(49, lx("Chorus, mirror ball of glass floats"), vid("wren-wide", "mix", 6, "Floats and faces")),
        bar(57, lx("Floats turn").itself()),
        bar(73, dk("Strings set behind the wall", needs=["stage-set"])),
        bar(81, lx("Chorus"), vid("at-the-buoy", "mix", 6)),
        bar(107, lx("Buoy to dark")),
        tempo=[{"bar": 1, "bpm": 66}], meters=[{"bar": 1, "meter": "3/4"}], cuttable=True,
        sections=sections("Waltz 1, Verse 1 17, Turn 33, Chorus 49, Verse 2 65, Chorus 81, Last turn 97"),
    )  # fmt: skip
    order.add(
        "changeover", "strings-on", "Changeover: strings on, Wren back by the lane", "6:00",
        secs(0, lx("Changeover blues", warning_s=30), snd("Shanty on the house system"),
             dk("Oil drums off, strings on", warning_s=45)),
        secs(15, vid("boat-names", "mix", 4, "Names of tonight's boats")),
        secs(60, dk("Lane gate open for Wren", needs=["lane-clear"], standby_s=15)),
        eye("Wren through the wing door", 185, dk("Lane gate closed"), lx("Lane out")),
        eye("Last chair down", 290, dk("Stage set", needs=["stage-set"]),
            snd("Strings line check, ears only")),
        secs(335, lx("Blues down"), snd("Shanty fades")),
        shortest_s=270, longest_s=480, notes="Walking is cleared both ways; nobody runs.",
    )  # fmt: skip


def _the_storm(order: RunningOrder) -> None:
    order.add(
        "song", "undertow", "Undertow", "7:20",
        secs(0, lx("Deep green"), vid("strings", "mix", 8), snd("Low strings patch", _patch(48))),
        bar(9, lx("Pulse").itself()),
        bar(17, lx("Verse 1")),
        bar(33, lx("Pull left").then(8, lx("Pull right"))),
        bar(49, lx("Chorus, under the surface"), vid("tide-rising", "mix", 4)),
        bar(81, lx("Verse 2").itself()),
        bar(113, lx("Chorus"), vid("tide-rising", "mix", 4)),
        bar(129, lx("Middle, held breath")),
        bar(161, lx("Last chorus, air"), vid("gulls", "cut"), sp("Wren, full")),
        bar(177, lx("Air doubles").half().itself()),
        bar(185, dk("Effects crew to places")),
        bar(193, lx("Out, strings alone"), vid("strings", "mix", 8)),
        bar(207, lx("Green to black"), snd("Deep bell", _note(31, 2))),
        tempo=[{"bar": 1, "bpm": 118}],
        shots=shots("""
            left 1-48: cello, bow hand; 85 mm; hold
            front 1-48: Wren at the microphone; 50 mm; hold
            track 49-160: Wren and the strings; 35 mm; push in over the crowd
            front 161-216: Wren, wide; 24 mm; hold
            left 193-216: strings, whole; 50 mm; slow pan right
        """),
        sections=sections("Deep 1, Verse 1 17, Pull 33, Chorus 49, Strings 65, Verse 2 81, Chorus 113, "
                          "Held breath 129, Last chorus 161, Out 193"),
    )  # fmt: skip
    order.add(
        "song", "signal-fires", "Signal Fires", "5:40",
        secs(0, lx("Embers"), vid("fires", "mix", 4)),
        bar(17, lx("Verse 1, red"), sp("Wren")),
        bar(49, lx("Chorus, first fire"), fx("First fires, stage edge"), vid("fires", "cut",
            label="Fires, cut")),
        bar(65, lx("Verse 2"), sp("Guitarist"), vid("wren-wide", "mix", 4)),
        bar(81, lx("Build, faster").itself()),
        bar(97, lx("Chorus, second fire"), fx("Second fires, wings"), vid("fires", "cut")),
        bar(145, lx("Last chorus, every fire"), fx("Every fire, stage edge and wings"), vid("fires", "cut")),
        bar(161, lx("Fires run left to right").then(6, lx("And back"))),
        bar(177, lx("Out, embers"), vid("black", "mix", 8), sp("Wren")),
        tempo=[{"bar": 1, "bpm": 140}],
        sections=sections("Embers 1, Verse 1 17, Build 33, Chorus 49, Verse 2 65, Build 81, Chorus 97, "
                          "Smoke 113, "
                          "Count 129, Last chorus 145, Out 177"),
        notes="Every effect may be left out and the song loses nothing.",
    )  # fmt: skip
    order.add(
        "talk", "talk-names", "Talk: the names of the boats", "3:30",
        secs(0, lx("Talk, cool"), sp("Wren"), vid("boat-names", "mix", 4)),
        eye("Wren reads the first name", 40, lx("Wall edge"), snd("Bell, soft", _note(67, 2, 60))),
        eye("Wren folds the list", 150, lx("Names fade from the floor"), dk("Crane crew to places")),
        eye("Drummer lifts sticks", 195, sp("Fade to dark")),
        shortest_s=120, longest_s=330,
    )  # fmt: skip


def _breakwater(order: RunningOrder) -> None:
    order.add(
        "song", "breakwater", "Breakwater", "10:05",
        secs(0, lx("Sea wall"), vid("harbour-dawn", "mix", 8), sp("Wren, full"), snd("Surf under")),
        bar(17, lx("Verse 1").itself()),
        bar(49, lx("Chorus, sea wall breaks"), vid("wren-wide", "cut")),
        bar(89, mv("Crane lifts, lamp lit")),
        bar(97, lx("Chorus"), vid("crane-head", "cut")),
        bar(113, lx("Crane lamp sweeps").then(12, lx("Sweep returns")), vid("wren-wide", "mix", 4)),
        bar(129, lx("Wind drops"), snd("Surf away")),
        bar(145, lx("Slow water, one lamp"), vid("tide-rising", "mix", 8), snd("Piano patch", _patch(0))),
        bar(153, mv("Crane lowers the lamp to mark two", notes="Stops above head height, never over people")),
        bar(169, lx("Voices rise").half().itself()),
        bar(177, lx("Back in time, white"), vid("fires", "cut", label="Fires, far shore")),
        bar(185, fx("White fan, stage edge")),
        bar(193, lx("Chorus, all in"), vid("knots", "cut")),
        bar(209, mv("Crane to rest"), sp("Wren")),
        bar(225, lx("Sea wall, closing"), vid("harbour-dawn", "mix", 8)),
        bar(233, lx("Dark on the last wave"), vid("black", "mix", 2), snd("Surf swells")),
        tempo=[{"bar": 1, "bpm": 100}, {"bar": 145, "bpm": 72}, {"bar": 177, "bpm": 104}],
        sections=sections("Sea wall 1, Verse 1 17, Chorus 49, Verse 2 65, Chorus 97, Sweep 113, Wind "
                          "drops 129, "
                          "Slow water 145, Back in time 177, Chorus 193, Last line 209, Dark 233"),
    )  # fmt: skip


def _encore(order: RunningOrder) -> None:
    order.add(
        "changeover", "encore-wait", "Encore wait", "2:30",
        secs(0, lx("Crowd blue"), dk("Piano to centre")),
        secs(30, snd("Surf breathes")),
        eye("Piano on its marks", 70, dk("Piano set", needs=["stage-set"])),
        eye("Wren at the stage door", 125, lx("Down to nothing"), snd("Surf fades")),
        shortest_s=75, longest_s=210, notes="Hold the dark until the crowd sings.",
    )  # fmt: skip
    order.add(
        "song", "slack-water", "Slack Water", "5:50",
        secs(0, lx("Piano lamp"), sp("Wren at the piano")),
        bar(17, lx("Verse").itself()),
        bar(33, lx("Chorus, one more lamp"), snd("Hall opens", _control(91, 100))),
        bar(49, lx("Verse 2")),
        bar(65, lx("Chorus, strings"), vid("strings", "mix", 8)),
        bar(81, lx("Last verse, piano lamp alone"), vid("black", "mix", 16), sp("Wren, pin")),
        bar(99, dk("Piano ready to strike"), lx("Lamp out")),
        tempo=[{"bar": 1, "bpm": 72}], cuttable=True,
        sections=sections("Piano 1, Verse 1 17, Chorus 33, Verse 2 49, Chorus 65, Last verse 81, Lamp out "
                          "99"),
        notes="Second to go if we are short of time.",
    )  # fmt: skip
    order.add(
        "song", "all-ashore", "All Ashore", "8:40",
        secs(0, lx("Lights up, all hands"), vid("knots", "cut"), dk("Piano away")),
        bar(17, lx("Verse 1"), sp("Wren")),
        bar(33, lx("Chorus, house a half"), vid("wren-wide", "cut")),
        bar(65, lx("Chorus, house a half, swings"), vid("wren-wide", "cut")),
        bar(81, lx("Names of the band, one by one")),
        eye("Wren points at the drummer", 172, sp("Drummer")),
        eye("Wren points at the harbour", 200, lx("Harbour lamps")),
        bar(113, lx("Chorus returns"), vid("wren-wide", "cut"), sp("Wren")),
        bar(129, lx("Round one").itself().then(8, lx("Round spreads"))),
        bar(177, lx("Every lamp in the house"), vid("wren-and-harbour", "mix", 8)),
        bar(193, lx("Last chorus"), vid("fires", "cut"), fx("Gold fan, stage edge")),
        bar(233, lx("Boats home"), vid("boat-names", "mix", 8)),
        bar(249, lx("Last chord"), sp("Bows, all"), snd("Recorder stops", _recorder("stop"))),
        eye("Wren waves and turns", 498, lx("House up"), snd("Shanty on the house system"),
            vid("harbour-dawn", "mix", 8)),
        tempo=[{"bar": 1, "bpm": 126}], shortest_s=500, longest_s=570,
        sections=sections("All hands 1, Verse 1 17, Chorus 33, Verse 2 49, Chorus 65, Names 81, Chorus 113, "
                          "Rounds 129, Every lamp 177, Last chorus 193, Boats home 233, Last chord 249"),
    )  # fmt: skip
