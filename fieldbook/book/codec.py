"""Entry to journal line and back.

A line is one JSON object in UTF-8 whose last key is `crc`: eight hex digits of the CRC-32 of all
bytes before `,"crc"`. A changed byte is therefore found by reading the line alone.
"""

import re
from zlib import crc32

import msgspec

from fieldbook.book.entry import FORMAT, AnyEntry, Entry

_TAIL = re.compile(rb',"crc":"([0-9a-f]{8})"}\Z')
_TAIL_LENGTH = len(b',"crc":"01234567"}')

# Bytes that can hold a character `clean` takes out: JSON escapes other than \" \\ \n \t, the
# control characters U+007F-009F, and the general punctuation that breaks or reorders lines.
_SUSPECT = re.compile(rb'\\[^"\\nt]|\x7f|\xc2[\x80-\x9f]|\xe2\x80[\xa8-\xae]|\xe2\x81[\xa6-\xa9]')

_encoder = msgspec.json.Encoder()
_decoder: msgspec.json.Decoder[AnyEntry] = msgspec.json.Decoder(AnyEntry)


class _Version(msgspec.Struct):
    """All that is asked of a line this program does not understand."""

    v: int = FORMAT


class UnreadableLine(Exception):
    """A line that does not count.

    Args:
        fault: One word: `torn`, `checksum`, `json` or `field`.
        detail: What exactly is wrong, naming the field where there is one.
    """

    def __init__(self, fault: str, detail: str) -> None:
        super().__init__(f"{fault}: {detail}")
        self.fault = fault
        self.detail = detail


class NewerLine(Exception):
    """A sound line from a newer fieldbook: kept and shown, not counted."""


def encode(entry: Entry) -> bytes:
    """The journal line of an entry, without its newline.

    Raises:
        ValueError: A field is over its limits; the message names it.
    """
    body = _encoder.encode(entry)
    try:
        _decoder.decode(body)
    except msgspec.ValidationError as error:
        raise ValueError(str(error)) from None
    head = body[:-1]
    return b'%b,"crc":"%08x"}' % (head, crc32(head))


def decode(line: bytes) -> AnyEntry:
    """The entry of a journal line, given without its newline.

    Raises:
        UnreadableLine: The line is torn, damaged or not an entry of this format.
        NewerLine: The line is sound and says that it is of a newer format.
    """
    if not _TAIL.match(line, max(0, len(line) - _TAIL_LENGTH)):
        if line[-1:] == b"}":
            raise UnreadableLine("checksum", "the line has no checksum at its end")
        raise UnreadableLine("torn", "the line breaks off")
    head = line[:-_TAIL_LENGTH]
    if b"%08x" % crc32(head) != line[-10:-2]:
        raise UnreadableLine("checksum", "the line was changed after it was written")
    body = head + b"}"
    try:
        entry = _decoder.decode(body)
    except msgspec.ValidationError as error:
        if _version(body) > FORMAT:
            raise NewerLine from None
        raise UnreadableLine("field", str(error)) from None
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise UnreadableLine("json", str(error)) from None
    if entry.v > FORMAT:
        raise NewerLine
    if not entry.id:
        raise UnreadableLine("field", "the entry has no id")
    return entry.cleaned() if _SUSPECT.search(line) else entry


def _version(body: bytes) -> int:
    try:
        return msgspec.json.decode(body, type=_Version).v
    except (msgspec.DecodeError, UnicodeDecodeError):
        return FORMAT
