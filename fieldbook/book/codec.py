"""Entry to journal line and back.

A line is one JSON object in UTF-8 whose last key is `crc`: eight hex digits of the CRC-32 of all
bytes before `,"crc"`. A changed byte is therefore found by reading the line alone.
"""

import re
from codecs import BOM_UTF8
from zlib import crc32

import msgspec

from fieldbook.book.entry import FORMAT, AnyEntry, Entry
from fieldbook.i18n import _

_TAIL = b',"crc":"%08x"}'
# Found in a line that cannot be decoded; inside a text its quotation marks would be escaped.
_VERSION = rb'[{,]"v":([0-9]{1,6})[,}]'
_TAIL_LENGTH = len(_TAIL % 0)

# The id and tick of a line that is not read: its number is taken, whatever became of it.
_ID = rb'"id":"([a-z0-9]{5}-[1-9][0-9]{0,8})"'
_TICK = rb'"tick":([0-9]{1,15})'

# Bytes that can hold a character `clean` takes out: any JSON escape but \" and \\, the control
# characters U+007F-009F, and the marks that break or reorder lines or have no width.
_SUSPECT = re.compile(
    rb'\\[^"\\]|\x7f|\xc2[\x80-\x9f]|\xd8\x9c'
    rb"|\xe2\x80[\x8b\x8e\x8f\xa8-\xae]|\xe2\x81[\xa0\xa6-\xa9]|\xef\xbb\xbf"
)

_encoder = msgspec.json.Encoder()
_decoder: msgspec.json.Decoder[AnyEntry] = msgspec.json.Decoder(AnyEntry)


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
        read_back = _decoder.decode(body)
    except msgspec.ValidationError as error:
        raise ValueError(in_words(str(error))) from None
    if read_back != entry:  # NaN, which JSON has not
        for field in entry.__struct_fields__:
            if getattr(read_back, field) != getattr(entry, field):
                wrong = repr(getattr(entry, field))
                raise ValueError(_("{field}: {value} is no value").format(field=field, value=wrong))
    head = body[:-1]
    return head + _TAIL % crc32(head)


_LIMIT = r"Expected `(?P<kind>\w+)`(?P<length> of length)? (?P<way>[<>]=?) (?P<most>\S+)"
_FIELD = r"at `\$\.(?P<field>[^`]+)`"


def in_words(fault: str) -> str:
    """What msgspec says of a value over its limits, in words that name the field first."""
    limit, place = re.search(_LIMIT, fault), re.search(_FIELD, fault)
    if place is None:
        return fault
    field = place["field"]
    if limit is None:
        return f"{field}: {fault}"
    if limit["length"] and limit["way"] == ">=":
        return _("{field} is empty").format(field=field)
    if limit["length"]:
        return _("{field} is longer than {most} characters").format(field=field, most=limit["most"])
    return _("{field} must be {way} {most}").format(
        field=field, way=limit["way"], most=limit["most"]
    )


def decode(line: bytes) -> AnyEntry:
    """The entry of a journal line, given without its newline.

    Raises:
        UnreadableLine: The line is torn, damaged or not an entry of this format.
        NewerLine: The line is sound and says that it is of a newer format.
    """
    head = line[:-_TAIL_LENGTH]
    if line[-_TAIL_LENGTH:] != _TAIL % crc32(head):
        if line.startswith(BOM_UTF8):  # some editors put it before all they save
            return decode(line[len(BOM_UTF8) :])
        raise _broken(line)
    body = head + b"}"
    try:
        entry = _decoder.decode(body)
        plain = line.isascii() and b"\\" not in line and b"\x7f" not in line
        if not plain and _SUSPECT.search(line):
            entry = _decoder.decode(_encoder.encode(entry.cleaned()))  # the limits hold still
    except msgspec.ValidationError as error:
        if _version(body) > FORMAT:
            raise NewerLine from None
        raise UnreadableLine("field", str(error)) from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        if _version(body) > FORMAT:
            raise NewerLine from None
        raise UnreadableLine("json", str(error)) from None
    if entry.v > FORMAT:
        raise NewerLine
    if not entry.id:
        raise UnreadableLine("field", "the entry has no id")
    return entry


def _broken(line: bytes) -> UnreadableLine:
    """What is wrong with a line whose checksum is."""
    if re.fullmatch(rb',"crc":"[0-9a-f]{8}"}', line[-_TAIL_LENGTH:]):
        return UnreadableLine("checksum", "the line was changed after it was written")
    if line[-1:] == b"}":
        return UnreadableLine("checksum", "the line has no checksum at its end")
    return UnreadableLine("torn", "the line breaks off")


def label(line: bytes) -> tuple[str, int]:
    """The id and tick a line seems to carry, however little else of it can be read."""
    entry_id, tick = re.search(_ID, line), re.search(_TICK, line)
    return (entry_id[1].decode() if entry_id else "", int(tick[1]) if tick else 0)


def _version(body: bytes) -> int:
    """The version a line says it is of, however little else of it is understood."""
    match = re.search(_VERSION, body)
    return int(match[1]) if match else FORMAT
