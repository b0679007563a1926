"""Where the templates and the demo season lie: inside the wheel, or beside it in a checkout."""

from pathlib import Path


def resource(name: str) -> Path:
    """The folder `templates` or `demo_season`."""
    package = Path(__file__).parent
    packed = package / name
    return packed if packed.is_dir() else package.parent / name
