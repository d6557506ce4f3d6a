"""If these bytes are not a MIDI file, what are they?

Teachers are sent the wrong file more often than a broken one: a phone recording, a photo
of the page, a score. Told apart by the marks with which such files begin (the "magic"
numbers of their own specifications), so that the sentence can name what came instead.
"""

# (where, bytes there, what it is): the first that fits counts.
MARKS: tuple[tuple[int, bytes, str], ...] = (
    (0, b"\xff\xd8\xff", "a JPEG picture"),
    (0, b"\x89PNG", "a PNG picture"),
    (0, b"GIF8", "a GIF picture"),
    (4, b"ftyphei", "a HEIC picture"),
    (0, b"%PDF", "a PDF document"),
    (0, b"PK\x03\x04", "a ZIP archive (or a document or compressed score that is one inside)"),
    (0, b"\x1f\x8b", "a gzip archive"),
    (0, b"7z\xbc\xaf\x27\x1c", "a 7-Zip archive"),
    (0, b"Rar!", "a RAR archive"),
    (8, b"WAVE", "a WAV sound recording"),
    (8, b"AVI ", "an AVI film"),
    (8, b"AIFF", "an AIFF sound recording"),
    (0, b"ID3", "an MP3 sound recording"),
    (0, b"\xff\xfb", "an MP3 sound recording"),
    (0, b"\xff\xf3", "an MP3 sound recording"),
    (0, b"\xff\xf2", "an MP3 sound recording"),
    (0, b"OggS", "an Ogg sound recording"),
    (0, b"fLaC", "a FLAC sound recording"),
    (4, b"ftypM4A", "an M4A sound recording"),
    (4, b"ftyp", "an MP4 or QuickTime recording"),
    (0, b"SMF2CLIP", "a MIDI 2.0 clip"),
    (0, b"{\\rtf", "a text document"),
    (0, b"\xd0\xcf\x11\xe0", "an old office document"),
)


def foreign_kind(raw: bytes) -> str | None:
    """Name of the kind of file that begins with such bytes, or None if no mark fits."""
    for where, mark, name in MARKS:
        if raw.startswith(mark, where):
            return name
    return None


def text_kind(raw: bytes) -> str | None:
    """ "a text file" or the like if the bytes read as text; None for binary."""
    beginning = raw[:4096].removeprefix(b"\xef\xbb\xbf")
    if not beginning or any(byte < 9 or 13 < byte < 27 for byte in beginning):
        return None
    # The last character may be cut in two by looking at the beginning only.
    readable = beginning.decode("utf-8", errors="ignore").encode()
    if len(beginning) - len(readable) > 3:
        return None
    opening = readable.lstrip().lower()
    if b"<score-partwise" in opening or b"<score-timewise" in opening:
        return "a MusicXML score"
    if opening.startswith((b"<!doctype html", b"<html")):
        return "a web page"
    return "a text file"
