"""Report data as JSON."""

import msgspec


def to_json(data: object) -> str:
    """Indented JSON of report data and entries; dates as ISO 8601, fields in their own order."""
    return msgspec.json.format(msgspec.json.encode(data), indent=2).decode() + "\n"
