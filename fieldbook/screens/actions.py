"""stub"""


def key_table() -> str:
    return ""
