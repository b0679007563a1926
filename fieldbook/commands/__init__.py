"""What each command does, a function each.

What a command needs is imported inside it, so that no command waits for what it does not use.
"""

from fieldbook.commands.common import Args, say
from fieldbook.commands.keeping import run_check, run_merge, run_restore
from fieldbook.commands.opening import run_demo, run_new, run_open
from fieldbook.commands.recording import run_blank, run_import, run_record, run_setting, run_strike
from fieldbook.commands.reporting import (
    run_export,
    run_forecast,
    run_keys,
    run_log,
    run_plan,
    run_reckon,
    run_summary,
    run_supplies,
)

__all__ = [
    "Args",
    "run_blank",
    "run_check",
    "run_demo",
    "run_export",
    "run_forecast",
    "run_import",
    "run_keys",
    "run_log",
    "run_merge",
    "run_new",
    "run_open",
    "run_plan",
    "run_reckon",
    "run_record",
    "run_restore",
    "run_setting",
    "run_strike",
    "run_summary",
    "run_supplies",
    "say",
]
