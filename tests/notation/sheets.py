"""Small scores written as MusicXML by hand, none of them anyone's."""

import io
import re
import zipfile

DIVISIONS = 12


def note(pitch: str = "C5", quarters: float = 4, *, words: str = "", extra: str = "") -> str:
    """A note, `rest` for a rest; `words` are `1:text` or `1:text-`, a line a verse."""
    duration = round(quarters * DIVISIONS)
    if pitch == "rest":
        what = "<rest/>"
    else:
        alter = {"#": 1, "b": -1}.get(pitch[1:2], 0)
        what = (
            f"<pitch><step>{pitch[0]}</step><alter>{alter}</alter>"
            f"<octave>{pitch[-1]}</octave></pitch>"
        )
    sung = ""
    for line in words.split("|") if words else ():
        number, text = line.split(":")
        syllabic = "begin" if text.endswith("-") else "single"
        sung += (
            f'<lyric number="{number}"><syllabic>{syllabic}</syllabic>'
            f"<text>{text.rstrip('-')}</text></lyric>"
        )
    return f"<note>{what}<duration>{duration}</duration>{extra}{sung}</note>"


def chord(root: str, kind: str = "major", *, text: str = "", offset: float = 0) -> str:
    """A chord symbol; one without a known kind has its printed `text`."""
    alter = {"#": 1, "b": -1}.get(root[1:2], 0)
    later = f"<offset>{round(offset * DIVISIONS)}</offset>" if offset else ""
    return (
        f"<harmony><root><root-step>{root[0]}</root-step><root-alter>{alter}</root-alter></root>"
        f'<kind text="{text}">{kind}</kind>{later}</harmony>'
    )


def attributes(meter: str = "4/4", *, fifths: int = 0, staves: int = 1) -> str:
    beats, unit = meter.split("/")
    return (
        f"<attributes><divisions>{DIVISIONS}</divisions><key><fifths>{fifths}</fifths></key>"
        f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"
        f"<staves>{staves}</staves></attributes>"
    )


def words(text: str, *, tempo: float = 0) -> str:
    sound = f'<sound tempo="{tempo}"/>' if tempo else ""
    return f"<direction><direction-type><words>{text}</words></direction-type>{sound}</direction>"


def metronome(bpm: float) -> str:
    """A printed mark: a quarter note and a number."""
    mark = f"<beat-unit>quarter</beat-unit><per-minute>{bpm}</per-minute>"
    return f"<direction><direction-type><metronome>{mark}</metronome></direction-type></direction>"


def rehearsal(text: str) -> str:
    return f"<direction><direction-type><rehearsal>{text}</rehearsal></direction-type></direction>"


def repeat(side: str, *, times: int = 0, ending: str = "", stop: bool = True) -> str:
    """A bar line: `forward`, `backward`, or empty for an ending bracket alone."""
    location = "left" if side == "forward" or (ending and not stop) else "right"
    bracket = f'<ending number="{ending}" type="{"stop" if stop else "start"}"/>' if ending else ""
    counted = f' times="{times}"' if times else ""
    sign = f'<repeat direction="{side}"{counted}/>' if side else ""
    return f'<barline location="{location}">{bracket}{sign}</barline>'


def score(*bars: str, title: str = "Paper Boat", meter: str = "4/4", fifths: int = 0) -> bytes:
    """A lead sheet of these bars."""
    first, *rest = bars
    measures = [attributes(meter, fifths=fifths) + first, *rest]
    return sheet(measures, title=title)


def piano(*bars: tuple[str, str], meter: str = "4/4") -> bytes:
    """A piano score: for each bar the right hand's notes and the left's."""
    beats, unit = map(int, meter.split("/"))
    back = f"<backup><duration>{DIVISIONS * 4 * beats // unit}</duration></backup>"
    measures = [f"{_on(1, right)}{back}{_on(2, left)}" for right, left in bars]
    measures[0] = attributes(meter, staves=2) + measures[0]
    return sheet(measures)


def choir(*parts: tuple[str, ...]) -> bytes:
    """A score of several parts: for each, from the top, its bars."""
    listed = "".join(
        f'<score-part id="P{number}"><part-name/></score-part>' for number in range(len(parts))
    )
    bodies = "".join(
        f'<part id="P{number}">'
        + "".join(
            f'<measure number="{place}">{attributes() if place == 1 else ""}{bar}</measure>'
            for place, bar in enumerate(bars, 1)
        )
        + "</part>"
        for number, bars in enumerate(parts)
    )
    return (
        '<score-partwise version="4.0"><work><work-title>Paper Boat</work-title></work>'
        f"<part-list>{listed}</part-list>{bodies}</score-partwise>"
    ).encode()


def _on(staff: int, notes: str) -> str:
    return notes.replace("</note>", f"<staff>{staff}</staff></note>")


def sheet(measures: list[str], *, title: str = "Paper Boat") -> bytes:
    body = "".join(
        f'<measure number="{number}">{measure}</measure>'
        for number, measure in enumerate(measures, 1)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<score-partwise version="4.0">'
        f"<work><work-title>{title}</work-title></work>"
        '<part-list><score-part id="P1"><part-name>Song</part-name></score-part></part-list>'
        f'<part id="P1">{body}</part></score-partwise>'
    ).encode()


def packed(xml: bytes, *, name: str = "song.xml", container: bool = True) -> bytes:
    """A compressed score."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        if container:
            archive.writestr(
                "META-INF/container.xml",
                f'<container><rootfiles><rootfile full-path="{name}"/></rootfiles></container>',
            )
        archive.writestr(name, xml)
    return stream.getvalue()


def as_others_save_it(xml: bytes) -> bytes:
    """A score without what only this program says to itself."""
    return re.sub(rb"<miscellaneous>.*?</miscellaneous>", b"", xml, flags=re.DOTALL)
