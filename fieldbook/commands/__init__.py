"""What each command does, a function each.

What a command needs is imported inside it, so that no command waits for what it does not use.
"""

from fieldbook.commands.common import Args, say
from fieldbook.commands.exporting import run_export
from fieldbook.commands.handing import run_handoff, run_take
from fieldbook.commands.history import run_history
from fieldbook.commands.keeping import run_check, run_merge, run_restore
from fieldbook.commands.leaks import run_leaks
from fieldbook.commands.opening import run_demo, run_new, run_open
from fieldbook.commands.recording import run_blank, run_import, run_record, run_setting, run_strike
from fieldbook.commands.reporting import (
    run_balance,
    run_forecast,
    run_keys,
    run_log,
    run_open_items,
    run_plan,
    run_reckon,
    run_supplies,
)
from fieldbook.commands.rollover import run_rollover
from fieldbook.commands.sheets import run_sheet
from fieldbook.commands.summary import run_summary
from fieldbook.commands.woods import run_back, run_close, run_out, run_settle, run_write_off

__all__ = [
    "Args",
    "run_back",
    "run_balance",
    "run_blank",
    "run_check",
    "run_close",
    "run_demo",
    "run_export",
    "run_forecast",
    "run_handoff",
    "run_history",
    "run_import",
    "run_keys",
    "run_leaks",
    "run_log",
    "run_merge",
    "run_new",
    "run_open",
    "run_open_items",
    "run_out",
    "run_plan",
    "run_reckon",
    "run_record",
    "run_restore",
    "run_rollover",
    "run_setting",
    "run_settle",
    "run_sheet",
    "run_strike",
    "run_summary",
    "run_supplies",
    "run_take",
    "run_write_off",
    "say",
]
